"""Orders: from the rows of opened files to orders with their prints and names, and their workbook written.

Which column means what stands in `headings`, which rows of a sheet are orders in `tables`.
"""
