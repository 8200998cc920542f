"""Pressday: a daily production scheduler for shops that press heat-applied transfers."""

__version__ = "0.1.0"
