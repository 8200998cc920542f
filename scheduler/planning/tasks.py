"""Tasks of the instance and what they mean: modes, contents, choices, precedences, jobs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from scheduler.domain.day_problem import RunContent
from scheduler.domain.instance import Choice, Job, Mode, Precedence, Task
from scheduler.domain.orders import Order
from scheduler.domain.shop import Shop
from scheduler.domain.times import exact, ticks_up
from scheduler.planning.calendar import tick_at_or_after, tick_at_or_before
from scheduler.planning.contents import content_of
from scheduler.planning.groups import Group
from scheduler.planning.lots import Unit
from scheduler.planning.names import task_name
from scheduler.planning.personal import personal_s
from scheduler.planning.setups import Artwork, Settings
from scheduler.planning.timing import Presence, TimedWay


@dataclass(frozen=True, slots=True, kw_only=True)
class Tasks:
    """The tasks of all orders, and what their ids mean."""

    tasks: tuple[Task, ...]
    choices: tuple[Choice, ...]
    precedences: tuple[Precedence, ...]
    contents: dict[str, RunContent]
    cycle_s: dict[tuple[str, str], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    task: Task
    unit: int
    content: RunContent
    more_s: Fraction


def artwork_of(unit: Unit) -> Artwork:
    """What must be lined up for a unit: the artwork of its run, or of both of a pair."""
    return tuple(
        (run.placement.name, run.transfer, run.artwork, run.width_mm, run.height_mm) for run in unit.runs
    )


def job_of(shop: Shop, order: Order, day: date, tick_s: int) -> Job:
    """An order as a job: its cut-off, weight, and checking and packing (a fixed part, a part a piece)."""
    allowances = shop.allowances
    packing = ticks_up(60 * exact(allowances.packing_min), tick_s)
    packing += ticks_up(order.quantity * exact(allowances.packing_piece_s), tick_s)
    due = tick_at_or_before(day, order.cut_off, tick_s)
    return Job(id=order.id, due=due, weight=order.weight, packing=packing)


def tasks_of(
    shop: Shop, groups: Sequence[Group], settings: Settings, presence: Presence, day: date, tick_s: int
) -> Tasks:
    """Every task that some option needs, the choices between them, and what must come first.

    Parameters
    ----------
    presence
        Shifts on the planned days: only people who have one are named in modes.
    """
    tasks: list[Task] = []
    choices: list[Choice] = []
    precedences: list[Precedence] = []
    contents: dict[str, RunContent] = {}
    cycles: dict[tuple[str, str], float] = {}
    for group in groups:
        made: dict[tuple[int, int], tuple[_Made, ...]] = {}
        for options in group.options:
            for at, lots in dict.fromkeys(entry for option in options for entry in option):
                parts = _make(shop, group, at, lots, settings, presence, day, tick_s, contents)
                made[at, lots] = parts
                for part in parts:
                    contents[part.task.id] = part.content
                    tasks.append(part.task)
                    for way in group.units[at].ways:
                        cycles[part.task.id, way.id] = float(way.cycle + part.more_s)
            if len(options) > 1:
                named = tuple(
                    tuple(part.task.id for entry in option for part in made[entry]) for option in options
                )
                choices.append(Choice(id=named[0][0], options=named))
        precedences.extend(_precedences(group, [part for parts in made.values() for part in parts]))
    return Tasks(
        tasks=tuple(tasks),
        choices=tuple(choices),
        precedences=tuple(precedences),
        contents=contents,
        cycle_s=cycles,
    )


def _make(
    shop: Shop,
    group: Group,
    at: int,
    lots: int,
    settings: Settings,
    presence: Presence,
    day: date,
    tick_s: int,
    taken: dict[str, RunContent],
) -> tuple[_Made, ...]:
    unit = group.units[at]
    recipe = max((run.recipe for run in unit.runs), key=lambda recipe: recipe.cooling_s)
    moments = [run.ready for run in unit.runs if run.ready is not None]
    ready = max(moments) if moments else None
    atoms = unit.runs[0].atoms
    made: list[_Made] = []
    for lot in range(lots):
        portions = group.deal.lot(atoms, lot, lots)
        if not portions:
            continue
        quantity = sum(portion.quantity for portion in portions)
        # personal pieces count with the lot that holds them
        more_s = personal_s(shop, unit.runs, portions) - personal_s(shop, unit.runs, unit.runs[0].portions)
        name = _fresh(task_name(group.order.id, group.unit_names(at), lot + 1, lots), taken, made)
        task = Task(
            id=name,
            job=group.order.id,
            release=0 if ready is None else tick_at_or_after(day, ready, tick_s),
            cooling=ticks_up(recipe.cooling_s, tick_s),
            bundles=group.deal.bundles(group.order.id, atoms, lot, lots),
            pressings=quantity * len(unit.runs),
            modes=_modes(shop, unit, quantity, more_s, settings, presence, tick_s),
        )
        content = content_of(shop, name, unit.runs, portions, lot=lot + 1, lots=lots)
        made.append(_Made(task=task, unit=at, content=content, more_s=more_s))
    return tuple(made)


def _fresh(name: str, taken: dict[str, RunContent], made: Sequence[_Made]) -> str:
    used = {part.task.id for part in made}
    fresh, number = name, 2
    while fresh in taken or fresh in used:
        fresh, number = f"{name} ({number})", number + 1
    return fresh


def _modes(
    shop: Shop,
    unit: Unit,
    quantity: int,
    more_s: Fraction,
    settings: Settings,
    presence: Presence,
    tick_s: int,
) -> tuple[Mode, ...]:
    recipe = unit.runs[0].recipe
    artwork = artwork_of(unit)
    modes = []
    # Who may run a press depends on its skill alone, how long it takes on the cycle: many ways are alike.
    alike: dict[tuple[int, int, tuple[str | None, ...]], tuple[tuple[str, int], ...]] = {}
    for way in unit.ways:
        key = (way.cycle.numerator, way.cycle.denominator, way.skills)
        if key not in alike:
            alike[key] = tuple(
                (person.name, way.work(shop, quantity, person.pace, tick_s, more_s))
                for person, _ in way.stretches
                if person.name in presence
            )
        operators = alike[key]
        # No operators would mean that nobody is needed; nobody is there, so it is no way at all.
        if operators:
            modes.append(
                _mode(
                    way,
                    settings.state(way.platen.name, recipe.pressure, artwork, recipe.temp_c),
                    operators,
                )
            )
    return tuple(modes)


def _mode(way: TimedWay, state: tuple[int, ...], operators: tuple[tuple[str, int], ...]) -> Mode:
    return Mode(
        id=way.id,
        machine=way.press.name,
        platen=way.platen.name,
        state=state,
        operators=operators,
        warm_up=way.warm_up,
        mate=None if way.second is None else way.second.name,
        mate_warm_up=way.second_warm_up,
    )


def _precedences(group: Group, made: Sequence[_Made]) -> list[Precedence]:
    """What must come first, between tasks that hold some of the same garments."""
    found = []
    for before in made:
        first = group.units[before.unit].runs
        for after in made:
            then = group.units[after.unit].runs
            # Tasks with a run in common are never both carried out.
            if any(a is b for a in first for b in then):
                continue
            wanted = any(a.placement.name in b.placement.after for a in first for b in then)
            if wanted and not set(before.task.bundles).isdisjoint(after.task.bundles):
                found.append(Precedence(before=before.task.id, after=after.task.id))
    return found
