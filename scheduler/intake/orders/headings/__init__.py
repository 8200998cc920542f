"""Which column of an orders sheet means what, and what the owner has said about it."""
