"""Versions of a shop planned on the same days of orders: figures with bounds, differences, payback."""
