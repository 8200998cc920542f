"""The day seen from one person or one press: runs, changeovers, breaks and gaps in time order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from scheduler.domain.paper import Side
from scheduler.domain.plan import Absence, Plan, PlannedChangeover, PlannedRun, PlannedWarmUp
from scheduler.domain.presence import Span, away_until, without
from scheduler.domain.press_order import press_before
from scheduler.domain.stopping import switch_offs, told_apart

LEAST_GAP = timedelta(minutes=5)
"""A gap shorter than this is not worth a line of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Something in a day that is not a run: a break, an absence, time without a run, a press to switch on.

    Attributes
    ----------
    warm_up
        What to switch on; `end` is `start` then.
    presses
        What to switch off.
    """

    kind: Literal["break", "away", "gap", "switch-on", "switch-off"]
    start: datetime
    end: datetime
    warm_up: PlannedWarmUp | None = None
    presses: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetDay:
    """One person's or one press's sheet on one date.

    Attributes
    ----------
    name
        Of the person or press.
    items
        Runs, breaks and gaps in time order. Breaks inside a run are told with that run.
    shift
        Hours of the person that day; None for a press or when the plan does not say.
    """

    side: Side
    name: str
    day: date
    items: tuple[PlannedRun | Stretch, ...]
    shift: Absence | None = None

    @property
    def runs(self) -> tuple[PlannedRun, ...]:
        """The runs alone."""
        return tuple(item for item in self.items if isinstance(item, PlannedRun))


def place(run: PlannedRun) -> str:
    """The press of a run, or both of one that is at two: "North + South"."""
    return " + ".join(run.presses)


def owner(run: PlannedRun, side: Side) -> str:
    """Whose sheet a run is on, in words."""
    return run.operator if side == "operator" else place(run)


def owners(run: PlannedRun, side: Side) -> tuple[str, ...]:
    """Whose sheets a run is on: its operator's, or that of each press that it holds."""
    return (run.operator,) if side == "operator" else run.presses


def names(plan: Plan, side: Side) -> list[str]:
    """People or presses that have runs, and people who switch a press on, in the shop's order."""
    listed = [one.name for one in (plan.shop.crew if side == "operator" else plan.shop.presses)]
    busy = dict.fromkeys(name for run in plan.runs for name in owners(run, side))
    if side == "operator":
        busy |= dict.fromkeys(one.by for one in plan.warm_ups if one.by)
        busy |= dict.fromkeys(one.by for one in switch_offs(plan) if one.by)
    return [name for name in listed if name in busy] + [name for name in busy if name not in listed]


def in_order(plan: Plan) -> list[PlannedRun]:
    """All runs by number."""
    return sorted(plan.runs, key=lambda run: run.number)


def in_time(plan: Plan) -> list[PlannedRun]:
    """All runs as the day goes; numbers no longer do once a day was planned again."""
    return sorted(plan.runs, key=lambda run: (run.start, run.pressing_start, run.number))


def sheet_days(plan: Plan, side: Side, name: str) -> list[SheetDay]:
    """The sheets of one person or press, one for each date with a run or a press to switch on."""
    own = [run for run in in_time(plan) if name in owners(run, side)]
    days = {run.start.date() for run in own}
    if side == "operator" and name:
        if plan.at is not None and told_apart(plan, name):
            days.add(plan.at.date())
        days |= {one.start.date() for one in plan.warm_ups if one.by == name}
    return [
        _sheet_day(plan, side, name, day, [run for run in own if run.start.date() == day])
        for day in sorted(days)
    ]


def switched_on_inside(plan: Plan, run: PlannedRun) -> list[PlannedWarmUp]:
    """Presses that a run's operator must switch on between its first piece and its last."""
    return _switched_on(plan, run, run.pressing_start, run.end)


def switched_on_while_changing(plan: Plan, run: PlannedRun) -> list[PlannedWarmUp]:
    """Presses that a run's operator must switch on in the changeover before it, up to its first piece."""
    during = _switched_on(plan, run, run.start, run.end)
    return [one for one in during if one.start <= run.pressing_start]


def _switched_on(plan: Plan, run: PlannedRun, first: datetime, last: datetime) -> list[PlannedWarmUp]:
    return [one for one in plan.warm_ups if one.by and one.by == run.operator and first < one.start < last]


def _sheet_day(plan: Plan, side: Side, name: str, day: date, runs: list[PlannedRun]) -> SheetDay:
    shift = None
    items: list[PlannedRun | Stretch] = list(runs)
    if side == "operator":
        shift = next((one for one in plan.shifts if one.operator == name and one.start.date() == day), None)
        inside = [pause for run in runs for pause in run.pauses]
        items += [
            Stretch(kind="break", start=start, end=end)
            for start, end in without(breaks_of(plan, name, day), inside)
        ]
        items = _with_absences(plan, name, items, shift)
        told = [
            one
            for run in runs
            for one in (*switched_on_while_changing(plan, run), *switched_on_inside(plan, run))
        ]
        items += [
            Stretch(kind="switch-on", start=one.start, end=one.start, warm_up=one)
            for one in plan.warm_ups
            if name and one.by == name and one.start.date() == day and one not in told
        ]
        off = told_apart(plan, name) if plan.at is not None and plan.at.date() == day else ()
        if off and plan.at is not None:
            # A minute long: what is over by the moment is on no new sheet.
            until = plan.at + timedelta(minutes=1)
            items.append(Stretch(kind="switch-off", start=plan.at, end=until, presses=off))
        items = _with_gaps(items, shift)
    return SheetDay(side=side, name=name, day=day, items=tuple(items), shift=shift)


def breaks_of(plan: Plan, name: str, day: date) -> list[Span]:
    """A person's breaks on a date, as far as they are there: who is away has none."""
    away = [(one.start, away_until(one)) for one in plan.between.away if one.person == name]
    breaks = [(one.start, one.end) for one in plan.breaks if one.operator == name and one.start.date() == day]
    return without(breaks, away)


def _with_absences(
    plan: Plan, name: str, items: list[PlannedRun | Stretch], shift: Absence | None
) -> list[PlannedRun | Stretch]:
    """The items with the absences of a person that were told since; breaks inside them are left out."""
    if shift is None:
        return items
    for away in plan.between.away:
        start, end = max(away.start, shift.start), min(away_until(away), shift.end)
        if away.person != name or start >= end:
            continue
        items = [
            item for item in items if isinstance(item, PlannedRun) or item.start < start or item.end > end
        ]
        items.append(Stretch(kind="away", start=start, end=end))
    return items


def _with_gaps(items: list[PlannedRun | Stretch], shift: Absence | None) -> list[PlannedRun | Stretch]:
    if not items:
        return []
    items = sorted(items, key=lambda item: (item.start, item.end))
    at = shift.start if shift else items[0].start
    filled: list[PlannedRun | Stretch] = []
    for item in items:
        if item.start - at >= LEAST_GAP:
            filled.append(Stretch(kind="gap", start=at, end=item.start))
        filled.append(item)
        at = max(at, item.end)
    if shift and shift.end - at >= LEAST_GAP:
        filled.append(Stretch(kind="gap", start=at, end=shift.end))
    return filled


def without_free_end(
    items: Sequence[Stretch | PlannedRun],
) -> tuple[Sequence[Stretch | PlannedRun], datetime | None]:
    """The items without free time and breaks behind the last thing to do, and since when there is free time.

    A line for it could stand on a page of its own. None: nothing but a break is behind that, or nothing.
    """
    end = len(items)
    while end and isinstance(item := items[end - 1], Stretch) and item.kind in ("gap", "break"):
        end -= 1
    last = [item for item in items[end:] if isinstance(item, Stretch)]
    if any(item.kind == "gap" for item in last):
        return items[:end], last[0].start
    return items, None


def changeover_of(plan: Plan, run: PlannedRun, press: str) -> PlannedChangeover | None:
    """The changeover at one of a run's presses right before it, if anything changes there."""
    return next(
        (change for change in plan.changeovers if change.before == run.id and change.press == press), None
    )


def changeovers_of(plan: Plan, run: PlannedRun) -> tuple[PlannedChangeover, ...]:
    """The changeovers right before a run, press by press."""
    found = (changeover_of(plan, run, press) for press in run.presses)
    return tuple(change for change in found if change is not None)


WHOEVER = "by whoever is in"
"""Who switches a press on for which nobody of the crew is in, though some were before."""


def switched_on_by(plan: Plan, warm: PlannedWarmUp) -> str:
    """Who switches a press on: somebody by name, else how it can be done with nobody of the crew there."""
    if warm.by:
        return warm.by
    shifts = [one for one in plan.shifts if one.start.date() == warm.start.date()]
    if all(warm.start < one.start for one in shifts):
        return "by timer or whoever opens"
    # Between two shifts nobody may come as planned: no timer for that, a press wants somebody near it.
    return WHOEVER


def warm_up_of(plan: Plan, run: PlannedRun, press: str) -> PlannedWarmUp | None:
    """The warm-up of a press that a run waits for: it is the first there that day, or after a standstill."""
    day = run.start.date()
    before = press_before(plan, run, press)
    # Setting up may begin while the press still heats.
    last = before.pressing_start if before is not None and before.start.date() == day else None
    fitting = [
        one
        for one in plan.warm_ups
        if one.press == press and one.start.date() == day and (last is None or last < one.start)
    ]
    if last is not None:
        # Switched on again after it was down or off, maybe too late; later ones are for later runs.
        fitting = [one for one in fitting if one.start <= run.pressing_start]
    # One that was for nothing, its run gone or put off, has another behind it.
    in_time = [one for one in fitting if one.ready <= run.pressing_start]
    return next(iter(in_time[-1:] or fitting), None)
