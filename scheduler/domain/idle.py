"""Presses that go off between two runs: idle for long, or with nobody of the crew in.

One reading of the plan for sheets, lists and notes, so that they can't differ. When a press is switched on
again is planned in `scheduler/planning/idle.py` and `scheduler/planning/heating.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from scheduler.domain.plan import Plan, PlannedRun, PlannedWarmUp
from scheduler.domain.presence import Span, away_until, empty_between, presence
from scheduler.domain.press_order import press_after

NOTICE_MIN = 10
"""Minutes before which nothing that is not printed begins, so that the new sheets can be handed out."""


LONG_IDLE = timedelta(hours=1)
"""A press that can stay off for so long between two runs goes off; a shorter rest is left hot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressOff:
    """A press that goes off after a run, for another run on the same date.

    Attributes
    ----------
    off
        The end of the run before, or the moment from which the day was planned again, if that is later.
    again
        When it is switched on again; None: at once, since it needs no warm-up.
    empty
        When nobody of the crew is in meanwhile; none: somebody always is, and the press is idle for long.
    """

    press: str
    before: PlannedRun
    following: PlannedRun
    off: datetime
    again: PlannedWarmUp | None
    empty: tuple[Span, ...]


def again_at(plan: Plan, before: PlannedRun, following: PlannedRun, press: str) -> PlannedWarmUp | None:
    """The warm-up of a press between two runs there on one date; the last, where one was for nothing."""
    between = [
        warm
        for warm in plan.warm_ups
        if warm.press == press and before.end <= warm.start <= following.pressing_start
    ]
    return max(between, key=lambda warm: warm.start, default=None)


def press_off(plan: Plan, run: PlannedRun, press: str) -> PressOff | None:
    """Whether a press goes off after a run although another follows on that date; None: it stays on."""
    following = press_after(plan, run, press)
    if following is None:
        return None
    off = run.end if plan.at is None else max(run.end, plan.at)
    again = again_at(plan, run, following, press)
    day = run.start.date()
    # Of that day alone: a plan may have hundreds of runs over many days.
    spans = presence(
        [one for one in plan.shifts if one.start.date() == day],
        [one for one in plan.runs if one.start.date() == day],
        plan.between.away,
        [one for one in plan.breaks if one.start.date() == day],
    )
    empty = empty_between(spans, off, following.pressing_start) if off < following.pressing_start else []
    if again is None and not empty:
        return None
    return PressOff(
        press=press,
        before=run,
        following=following,
        off=off,
        again=again,
        empty=tuple(empty),
    )


def waiting(plan: Plan, at: datetime) -> dict[str, PlannedWarmUp]:
    """Presses switched on before a moment of that date that have begun no run since, with that warm-up.

    What is told to go off since is in it as well. A standstill takes a press off by itself.
    """
    found: dict[str, PlannedWarmUp] = {}
    for warm in sorted(plan.warm_ups, key=lambda one: one.start):
        if warm.start < at and warm.start.date() == at.date():
            found[warm.press] = warm
    pressed = {
        press
        for run in plan.runs
        for press in run.presses
        if press in found and run.start < at and run.end > found[press].start
    }
    down = {
        one.press
        for one in plan.between.down
        if one.press in found and (one.until is None or one.until > found[one.press].start)
    }
    return {press: warm for press, warm in found.items() if press not in pressed | down}


def told_off(plan: Plan, at: datetime) -> tuple[str, ...]:
    """Of the presses that wait for a run at a moment, those off by the sheets of a plan."""
    if plan.at is None:
        return ()
    off = {*plan.off, *off_at_once(plan)}
    return tuple(
        press for press, warm in sorted(waiting(plan, at).items()) if press in off and warm.start < plan.at
    )


def off_at_once(plan: Plan) -> list[str]:
    """Presses that no sheet in hand has told to go off: on, and idle, at the moment of planning again."""
    if plan.at is None:
        return []
    last: dict[str, PlannedRun] = {}
    for run in sorted(plan.runs, key=lambda one: (one.start, one.number)):
        if run.end <= plan.at and run.start.date() == plan.at.date():
            last |= dict.fromkeys(run.presses, run)
    on = waiting(plan, plan.at)
    # What begins within the notice stays as it was printed, its press as well.
    soon = plan.at + timedelta(minutes=NOTICE_MIN)
    found = {
        press
        for press, run in last.items()
        if press not in on
        and (
            press_after(plan, run, press) is None
            or ((one := press_off(plan, run, press)) is not None and one.following.start >= soon)
        )
    }
    found |= {press for press in on if _idle(plan, press, plan.at, soon)}
    switched_on = {one.press for one in plan.warm_ups if _today_before(plan, one.start)}
    found |= switched_on & down_now(plan)
    return sorted(found.difference(plan.off))


def _today_before(plan: Plan, moment: datetime) -> bool:
    return plan.at is not None and moment <= plan.at and moment.date() == plan.at.date()


def down_now(plan: Plan) -> set[str]:
    """Presses that are down at the moment of planning again."""
    return {
        one.press
        for one in plan.between.down
        if plan.at is not None and (one.until is None or one.until > plan.at)
    }


def off_on_paper(plan: Plan, at: datetime) -> set[str]:
    """Presses that are off at a later moment by the sheets of a plan, since its own moment or before."""
    if plan.at is None:
        return set()
    on = {one.press for one in plan.warm_ups if plan.at <= one.start < at}
    return {*plan.off, *off_at_once(plan)} - on


def _idle(plan: Plan, press: str, at: datetime, soon: datetime) -> bool:
    """Whether a press that waits for a run since a moment goes off: it has none, or is switched on anew."""
    later = [
        run for run in plan.runs if press in run.presses and run.start >= at and run.start.date() == at.date()
    ]
    following = min(later, key=lambda run: run.start, default=None)
    if following is None:
        return True
    return following.start >= soon and any(
        warm.press == press and at <= warm.start < following.pressing_start for warm in plan.warm_ups
    )


def off_by(plan: Plan) -> str:
    """Who switches off what is on at the moment of planning again: of those there, who has no run then.

    Whoever leaves at that very moment does it before leaving, if nobody else is there.
    """
    if plan.at is None:
        return ""
    there = {one.operator for one in plan.shifts if one.start <= plan.at < one.end}
    gone = {one.person for one in plan.between.away if one.start < plan.at < away_until(one)}
    leave = {one.person for one in plan.between.away if one.start == plan.at}
    busy = {run.operator for run in plan.runs if run.start <= plan.at < run.end}
    return min(there - gone, key=lambda name: (name in leave, name in busy, name), default="")


def leaves_now(plan: Plan, name: str) -> bool:
    """Whether somebody is away from the moment of planning again on."""
    return any(one.person == name and one.start == plan.at for one in plan.between.away)


__all__ = [
    "LONG_IDLE",
    "PressOff",
    "again_at",
    "down_now",
    "leaves_now",
    "off_at_once",
    "off_by",
    "off_on_paper",
    "press_off",
    "told_off",
    "waiting",
]
