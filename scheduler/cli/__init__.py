"""The command line: one thin file per command; heavy imports stay inside the functions."""
