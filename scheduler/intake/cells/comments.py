"""Comments on the cells of a sheet: they are not read, which is said once."""

from __future__ import annotations

from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.files.grid import Grid, address

MOST_NAMED = 5
"""So many cells of one kind are named one by one."""


def say_comments(grid: Grid, findings: Findings, cure: str) -> None:
    """Say which cells have a comment, since nobody reads it here.

    Parameters
    ----------
    cure
        What to do instead, for the middle of a sentence.
    """
    if not grid.comments:
        return
    named = [f"{address(row, column)} {shown(said)}" for row, column, said in grid.comments[:MOST_NAMED]]
    more = f" and {len(grid.comments) - MOST_NAMED} more" if len(grid.comments) > MOST_NAMED else ""
    found = f"comments on cells: {', '.join(named)}{more}"
    mend = f"They are not read; {cure}."
    row, column, _ = grid.comments[0]
    findings.doubt("cell-comments", grid.source(row, column), found, "all that matters in the cells", mend)
