"""What comes in between: a press down, a person away, a box late, an order cancelled, pieces spoiled.

A run that is cut off in the middle becomes two tasks: what is pressed, and the rest.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import date, datetime

from scheduler.domain.day_problem import DayProblem, Personal, Pieces, RunContent
from scheduler.domain.disruptions import Disruptions, PartKind, RunPart
from scheduler.domain.instance import Instance, Machine, Mode, Operator, Shift, Task
from scheduler.domain.orders import Order
from scheduler.domain.pieces import pressed_again
from scheduler.domain.shop import Shop
from scheduler.domain.times import exact
from scheduler.planning.beside import timed_pieces
from scheduler.planning.calendar import tick_at_or_after, tick_at_or_before
from scheduler.planning.cycle import work_ticks


def with_late_boxes(orders: Iterable[Order], late: dict[str, datetime]) -> tuple[Order, ...]:
    """The orders, garments of late boxes expected no earlier than said.

    What came on top of an order comes with its box, unless something else was said of it.
    """

    def waiting(order: Order) -> Order:
        at = late.get(order.id) or late.get(order.on_top_of)
        if at is None:
            return order
        lines = (replace(line, garments_in=max(at, line.garments_in or at)) for line in order.lines)
        return replace(order, lines=tuple(lines))

    return tuple(waiting(order) for order in orders)


def with_parts(problem: DayProblem, parts: Iterable[RunPart]) -> DayProblem:
    """The problem with a task for each part, on the same garments as its run; one may be part of another."""
    for part in parts:
        problem = _with_part(problem, part)
    return problem


def _with_part(problem: DayProblem, part: RunPart) -> DayProblem:
    instance = problem.instance
    task = next(task for task in instance.tasks if task.id == part.run)
    content = problem.contents[part.run]
    kept, rest = _divided(content.pieces, part)
    again = part.name is PartKind.AGAIN
    cycles = {(part.task, mode.id): problem.cycle_s[task.id, mode.id] for mode in task.modes}
    follows = tuple(
        replace(pair, before=part.task) for pair in instance.precedences if pair.before == task.id
    )
    return replace(
        problem,
        instance=replace(
            instance,
            tasks=(*instance.tasks, _part_task(problem, task, part)),
            precedences=(*instance.precedences, *follows),
        ),
        contents={
            **problem.contents,
            part.run: replace(content, pieces=kept, names=_names_of(content, kept, first=True)),
            part.task: replace(
                content,
                task=part.task,
                pieces=rest,
                names=_names_again(content, rest) if again else _names_of(content, rest, first=False),
                # It is no lot of the run: under its number there would be two of them.
                lot=1 if again else content.lot,
                lots=1 if again else content.lots,
            ),
        },
        cycle_s={**problem.cycle_s, **cycles},
        temp_c={**problem.temp_c, part.task: problem.temp_c[part.run]},
        parts=(*problem.parts, part),
    )


def _part_task(problem: DayProblem, task: Task, part: RunPart) -> Task:
    tick_s = problem.instance.tick_s
    modes = tuple(
        timed_for(problem.shop, mode, part.pieces, problem.cycle_s[task.id, mode.id], tick_s)
        for mode in task.modes
    )
    laid = len(problem.contents[task.id].laid)
    return replace(
        task,
        id=part.task,
        release=max(task.release, part.from_tick),
        pressings=part.pieces * laid,
        modes=modes,
    )


def timed_for(shop: Shop, mode: Mode, pieces: int, cycle_s: float, tick_s: int) -> Mode:
    """A mode with everybody's ticks of pressing for another number of pieces, for planning again."""
    pace = {person.name: person.pace for person in shop.crew}
    timed = timed_pieces(mode, pieces)
    return replace(
        mode,
        operators=tuple(
            (person, work_ticks(shop, timed, exact(cycle_s), pace[person], tick_s))
            for person, _ in mode.operators
        ),
    )


def _divided(pieces: tuple[Pieces, ...], part: RunPart) -> tuple[tuple[Pieces, ...], tuple[Pieces, ...]]:
    """Pieces of the run that are pressed, none when it was cut off before its first, and those of the part.

    Which sizes are pressed nobody counted: they are taken in the order of the sheet. Of pieces to be pressed
    again the run keeps all; they are of the sizes that somebody said, and otherwise of none that is known.
    """
    if part.name is PartKind.AGAIN:
        return pieces, pressed_again(pieces, part.known, part.pieces)
    whole = sum(one.quantity for one in pieces)
    kept = _first(pieces, part.done)
    return kept, _first(tuple(reversed(pieces)), min(whole, part.pieces))[::-1]


def _first(pieces: Iterable[Pieces], count: int) -> tuple[Pieces, ...]:
    found = []
    for one in pieces:
        if count <= 0:
            break
        found.append(replace(one, quantity=min(count, one.quantity)))
        count -= one.quantity
    return tuple(found)


def _names_of(content: RunContent, pieces: Iterable[Pieces], *, first: bool) -> tuple[Personal, ...]:
    """The personal pieces among the first, or the last, of each size; one of no known size stays with both.

    Of each size those with a name are pressed first, in the order of the sheet.
    """
    whole = _counts(content.pieces)
    part = _counts(pieces)
    ranks: Counter[tuple[str, ...]] = Counter()
    found = []
    for one in content.names:
        kind = (one.garment, one.colour, one.size)
        rank = ranks[*kind, one.placement]
        ranks[*kind, one.placement] += 1
        there = part.get(kind, 0)
        if not one.size or (rank < there if first else rank >= whole.get(kind, 0) - there):
            found.append(one)
    return tuple(found)


def _names_again(content: RunContent, pieces: Iterable[Pieces]) -> tuple[Personal, ...]:
    """The names that are pressed again: those of a size that is whole; of others nobody said which."""
    whole, part = _counts(content.pieces), _counts(pieces)
    return tuple(
        one
        for one in content.names
        if (kind := (one.garment, one.colour, one.size)) in part and part[kind] == whole[kind]
    )


def _counts(pieces: Iterable[Pieces]) -> dict[tuple[str, str, str], int]:
    counts: dict[tuple[str, str, str], int] = {}
    for one in pieces:
        kind = (one.garment, one.colour, one.size)
        counts[kind] = counts.get(kind, 0) + one.quantity
    return counts


def without_jobs(instance: Instance, jobs: Iterable[str]) -> Instance:
    """The instance without what is left of some orders."""
    gone = set(jobs)
    left = {task.id for task in instance.tasks if task.job not in gone}
    return replace(
        instance,
        jobs=tuple(job for job in instance.jobs if job.id not in gone),
        tasks=tuple(task for task in instance.tasks if task.id in left),
        choices=tuple(
            choice
            for choice in instance.choices
            if all(task in left for way in choice.options for task in way)
        ),
        precedences=tuple(
            pair for pair in instance.precedences if pair.before in left and pair.after in left
        ),
        printed=tuple(
            replace(each, before=each.before if each.before in left else None)
            for each in instance.printed
            if each.task in left
        ),
    )


def with_presses_down(
    instance: Instance, until: dict[str, int], *, pressed: Collection[str] = ()
) -> Instance:
    """The instance with presses that are down until a tick; they are cold then, their platen on the shelf.

    Parameters
    ----------
    until
        By press. Where that is over, it was switched on again then, or still has to be.
    pressed
        Presses that have pressed again since: they are as any other.
    """

    def down(machine: Machine) -> Machine:
        if machine.id not in until or machine.id in pressed:
            return machine
        back = until[machine.id]
        on_again = machine.warming is not None and machine.warming[0] >= back
        return replace(
            machine,
            free_from=max(machine.free_from, back),
            hot=False,
            warming=machine.warming if on_again else None,
            mounted=None,
        )

    return replace(instance, machines=tuple(down(machine) for machine in instance.machines))


def without_away(instance: Instance, between: Disruptions, day: date, today: int) -> Instance:
    """The instance with the people not there of whom that was said.

    Parameters
    ----------
    day
        That of tick 0.
    today
        The tick at which that day's hours end: till then is away whoever has no end.
    """
    tick_s = instance.tick_s
    return with_people_away(
        instance,
        (
            (
                away.person,
                tick_at_or_before(day, away.start, tick_s),
                today if away.end is None else tick_at_or_after(day, away.end, tick_s),
            )
            for away in between.away
        ),
    )


def with_people_away(instance: Instance, away: Iterable[tuple[str, int, int]]) -> Instance:
    """The instance with (person, start, end) not there; a run can't go on over an absence."""
    absences = list(away)

    def cut(person: Operator) -> Operator:
        shifts = list(person.shifts)
        for name, start, end in absences:
            if name == person.id:
                shifts = [part for shift in shifts for part in _around(shift, start, end)]
        return replace(person, shifts=tuple(shifts))

    return replace(instance, operators=tuple(cut(person) for person in instance.operators))


def _around(shift: Shift, start: int, end: int) -> list[Shift]:
    """What is left of a shift before and after an absence."""
    if end <= shift.start or start >= shift.overtime_end:
        return [shift]
    found = []
    if start > shift.start:
        found.append(
            Shift(
                start=shift.start,
                end=min(shift.end, start),
                overtime_end=start,
                breaks=tuple((first, min(last, start)) for first, last in shift.breaks if first < start),
            )
        )
    if end < shift.overtime_end:
        found.append(
            Shift(
                start=end,
                end=max(end, shift.end),
                overtime_end=shift.overtime_end,
                breaks=tuple((max(first, end), last) for first, last in shift.breaks if last > end),
            )
        )
    return found
