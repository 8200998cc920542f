"""How workbooks and text tables are written: new ones, forms to fill in, and copies of the owner's files."""
