"""Hours of an orders row: the one of two that holds, and those at which nobody works."""

from __future__ import annotations

from datetime import time

from scheduler.intake.cells.rows import Row

_EARLIEST = time(5)
"""Hours before it are doubted where it isn't known when the shop opens."""
_HALF_DAY = 12


def agreed_time(row: Row, own: time | None, beside_date: time | None) -> time | None:
    """The cut-off's time from its own column and from beside the date; of two that differ the earlier."""
    if own is None or beside_date is None or own == beside_date:
        return own or beside_date
    found = f"cut-off time {own:%H:%M} beside a date with {beside_date:%H:%M}"
    taken = min(own, beside_date)
    mend = f"Taken as {taken:%H:%M}, the earlier; take the other out if that is wrong."
    row.doubt("two-times", "cut_off_time", found, "one time of day", mend)
    return taken


def doubt_night(row: Row, key: str, at: time | None, opening: time) -> None:
    """Doubt an hour before the shop opens: on a clock of twelve hours it may be one of the afternoon."""
    before = opening if opening > time(0) else _EARLIEST
    if at is None or at >= before or (at == time(0) and key != "cut_off_time"):
        return
    later = at.replace(hour=at.hour + _HALF_DAY)
    there = key if key in row.headings.columns else "cut_off_date"
    found = f"{at:%H:%M}, before the shop opens"
    mend = f"Taken as it stands; if {later:%H:%M} is meant, write that."
    row.doubt("hour-at-night", there, found, f"{before:%H:%M} or later", mend)
