"""From bytes to grids: what kind a file is, the limits it is held to, and its sheets read cell by cell."""
