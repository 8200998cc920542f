"""The table in which a stopwatch study is typed: one row for each element, readings side by side."""

from __future__ import annotations

from scheduler.intake.layout import Column, Table

READINGS = 10
"""Readings in a row of the form; any number of them is read."""

STUDY = Table(
    key="study",
    sheet="Study",
    explain="Stopwatch readings: a row for each element and set-up, more rows for more readings.",
    columns=(
        Column("element", "Element", "What was timed", choices="elements", strict=False, width=38),
        Column("set_up", "Press set-up", "How the press is set up", choices="set_ups", width=16),
        Column("transfer", "Transfer", "For dwell and presses", width=16),
        Column("fabric", "Fabric", "For dwell and presses", width=12),
        Column("unit", "Unit", "Blank: seconds", choices="units", width=10),
        Column("rating", "Rating", "Blank: 100 %", kind="share", width=9),
        *(
            Column(f"reading {number}", str(number), "", kind="number", width=7)
            for number in range(1, READINGS + 1)
        ),
        Column("remark", "Remark", "What was odd", width=30),
        Column("left_out", "Leave out", "yes: the row doesn't count", width=10),
    ),
    needed=False,
    frozen=2,
)
