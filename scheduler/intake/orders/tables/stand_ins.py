"""Cells that stand for another value: ditto marks for the cell above, a lone dash for nothing."""

from __future__ import annotations

from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.values import DASHES
from scheduler.intake.orders.headings.columns import column_label
from scheduler.intake.orders.layout import SIZE, STRANGE_SIZE
from scheduler.intake.words import clean

_DITTO = frozenset(
    ('"', "″", "”", "“", "〃", "''", '""', "´´", "do.", "do", "ditto", "Ditto", "dito", "dto.", "idem")
)
_EITHER = DASHES | _DITTO
_COUNTED = ("total", "quantity", "done", "cancelled", "on_hold", "status", "garments_in", "transfers_in")
"""Columns whose own readers know what a dash means in them."""
_DATES = ("cut_off_date", "cut_off_time")


def take_stand_ins(row: Row, before: Row | None) -> None:
    """Give a row the values that its ditto marks stand for, with a doubt, and nothing for its dashes.

    Parameters
    ----------
    before
        The row right above; None when there is none that holds anything.
    """
    # one look at the whole row, since hardly any has such a cell
    if _EITHER.isdisjoint(row.grid.rows[row.index]):
        return
    repeated = []
    for key in row.headings.columns:
        value = row.value(key)
        written = clean(value) if isinstance(value, str) else ""
        if written in DASHES and not _is_counted(key):
            row.given[key] = None
            if key in _DATES:
                found = f"{column_label(key)} {shown(value)}"
                row.doubt("dash-as-none", key, found, "a value, or blank", "Taken as blank.")
        elif written in _DITTO and before is not None:
            row.given[key] = before.value(key)
            repeated.append(key)
        elif written in _DITTO:
            expected, mend = "a value", "Write the value itself; the row above is blank."
            row.fault("ditto-without-row", key, f"the mark {shown(value)}", expected, mend)
    if repeated:
        what = ", ".join(f"{column_label(key)} {shown(row.value(key))}" for key in repeated[:4])
        mend = f"Taken as in the row above: {what}{' ...' if len(repeated) > 4 else ''}."
        found, expected = "marks that repeat the row above", "each value written out"
        row.doubt("ditto-marks", repeated[0], found, expected, mend)


def _is_counted(key: str) -> bool:
    return key.startswith((SIZE, STRANGE_SIZE)) or key in _COUNTED
