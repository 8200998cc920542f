"""Stopwatch studies as tables: a blank one to fill in, and its readings read by cell."""
