"""The shop workbook: its layout, the default shop, reading and writing it.

Also cells changed in it: timed elements taken over, and changes that are only tried.
"""
