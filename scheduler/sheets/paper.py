"""Which sheets in hand still hold after a day was planned again, and which must be swapped."""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from scheduler.domain.clock import clock
from scheduler.domain.codes import short_code
from scheduler.domain.differences import WORTH_PAPER_MIN
from scheduler.domain.disruptions import PartKind
from scheduler.domain.paper import PaperLine, PaperSheet, Side
from scheduler.domain.plan import Plan, PlannedWarmUp
from scheduler.domain.stopping import stops_now
from scheduler.sheets.dayview import (
    SheetDay,
    Stretch,
    names,
    sheet_days,
    switched_on_inside,
    switched_on_while_changing,
)
from scheduler.sheets.run_sheets import CODE_LETTERS, SheetLine, sheet_code, sheet_lines

SIDES: tuple[Side, ...] = ("operator", "press")

IDLE = ("break", "away", "gap")
"""Stretches in which nothing is to be done."""

AT = "at "
"""Begins what any other line is known by; its moment and its text follow."""

_TIME = re.compile(r"\b\d\d:\d\d\b")
_LATE = re.compile(r", will be late|cut-off [^,]*, late|gone by .*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Swap:
    """A sheet of which a new one was printed.

    Attributes
    ----------
    old
        The sheet in hand; None: there was none.
    new
        None: nothing is left to do on it, it is only taken away.
    """

    old: PaperSheet | None
    new: PaperSheet | None

    @property
    def one(self) -> PaperSheet:
        """The one that is there."""
        found = self.new or self.old
        assert found is not None
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperChange:
    """What becomes of the sheets in hand: kept ones are those in hand, swapped ones have a new one."""

    kept: tuple[PaperSheet, ...]
    swaps: tuple[Swap, ...]

    @property
    def in_hand(self) -> tuple[PaperSheet, ...]:
        """The sheets in hand once the new ones are handed out."""
        return (*self.kept, *(swap.new for swap in self.swaps if swap.new is not None))

    def says_days(self, side: Side, planned: date) -> bool:
        """Whether sheets are named with their day: when they are of several, or not of the planned one."""
        swapped = (swap.one for swap in self.swaps)
        days = {one.day for one in (*self.kept, *swapped) if one.side == side}
        return not days <= {planned}

    def new_for(self, side: Side) -> tuple[str, ...]:
        """Everybody, or every press, with a new sheet."""
        return tuple(
            dict.fromkeys(
                swap.one.name for swap in self.swaps if swap.one.side == side and swap.new is not None
            )
        )


def sheets_of(plan: Plan) -> tuple[PaperSheet, ...]:
    """Every sheet of a plan, as if all were printed."""
    return tuple(
        paper_sheet(plan, sheet)
        for side in SIDES
        for name in names(plan, side)
        for sheet in sheet_days(plan, side, name)
    )


def paper_sheet(plan: Plan, sheet: SheetDay) -> PaperSheet:
    """What a sheet says, in short."""
    return PaperSheet(
        side=sheet.side,
        name=sheet.name,
        day=sheet.day,
        version=plan.version,
        at=plan.at,
        code=sheet_code(plan, sheet),
        lines=tuple(
            made for line in sheet_lines(plan, sheet) for made in _paper_lines(plan, sheet.side, line)
        ),
    )


def in_hand(plan: Plan) -> tuple[PaperSheet, ...]:
    """The sheets that people have of a plan."""
    return plan.paper or sheets_of(plan)


def compare(old: Plan, new: Plan, at: datetime) -> PaperChange:
    """What becomes of the sheets of one plan when another takes its place at a moment.

    A sheet in hand holds as long as whoever follows it does what the new plan says: from the moment on
    the same runs in the same order, at the same presses, set in the same way, and the same presses to switch
    on, none of it `WORTH_PAPER_MIN` or more from when it says; and every cut-off to the minute.
    """
    hands = {(one.side, one.name, one.day): one for one in in_hand(old) if one.day >= at.date()}
    fresh = {(one.side, one.name, one.day): one for one in sheets_of(new) if one.day >= at.date()}
    over = over_by(old, new, at)
    over |= {switch_on_line(new, one) for one in new.warm_ups if one.start <= at}
    kept, swaps = [], []
    for key in (*fresh, *(key for key in hands if key not in fresh)):
        there, now = hands.get(key), fresh.get(key)
        left_there = _left(there, over, at)
        left_now = _left(now, over, at)
        if there is not None and now is not None and _holds(left_there, left_now, at):
            kept.append(there)
        elif left_now or left_there:
            swaps.append(Swap(old=there, new=now if left_now else None))
    return PaperChange(kept=tuple(kept), swaps=tuple(swaps))


def over_by(old: Plan, new: Plan, at: datetime) -> set[str]:
    """The runs that are over at a moment, and were: nobody needs to hear of them any more.

    What must stop at this moment, or was cut off before without a word, is not over for whoever is at it.
    """
    cut = _cut(new) - _cut(old)
    return {run.id for run in new.runs if run.end <= at and not stops_now(new, run) and run.id not in cut}


def _cut(plan: Plan) -> set[str]:
    """Runs of which another presses the rest."""
    return {part.run for part in plan.parts if part.name is PartKind.REST}


def changed_lines(old: PaperSheet | None, new: PaperSheet | None) -> tuple[str, ...]:
    """Runs, and presses to switch on, that are on both sheets and of which something else is said."""
    was = {line.what: line.gist for line in old.lines} if old else {}
    return tuple(
        line.what for line in (new.lines if new else ()) if was.get(line.what, line.gist) != line.gist
    )


def other_duties(old: PaperSheet | None, new: PaperSheet | None) -> tuple[str, ...]:
    """What the new sheet says to do that is no run and no press to switch on, and the old one didn't."""
    was = {line.what for line in old.lines} if old else set()
    return tuple(
        f"{line.what.split(maxsplit=3)[3]}, at {clock(line.start)}"
        for line in (new.lines if new else ())
        if line.what.startswith(AT) and line.what not in was
    )


def _left(sheet: PaperSheet | None, over: Container[str], at: datetime) -> list[PaperLine]:
    """The lines of a sheet that are still to be followed."""

    def gone(line: PaperLine) -> bool:
        return line.what in over or (line.what.startswith(AT) and line.start < at)

    return [line for line in sheet.lines if not gone(line)] if sheet else []


def _holds(there: Sequence[PaperLine], now: Sequence[PaperLine], at: datetime) -> bool:
    if [(line.what, line.gist) for line in there] != [(line.what, line.gist) for line in now]:
        return False
    most = timedelta(minutes=WORTH_PAPER_MIN)
    # What is under way began when it began, whatever the sheet says.
    return all(abs(a.start - b.start) < most for a, b in zip(there, now, strict=True) if b.start > at)


def _paper_lines(plan: Plan, side: Side, line: SheetLine) -> Iterator[PaperLine]:
    """What a printed line asks to be done, and what the box of a run asks to be switched on meanwhile."""
    item = line.of
    if isinstance(item, Stretch):
        if item.kind not in IDLE:
            what = f"{AT}{item.start:%Y-%m-%d %H:%M} {line.entry['text']}"
            yield PaperLine(what=what, start=item.start, gist=_gist(side, timeless(line.entry)))
        return
    if isinstance(item, PlannedWarmUp):
        yield PaperLine(
            what=switch_on_line(plan, item), start=item.start, gist=_gist(side, timeless(line.entry))
        )
        return
    yield PaperLine(what=item.id, start=item.pressing_start, gist=_gist(side, in_short(line.entry)))
    if line.entry["type"] != "run":
        return
    for warm in (*switched_on_while_changing(plan, item), *switched_on_inside(plan, item)):
        # Its words are among those of the run; here its time counts.
        yield PaperLine(what=switch_on_line(plan, warm), start=warm.start, gist=_gist(side, []))


def switch_on_line(plan: Plan, warm: PlannedWarmUp) -> str:
    """What a line to switch a press on is known by: the press, the day, and which time it is then."""
    same = [
        one.start
        for one in plan.warm_ups
        if one.press == warm.press and one.start.date() == warm.start.date()
    ]
    return f"on {warm.press} {warm.start.date()} {sorted(same).index(warm.start) + 1}"


def _gist(side: Side, said: Any) -> str:
    return short_code([side, said], CODE_LETTERS)


def in_short(entry: dict[str, Any]) -> dict[str, Any]:
    """All that the box of a run says, its own times and those of other runs left out.

    The cut-off keeps its hour: whoever packs goes by it.
    """
    said = {
        key: timeless(value)
        for key, value in entry.items()
        if key not in ("start", "end", "goes_on", "long", "cut_off")
    }
    return {**said, "cut_off": _LATE.sub("", entry.get("cut_off", ""))}


def timeless(value: Any) -> Any:
    """Texts with their times, and what hangs on them, left out."""
    if isinstance(value, str):
        return _TIME.sub("", _LATE.sub("", value))
    if isinstance(value, dict):
        return {key: timeless(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [timeless(one) for one in value]
    return value
