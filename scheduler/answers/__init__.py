"""Answers in words, JSON, tables and pictures, for people and programs; prints nothing."""
