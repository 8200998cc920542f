"""Temperatures that presses aren't set to, since their sheets in hand named another run to follow."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from scheduler.domain.plan import ChangeoverPart, Plan, PlannedChangeover, PlannedRun
from scheduler.domain.press_order import press_after, press_before
from scheduler.planning.changeovers import STEP_WORDS
from scheduler.planning.setups import TEMPERATURE, temperature_ticks


def told_too_late(plan: Plan, printed: Plan, now: datetime) -> tuple[PlannedChangeover, ...]:
    """The changeovers of a day planned again, with what is to be set at once and was not told in time.

    A press is set for its next run when a run ends, or when it is switched on. Where that is over by `now`,
    it was set for the run that followed on the sheets in hand. From there the step goes, also where the
    plan has none, since it wants the temperature of the run before.

    Parameters
    ----------
    printed
        The plan of the sheets in hand.
    """
    found = {(one.press, one.before): one for one in plan.changeovers}
    for run in (one for one in plan.runs if one.end > now):
        for press in run.presses:
            step = _at_once(plan, printed, run, press, now)
            if step is not None:
                found[press, run.id] = _with_step(found.get((press, run.id)), run, press, step)
    runs = {run.id: (run.start, run.pressing_start) for run in plan.runs}
    return tuple(sorted(found.values(), key=lambda one: (*runs[one.before], one.press, one.before)))


def _at_once(plan: Plan, printed: Plan, run: PlannedRun, press: str, now: datetime) -> ChangeoverPart | None:
    """The step from what a press is set to; None: it is set for the run, or will be told in time."""
    before = press_before(plan, run, press)
    if before is not None and before.start.date() != run.start.date():
        before = None
    heated = [
        (warm.start, warm.temp_c)
        for warm in plan.warm_ups
        if warm.press == press
        and warm.start.date() == run.start.date()
        and warm.start <= run.pressing_start
        and (before is None or before.pressing_start < warm.start)
    ]
    if heated:
        since, temp_c = max(heated)
        if since >= now:
            return None
        following = [one for one in _on_press(printed, press, run) if one.end > since]
        follower = min(following, key=lambda one: one.start, default=None)
    elif before is None or before.end > now:
        return None
    else:
        own = next((one for one in printed.runs if one.id == before.id), None)
        follower = None if own is None else press_after(printed, own, press)
        temp_c = before.temp_c if follower is None else follower.temp_c
    late = None if follower is None else _told_late(printed, follower, press)
    if follower is not None and late is not None:
        # The sheets in hand have it set at once, too: whether that is done, nobody knows.
        temp_c = follower.temp_c
        if temp_c == run.temp_c:
            return late
    return None if temp_c == run.temp_c else _step(plan, press, temp_c, run.temp_c)


def _on_press(plan: Plan, press: str, run: PlannedRun) -> Iterator[PlannedRun]:
    return (one for one in plan.runs if press in one.presses and one.start.date() == run.start.date())


def _told_late(plan: Plan, run: PlannedRun, press: str) -> ChangeoverPart | None:
    """The step of a changeover that was told too late."""
    return next(
        (
            part
            for change in plan.changeovers
            if (change.press, change.before) == (press, run.id)
            for part in change.parts
            if part.untold
        ),
        None,
    )


def _step(plan: Plan, name: str, before_c: int, after_c: int) -> ChangeoverPart:
    press = next(one for one in plan.shop.presses if one.name == name)
    ticks = temperature_ticks(press, before_c, after_c, plan.instance.tick_s)
    return ChangeoverPart(
        name=STEP_WORDS[TEMPERATURE],
        minutes=ticks * plan.instance.tick_s / 60,
        hands_off=True,
        before=f"{before_c} °C",
        after=f"{after_c} °C",
        untold=True,
    )


def _with_step(
    change: PlannedChangeover | None, run: PlannedRun, press: str, step: ChangeoverPart
) -> PlannedChangeover:
    if change is None:
        change = PlannedChangeover(
            press=press,
            before=run.id,
            start=run.start,
            end=run.pressing_start,
            hands_on_minutes=0.0,
            hands_off_minutes=0.0,
            parts=(),
        )
    rest = tuple(part for part in change.parts if not part.hands_off)
    return replace(change, hands_off_minutes=step.minutes, parts=(step, *rest))
