"""The exact search of small days over plain integers: `search` is the way in, `layout` what lies where."""
