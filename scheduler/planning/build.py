"""Shop and orders to a day problem: what the engine is given. The table of contents of planning."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from datetime import date, datetime

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.faults import Fault
from scheduler.domain.instance import Circuit, Day, Instance, Operator, Platen, Shift
from scheduler.domain.orders import Order
from scheduler.domain.shop import Shop
from scheduler.exceptions import BadInput
from scheduler.planning.calendar import (
    capacities,
    days_needed,
    heating_day,
    hours_on,
    shift_on,
    working_dates,
)
from scheduler.planning.fits import has_way, size_that_fits, why_nothing
from scheduler.planning.groups import Group, demands_of, gather
from scheduler.planning.heating import stretches, within
from scheduler.planning.lots import with_smaller_lots
from scheduler.planning.placements import split_order
from scheduler.planning.setups import Settings, machines, setup_parts
from scheduler.planning.soundness import find_faults
from scheduler.planning.tasks import Tasks, artwork_of, job_of, tasks_of
from scheduler.planning.timing import Presence

TICK_S = 6
"""A tick is a tenth of a minute."""


def build_day(
    shop: Shop,
    orders: tuple[Order, ...],
    day: date,
    *,
    max_days: int = 10,
    least_days: int = 1,
    split: frozenset[str] = frozenset(),
) -> DayProblem:
    """State the planning of a day, and of the working days after it that the orders need.

    Parameters
    ----------
    shop
        The shop; all names matched.
    orders
        What must be pressed.
    day
        The planned day, a working day; tick 0 is its midnight.
    max_days
        Most working days that the plan may reach, at least 1.
    least_days
        Fewest, even when the orders need less: those that a plan of the day has already.
    split
        Ids of orders whose runs may be pressed in lots however short they are.

    Returns
    -------
    DayProblem
        The instance for the engine, and what its ids mean.

    Raises
    ------
    BadInput
        With every fault found: a shop or a day that can't be planned, orders that don't fit the
        shop, and every placement that no press can do, with the reasons.
    """
    if max_days < 1:
        raise ValueError(f"max_days {max_days}: a plan needs at least one day")
    faults = find_faults(shop, orders, day)
    if faults:
        raise BadInput(faults)
    opens = _opens(shop, day)
    window = working_dates(shop, day, max_days)
    presence = _presence(shop, day, window)
    groups = tuple(
        group
        for order in orders
        for group in gather(
            with_smaller_lots(shop, order) if order.id in split else shop, order, opens, day, presence, TICK_S
        )
    )
    faults = _unpressable(shop, groups, presence)
    if faults:
        raise BadInput(faults)

    offers = capacities(shop, day, window, TICK_S)
    owned = {platen.name: platen.count for platen in shop.platens}
    needed = days_needed(demands_of(shop, groups, day, TICK_S), offers, owned)
    dates = window[: max(needed, least_days)]
    presence = _presence(shop, day, dates)

    settings = _settings(shop, groups)
    tasks = tasks_of(shop, groups, settings, presence, day, TICK_S)
    instance = _instance(shop, orders, day, dates, settings, tasks)
    return DayProblem(
        day=day,
        dates=dates,
        shop=shop,
        orders=orders,
        instance=instance,
        contents=tasks.contents,
        cycle_s=tasks.cycle_s,
        temp_c={task: content.recipe.temp_c for task, content in tasks.contents.items()},
        refusals=tuple(dict.fromkeys(refusal for group in groups for refusal in group.refusals)),
    )


def day_faults(shop: Shop, orders: tuple[Order, ...], day: date, *, max_days: int = 10) -> tuple[Fault, ...]:
    """Every fault for which `build_day` would refuse the orders, without stating their problem.

    Far quicker for many orders: what a press can do is worked out once for prints that are alike, and all
    of an order's ways only when one of its prints has none.
    """
    faults = find_faults(shop, orders, day)
    if faults:
        return faults
    opens = _opens(shop, day)
    presence = _presence(shop, day, working_dates(shop, day, max_days))
    present = tuple(person for person in shop.crew if person.name in presence)
    known: dict[Hashable, bool] = {}
    groups: list[Group] = []
    for order in orders:
        for run in split_order(shop, order, opens):
            alike = (run.placement.name, run.size_groups, run.width_mm, run.height_mm, run.recipe.temp_c)
            if alike not in known:
                known[alike] = has_way(shop, run, present)
            if not known[alike]:
                # pressed together with another print it may have a way yet
                groups.extend(gather(shop, order, opens, day, presence, TICK_S))
                break
    return _unpressable(shop, groups, presence)


def _opens(shop: Shop, day: date) -> datetime:
    hours = hours_on(shop, day)
    assert hours is not None  # held by find_faults
    return datetime.combine(day, hours.open)


def _shifts(shop: Shop, day: date, dates: Sequence[date]) -> dict[str, tuple[Shift, ...]]:
    """Everybody's shifts on those dates; only people who have one."""
    found = {}
    for person in shop.crew:
        shifts = [shift_on(shop, person, day, on, TICK_S) for on in dates]
        own = tuple(shift for shift in shifts if shift is not None)
        if own:
            found[person.name] = own
    return found


def _days(shop: Shop, day: date, dates: Sequence[date]) -> tuple[Day, ...]:
    """The heating days of those dates: one a date, unless everybody is out in between."""
    every = [shift for own in _shifts(shop, day, dates).values() for shift in own]
    return tuple(
        stretch for on in dates for stretch in stretches(heating_day(shop, day, on, TICK_S), every, TICK_S)
    )


def _presence(shop: Shop, day: date, dates: Sequence[date]) -> Presence:
    """Everybody's shifts on those dates, cut by the heating days, with the heating day of each part."""
    days = _days(shop, day, dates)
    return Presence(
        {
            name: tuple((on, part) for shift in own for on in days if (part := within(shift, on)) is not None)
            for name, own in _shifts(shop, day, dates).items()
        }
    )


def _unpressable(shop: Shop, groups: Sequence[Group], presence: Presence) -> tuple[Fault, ...]:
    present = tuple(person for person in shop.crew if person.name in presence)
    change = "Change artwork, transfer or sizes, or correct what presses, platens and crew can do."
    faults: dict[Fault, None] = {}
    for group in groups:
        for run, refused in group.impossible:
            why = why_nothing(shop, run, refused)
            fits = size_that_fits(shop, run, present)
            fault = Fault(
                code="nothing-can-press",
                source=run.source,
                found=f"order {run.order.id}, {run.placement.name}: {why}",
                expected="a press and a platen that can press it",
                mend=f"{fits} {change}" if fits else change,
            )
            faults[fault] = None
    return tuple(faults)


def _settings(shop: Shop, groups: Sequence[Group]) -> Settings:
    runs = [run for group in groups for run in group.runs]
    artworks = dict.fromkeys(artwork_of(unit) for group in groups for unit in group.units)
    return Settings(
        platens=tuple(platen.name for platen in shop.platens),
        pressures=tuple(dict.fromkeys(run.recipe.pressure for run in runs)),
        artworks=tuple(artworks),
        temps_c=tuple(sorted({run.recipe.temp_c for run in runs})),
    )


def _instance(
    shop: Shop,
    orders: tuple[Order, ...],
    day: date,
    dates: tuple[date, ...],
    settings: Settings,
    tasks: Tasks,
) -> Instance:
    days = _days(shop, day, dates)
    shifts = _shifts(shop, day, dates)
    return Instance(
        name=f"{shop.name} {day.isoformat()}",
        horizon=days[-1].end,
        tick_s=TICK_S,
        days=days,
        setup_parts=setup_parts(shop, settings, TICK_S),
        machines=machines(shop, settings),
        platens=tuple(Platen(id=platen.name, count=platen.count) for platen in shop.platens),
        circuits=tuple(Circuit(id=circuit.name, limit_w=circuit.limit_w) for circuit in shop.circuits),
        operators=tuple(
            Operator(id=person.name, shifts=shifts[person.name])
            for person in shop.crew
            if person.name in shifts
        ),
        jobs=tuple(job_of(shop, order, day, TICK_S) for order in orders),
        tasks=tasks.tasks,
        choices=tasks.choices,
        precedences=tasks.precedences,
    )
