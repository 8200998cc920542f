"""The table of changes to try: a row for each cell of the shop workbook that would differ."""

from __future__ import annotations

from scheduler.intake.layout import Column, Table

LIKE = "Like"
GONE = "Gone"

CHANGES = Table(
    key="changes",
    sheet="Changes",
    explain="Changes to try on real orders. Rows of one change have the same name; its price stands once.",
    columns=(
        Column("change", "Change", "What you call it", needed=True, width=28),
        Column("price", "Price", "What it costs once", kind="number", width=10),
        Column("cost_a_day", "Cost a day", "Running cost; wages are counted anyway", kind="number", width=12),
        Column("sheet", "Sheet", "Of the shop workbook", needed=True, width=16),
        Column("row", "Row", "What stands in its first cell, such as the press", needed=True, width=28),
        Column(
            "column",
            "Column",
            f'Its heading; "{LIKE}": a new row like the named one; "{GONE}": the row is taken out',
            needed=True,
            width=24,
        ),
        Column("value", "New value", "Blank: the cell is emptied", width=24),
    ),
    needed=False,
    frozen=1,
)
