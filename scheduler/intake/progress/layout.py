"""The table in which a shift's progress is filled in: one row a run, planned figures to the left."""

from __future__ import annotations

from scheduler.intake.layout import Column, Table

PROGRESS = Table(
    key="progress",
    sheet="Progress",
    explain="One row for each run: fill in what the boxes on its sheet say, or leave it blank.",
    columns=(
        Column("day", "Day", "Of the plan", kind="date"),
        Column("run", "Run", "Its number on the sheets", needed=True, kind="whole", width=7),
        Column("order", "Order", "", width=10),
        Column("customer", "Customer", "", width=22),
        Column("placements", "Placements", "", width=18),
        Column("press", "Press", "As planned", width=14),
        Column("operator", "Operator", "As planned", width=12),
        Column("planned_on", "Planned on", "Where it is another day", kind="date"),
        Column("planned_start", "Planned start", "", kind="time", width=10),
        Column("planned_end", "Planned end", "", kind="time", width=10),
        Column("planned_pieces", "Planned pieces", "", kind="whole", width=10),
        Column("entered", "Entered already", "Not read; blank where nobody said anything", width=30),
        Column("started", "Started", "First piece pressed, if noted", kind="time", width=10),
        Column("pieces", "Pieces done", "Good ones", kind="whole", width=10),
        Column("spoiled", "Spoiled", "Not among those done; with sizes: M=2, XL=1", width=14),
        Column("reason", "Reason", "Why spoiled", width=22),
        Column("finished", "Finished", "Time, if noted", kind="time", width=10),
        Column("press_used", "Press used", "If another", choices="presses", width=14),
        Column("who", "Done by", "If somebody else; initials will do", choices="people", strict=False),
        Column("run_id", "Run id", "Leave as it is", width=22),
    ),
    frozen=2,
)

BOXES = ("started", "pieces", "spoiled", "reason", "finished", "press_used", "who")
"""Columns that are filled in by hand."""
