"""The table of a shift's progress: written with the runs of a plan, and read when it is filled in."""
