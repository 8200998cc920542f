"""The tables of an orders sheet: which of its rows are to be pressed, without totals and remarks.

Also what stands for other cells, or marks a row: merged cells, ditto marks, colours and strokes.
"""
