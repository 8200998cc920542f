"""The crew from the rows of its sheet, and how it fits the hours of the shop.

A person has a row, and one more for weekdays with other hours.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from scheduler.domain.figures import in_percent
from scheduler.domain.shop import USUAL_WEEK, Operator, OperatorHours
from scheduler.intake.cells.clock_values import clock, spans, weekdays
from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.values import Unfit, names, pace, text
from scheduler.intake.shop.layout import DAYS
from scheduler.intake.words import name_key

if TYPE_CHECKING:
    from datetime import time

    from scheduler.domain.shop import OpenHours, Shop
    from scheduler.intake.cells.rows import Row

NOBODY_THEN = "weekday-without-anybody"
"""Of a weekday on which nothing can be planned anyway: said by `check`, and not with every plan."""


USUAL_DAYS = "Mon-Fri"
"""`USUAL_WEEK` as it is written."""


LEAST_LOST_MIN = 60
"""So much of a shift outside the hours of the shop may be a mistake; less is somebody who comes early."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewRow:
    """A sound row of the sheet.

    Attributes
    ----------
    person
        Name, as it is written in the first of the person's rows.
    weekdays
        Those of the row, Monday = 0.
    """

    row: Row
    person: str
    weekdays: tuple[int, ...]
    hours: OperatorHours


@dataclass(slots=True, kw_only=True)
class _Named:
    """What the rows of one name say, so far."""

    first: Row
    skills: tuple[str, ...]
    pace: float
    days: dict[int, Row] = field(default_factory=dict)


def read_crew(rows: Iterator[Row]) -> tuple[tuple[CrewRow, ...], tuple[Operator, ...]]:
    """The rows that are sound, and the people of whom they speak, both in the order of the sheet."""
    named: dict[str, _Named] = {}
    sound: list[CrewRow] = []
    crew: dict[str, Operator] = {}
    for row in rows:
        name = row.need("name", text)
        hours = _hours(row, name)
        days = row.take("weekdays", weekdays)
        if days is None and not row.has("weekdays"):
            days = USUAL_WEEK
        known = _said(row, name, named)
        if name is not None and known is not None:
            _on_days_of_their_own(row, name, days or (), known)
        if not row.sound or name is None or known is None or hours is None or days is None:
            continue
        before = crew.get(name_key(name)) or Operator(
            name=name, hours={}, skills=known.skills, pace=known.pace, source=row.source("name")
        )
        sound.append(CrewRow(row=row, person=before.name, weekdays=days, hours=hours))
        crew[name_key(name)] = replace(before, hours={**before.hours, **dict.fromkeys(days, hours)})
    return tuple(sound), tuple(crew.values())


def _hours(row: Row, name: str | None) -> OperatorHours | None:
    start = row.take("start", clock, "from")
    end = row.take("end", clock, "to")
    overtime = row.take("overtime_end", clock, "overtime until")
    breaks = row.take("breaks", spans) or ()
    for key, label in (("start", "from"), ("end", "to")):
        if not row.has(key):
            mend = "Fill in the usual shift, or delete the row."
            row.fault(
                "operator-without-hours", key, f"{shown(name)} without {label!r}", "a time of day", mend
            )
    if start and end and start >= end:
        found = f"shift to {end:%H:%M}"
        row.fault("shift-backwards", "end", found, f"later than {start:%H:%M}", "Correct one of the two.")
    if end and overtime and overtime < end:
        found = f"overtime until {overtime:%H:%M}"
        expected = f"{end:%H:%M} or later"
        row.fault("overtime-before-end", "overtime_end", found, expected, "Correct it or clear the cell.")
    if start is None or end is None:
        return None
    last = max(end, overtime) if overtime else end
    for first, to in breaks if start < end else ():
        if first < start or to > last:
            found = f"break {first:%H:%M}-{to:%H:%M}"
            expected = f"breaks inside the shift, {start:%H:%M}-{last:%H:%M}"
            row.fault("break-outside-shift", "breaks", found, expected, "Correct the break or the shift.")
    return OperatorHours(start=start, end=end, overtime_end=overtime, breaks=breaks)


def _said(row: Row, name: str | None, named: dict[str, _Named]) -> _Named | None:
    """What the first row of that name says; a further one says the same of skills and pace, or nothing."""
    skills = tuple(dict.fromkeys(row.take("skills", names) or ()))
    own_pace = row.take("pace", pace)
    if name is None:
        return None
    known = named.setdefault(
        name_key(name), _Named(first=row, skills=skills, pace=1.0 if own_pace is None else own_pace)
    )
    if known.first is row:
        return known
    expected = "the same in all rows of a person, or nothing in the further ones"
    mend = "Correct one of the two; only hours and weekdays may differ."
    if skills and {name_key(one) for one in skills} != {name_key(one) for one in known.skills}:
        there = f"{shown(', '.join(known.skills))} stands" if known.skills else "nothing stands"
        cell = known.first.source("skills").cell
        found = f"skills {shown(', '.join(skills))} of {shown(name)}, where {there} in {cell}"
        row.fault("skills-differ", "skills", found, expected, mend)
    if own_pace is not None and own_pace != known.pace:
        there = f"{in_percent(known.pace)} stands" if known.first.has("pace") else "nothing stands"
        cell = known.first.source("pace").cell
        found = f"pace {in_percent(own_pace)} of {shown(name)}, where {there} in {cell}"
        row.fault("pace-differs", "pace", found, expected, mend)
    return known


def _on_days_of_their_own(row: Row, name: str, days: Sequence[int], known: _Named) -> None:
    """Hold that no weekday of a row stands in another one of that name too."""
    twice = [day for day in days if day in known.days]
    if twice:
        cells = ", ".join(dict.fromkeys(known.days[day].source("weekdays").cell for day in twice))
        blank = "" if row.has("weekdays") else f" (blank: {USUAL_DAYS})"
        row.fault(
            "weekday-twice",
            "weekdays",
            f"{shown(name)} a second time on {_written(twice)}{blank}; the first stands in {cells}",
            "each weekday of a person in one row",
            "Give each row weekdays of its own, such as Mon-Fri and Sat; enter two shifts on one day as one "
            "with a break between; two people of one name need two names.",
        )
    for day in days:
        known.days.setdefault(day, row)


def with_weekdays(written: str) -> tuple[str, str, tuple[int, ...]] | None:
    """A person's name, and weekdays behind a comma, as in "Ines, Mon-Fri": as written and as numbers."""
    name, comma, rest = written.partition(",")
    while comma:
        try:
            if days := weekdays(rest):
                return name.strip(), rest.strip(), days
        except Unfit:
            pass
        more, comma, rest = rest.partition(",")
        name = f"{name},{more}"
    return None


def _written(days: Sequence[int]) -> str:
    return ", ".join(DAYS[day] for day in days)


def check_crew(crew: Sequence[CrewRow], shop: Shop) -> None:
    """Everybody is there while the shop is open, at least on one weekday."""
    there = _ever_there(crew, shop)
    first: dict[str, CrewRow] = {}
    for one in crew:
        first.setdefault(one.person, one)
    for one in first.values():
        if one.person not in there:
            found = f"{shown(one.person)} is never there while the shop is open"
            mend = "Correct the shift, the weekdays or the shop's hours."
            one.row.fault("operator-without-hours", "weekdays", found, "hours that meet the shop's", mend)


def _ever_there(crew: Sequence[CrewRow], shop: Shop) -> set[str]:
    return {one.person for one in crew if any(_meets(one.hours, day, shop) for day in one.weekdays)}


def _meets(own: OperatorHours, weekday: int, shop: Shop) -> bool:
    hours = shop.hours.get(weekday)
    if hours is None:
        return False
    last = max(own.end, own.overtime_end) if own.overtime_end else own.end
    return own.start < max(hours.close, hours.overtime_end or hours.close) and last > hours.open


def check_shifts(crew: Sequence[CrewRow], shop: Shop) -> None:
    """Shifts lie within the hours of the shop, but for less than an hour of a weekday.

    A weekday on which nobody comes before the shop has closed is passed over, since `check_opening` tells
    it; and who is never there, whom `check_crew` tells.
    """
    there = _ever_there(crew, shop)
    for one in crew:
        if one.person not in there:
            continue
        cut: dict[str, list[int]] = defaultdict(list)
        for weekday in one.weekdays:
            first = _first_in(crew, weekday)
            hours = shop.hours.get(weekday)
            if hours is None or first is None or _too_late(first[0], hours):
                continue
            if lost := _lost(one.hours, hours):
                cut[lost].append(weekday)
        closed = [weekday for weekday in one.weekdays if weekday not in shop.hours]
        if closed and len(closed) == len(one.weekdays):
            cut["all of it (closed)"] = closed
        if cut:
            shift = f"{one.hours.start:%H:%M}-{one.hours.end:%H:%M}"
            parts = "; ".join(f"on {_written(days)} {lost}" for lost, days in cut.items())
            one.row.doubt(
                "shift-outside-hours",
                "start",
                f"{shown(one.person)} {shift}: the hours of the shop cut off {parts}",
                "shifts while the shop is open",
                "Nothing is planned then. Correct the shift, give weekdays with other hours their own row, "
                "or correct Hours: from the first opening to the last closing, also with a gap at noon.",
            )


def _lost(own: OperatorHours, hours: OpenHours) -> str:
    """What of a shift is cut, in words; none when it is less than an hour and something is left."""
    open_ = f"open {hours.open:%H:%M}-{hours.close:%H:%M}"
    if max(own.start, hours.open) >= min(own.end, hours.close):
        return f"all of it ({open_})"
    last = hours.close
    if own.overtime_end is not None and hours.overtime_end is not None:
        # What lies behind closing time is worked as overtime.
        last = max(last, min(own.overtime_end, hours.overtime_end))
    lost = [(own.start, min(own.end, hours.open)), (max(own.start, last), own.end)]
    lost = [(first, to) for first, to in lost if first < to]
    if sum(_minutes(to) - _minutes(first) for first, to in lost) < LEAST_LOST_MIN:
        return ""
    spans = " and ".join(f"{first:%H:%M}-{to:%H:%M}" for first, to in lost)
    return f"{spans} ({open_})"


def _minutes(at: time) -> int:
    return 60 * at.hour + at.minute


def check_opening(crew: Sequence[CrewRow], shop: Shop) -> None:
    """Somebody is in when the shop opens: presses are heated from then on, and somebody switches them on."""
    by_first: dict[int, list[int]] = defaultdict(list)
    nobody: dict[int, list[int]] = defaultdict(list)
    for weekday, hours in sorted(shop.hours.items()):
        there = _first_in(crew, weekday)
        if there is not None and there[0] > hours.open:
            (nobody if _too_late(there[0], hours) else by_first)[there[1]].append(weekday)
    for number, days in nobody.items():
        _nobody_then(crew[number], days, shop)
    for number, days in by_first.items():
        one = crew[number]
        opens = min(shop.hours[weekday].open for weekday in days)
        found = (
            f"the shop opens at {opens:%H:%M} ({_written(days)}), the first in is {one.person} at "
            f"{one.hours.start:%H:%M}"
        )
        mend = (
            "Presses are planned to heat from opening on: have a timer or whoever opens switch them on, "
            f"or let the shop open at {one.hours.start:%H:%M}."
        )
        one.row.doubt("opens-before-anybody", "start", found, "somebody in from opening on, or a timer", mend)


def _first_in(crew: Sequence[CrewRow], weekday: int) -> tuple[time, int] | None:
    """Who comes first on a weekday, by the number of the row, and when."""
    there = ((one.hours.start, number) for number, one in enumerate(crew) if weekday in one.weekdays)
    return min(there, default=None)


def _too_late(at: time, hours: OpenHours) -> bool:
    return at >= max(hours.close, hours.overtime_end or hours.close)


def _nobody_then(one: CrewRow, days: Sequence[int], shop: Shop) -> None:
    """Doubt weekdays of a person who comes when the shop has closed, and on which nobody else is there."""
    hours = ", ".join(
        dict.fromkeys(f"{shop.hours[day].open:%H:%M}-{shop.hours[day].close:%H:%M}" for day in days)
    )
    comes = f"{one.person} comes at {one.hours.start:%H:%M}"
    found = f"nobody is there while the shop is open on {_written(days)} ({hours}): {comes}"
    mend = (
        f"Nothing can be planned then. Take {_written(days)} out of the weekdays, or correct the shift or "
        "the hours of the shop."
    )
    one.row.doubt(NOBODY_THEN, "weekdays", found, "somebody in on each weekday that is worked on", mend)
