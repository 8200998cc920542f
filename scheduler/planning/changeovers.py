"""The changeovers of a schedule in trade words, step by step."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.instance import Instance
from scheduler.domain.plan import ChangeoverPart, PlannedChangeover
from scheduler.planning.calendar import clock
from scheduler.planning.platens import HandedOver, handed_over
from scheduler.planning.setups import ARTWORK, PLATEN, PRESSURE, TEMPERATURE
from scheduler.planning.trail import Change, Step

STEP_WORDS = {
    PLATEN: "swap the platen",
    PRESSURE: "set the pressure",
    ARTWORK: "fetch and line up the artwork",
    TEMPERATURE: "set the temperature",
}
"""What an operator does for each part of a press's state."""

MOUNT = "mount the platen"
"""In place of a swap, when the platen that is wanted was given up or none was on."""


def at(problem: DayProblem, tick: int) -> datetime:
    """The local wall-clock time of a tick of the problem."""
    return clock(problem.day, tick, problem.instance.tick_s)


def minutes(instance: Instance, ticks: int) -> float:
    """Ticks as minutes."""
    return ticks * instance.tick_s / 60


def in_order(trail: Sequence[Step]) -> list[Step]:
    """Steps as the day goes: by begin of setting up, then pressing, then press."""
    return sorted(trail, key=lambda s: (s.done.setup_start, s.done.start, s.machine, s.task.id))


def changeovers(problem: DayProblem, trail: Sequence[Step]) -> tuple[PlannedChangeover, ...]:
    """The changeovers that take time, as the day goes, each with its steps; waiting for heat first."""
    instance = problem.instance
    handed = _handed_over(problem, trail)
    found = []
    for step in in_order(trail):
        if not step.changes:
            continue
        # The second of two presses is set up after the first one.
        begin = step.done.setup_start if step.first else step.done.start - step.hands_on
        if not step.hands_on:
            begin = step.done.start
        if step.hands_off and step.previous is not None:
            begin = min(begin, step.previous.end)
        found.append(
            PlannedChangeover(
                press=step.machine,
                before=step.task.id,
                start=at(problem, begin),
                end=at(problem, step.done.start),
                hands_on_minutes=minutes(instance, step.hands_on),
                hands_off_minutes=minutes(instance, step.hands_off),
                parts=tuple(_part(problem, step, change, handed) for change in step.changes),
            )
        )
    return tuple(found)


def _handed_over(problem: DayProblem, trail: Sequence[Step]) -> HandedOver:
    modes = {(step.task.id, step.mode.id): step.mode for step in trail}
    runs = tuple(step.done for step in trail if step.first)
    return handed_over(problem.instance, modes, runs, runs)


def _part(problem: DayProblem, step: Step, change: Change, handed: HandedOver) -> ChangeoverPart:
    part = problem.instance.setup_parts[change.part].name
    machine = next(machine for machine in problem.instance.machines if machine.id == step.machine)
    before, after = "", _value(problem, part, step.task.id, step.mode.platen)
    if step.previous is not None:
        last = next(
            mode
            for task in problem.instance.tasks
            if task.id == step.previous.task
            for mode in task.modes
            if mode.id == step.previous.mode
        )
        before = _value(problem, part, step.previous.task, last.platen)
    elif part == PLATEN:
        before = machine.mounted or ""
    name = STEP_WORDS.get(part, part)
    taken_from = went_to = ""
    if part == PLATEN:
        taken_from = handed.taken_from.get((step.task.id, step.machine), "")
        gone, taker = handed.went_to.get((step.task.id, step.machine), ("", ""))
        if gone not in ("", after):
            name, before, went_to = MOUNT, gone, taker
        elif before in ("", after):
            name, before = MOUNT, ""
    if part == ARTWORK and before == after:
        before = ""
    return ChangeoverPart(
        name=name,
        minutes=minutes(problem.instance, change.ticks),
        hands_off=change.hands_off,
        before=before,
        after=after,
        heating_minutes=_heating(problem, part, step.mode.platen, minutes(problem.instance, change.ticks)),
        taken_from=taken_from,
        went_to=went_to,
    )


def heating_minutes(problem: DayProblem, step: Step) -> float:
    """Of the minutes by which a step's operator is bound, those in which its platen comes to heat."""
    instance = problem.instance
    return sum(
        _heating(
            problem,
            instance.setup_parts[change.part].name,
            step.mode.platen,
            minutes(instance, change.ticks),
        )
        for change in step.changes
        if not change.hands_off
    )


def _heating(problem: DayProblem, part: str, platen: str | None, most: float) -> float:
    """Minutes of a swap in which the platen that comes on is brought to heat."""
    if part != PLATEN:
        return 0.0
    heating = next((known.pre_heat_min for known in problem.shop.platens if known.name == platen), 0.0)
    return min(heating, most)


def _value(problem: DayProblem, part: str, task: str, platen: str | None) -> str:
    content = problem.contents[task]
    if part == PLATEN:
        return platen or ""
    if part == PRESSURE:
        return content.recipe.pressure.value
    if part == TEMPERATURE:
        return f"{problem.temp_c[task]} °C"
    return " + ".join(laid.artwork for laid in content.laid)
