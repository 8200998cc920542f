"""What a cell means: numbers, times, dates, lengths, sizes and names, with the row that it stands in.

What is wrong with a cell is collected here too, by its place.
"""
