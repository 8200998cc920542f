"""Runs under way that stop: their order is cancelled, their press is down, or their person leaves.

And who switches off what is on at that moment: whoever stops a run, or somebody else.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from scheduler.domain.disruptions import PartKind, RunPart, cancelled_of
from scheduler.domain.idle import down_now, leaves_now, off_at_once, off_by, press_off
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.press_order import press_after


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchOff:
    """A press that goes off at the moment of planning again, told once: to one person.

    Attributes
    ----------
    by
        Whose sheet says so; empty: nobody of the crew is in.
    stopped
        The run of theirs that stops at the press, and at which it says so; None: a line of its own does.
    """

    press: str
    by: str
    stopped: PlannedRun | None = None


def cancelled_rest(plan: Plan, run: PlannedRun) -> RunPart | None:
    """What is not pressed any more of a run that was begun, since its order is cancelled; None: nothing."""
    if run.content.order not in cancelled_of(plan.given, plan.between):
        return None
    there = {one.id for one in plan.runs}
    return next(
        (
            part
            for part in plan.parts
            if part.run == run.id and part.name is PartKind.REST and part.task not in there
        ),
        None,
    )


def cut_off(plan: Plan, run: PlannedRun) -> RunPart | None:
    """What another run presses of one that can't go on from the moment of the plan on; None: it goes on.

    Its press is down then, or its person leaves.
    """
    if plan.at is None or not run.start <= plan.at <= run.end or why_cut(plan, run) == "":
        return None
    # Times are in ticks; whoever leaves later than now presses until then.
    if run.end - plan.at >= timedelta(seconds=plan.instance.tick_s):
        return None
    parts = (part for part in plan.parts if part.run == run.id and part.name is PartKind.REST)
    return next(parts, None) if cancelled_rest(plan, run) is None else None


def why_cut(plan: Plan, run: PlannedRun) -> str:
    """Why a run can't go on at the moment of the plan; empty: it can."""
    down = [press for press in run.presses if press in down_now(plan)]
    if down:
        return f"{down[0]} is down"
    return f"{run.operator} leaves" if leaves_now(plan, run.operator) else ""


def stopping(plan: Plan, run: PlannedRun) -> RunPart | None:
    """What is left of a run that stops at the moment of the plan; None: it doesn't stop."""
    under_way = plan.at is not None and run.start <= plan.at <= run.end
    return (cancelled_rest(plan, run) or cut_off(plan, run)) if under_way else None


def stops_now(plan: Plan, run: PlannedRun) -> bool:
    """Whether a run is under way at the moment of the plan, and must stop: somebody has to hear it."""
    return stopping(plan, run) is not None


def stops(plan: Plan) -> list[PlannedRun]:
    """The runs that stop at the moment of the plan, in time order."""
    in_time = sorted(plan.runs, key=lambda one: (one.start, one.pressing_start, one.number))
    return [run for run in in_time if stops_now(plan, run)]


def switch_offs(plan: Plan) -> tuple[SwitchOff, ...]:
    """Who switches off each press that goes off at the moment of planning again.

    Whoever stops a run there does it, as the box of that run says; nobody else is told as well.
    """
    stopped = stops(plan)
    found = []
    for press in off_at_once(plan):
        run = next((run for run in stopped if run.operator and _off_with(plan, run, press)), None)
        by = off_by(plan) if run is None else run.operator
        found.append(SwitchOff(press=press, by=by, stopped=run))
    return tuple(found)


def told_apart(plan: Plan, name: str) -> tuple[str, ...]:
    """The presses that somebody is told to switch off at once, in a line of its own."""
    return tuple(one.press for one in switch_offs(plan) if one.by == name and one.stopped is None)


def _off_with(plan: Plan, run: PlannedRun, press: str) -> bool:
    """Whether the box of a run says to switch off a press of it when that is done."""
    return press in run.presses and (
        press_after(plan, run, press) is None or press_off(plan, run, press) is not None
    )


__all__ = [
    "SwitchOff",
    "cancelled_rest",
    "cut_off",
    "stopping",
    "stops",
    "stops_now",
    "switch_offs",
    "told_apart",
    "why_cut",
]
