"""The owner's figures of a day: what is late, how full it is, and what the plan saved. Data, no printing."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.domain.instance import Level
from scheduler.domain.plan import Load, Plan, PlannedOrder

_COUNTED: dict[Level, str] = {"left_over": "pressings", "moved": "points", "changeovers": "changeovers"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """One level of the plan beside the same orders taken as they come, in the owner's units.

    Attributes
    ----------
    unit
        "pressings", "minutes", "points" or "changeovers"; lateness is in minutes times weight.
    plan, as_they_come, saved
        `saved` is negative where the plan gave something up for a more important level.
    bound
        No plan that keeps the levels before can be below it.
    """

    name: Level
    unit: str
    plan: float
    as_they_come: float
    saved: float
    bound: float
    proven: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DaySummary:
    """The figures of a plan.

    Attributes
    ----------
    late
        Late orders and those not finished, the worst first: left over, then weighted minutes.
    late_minutes
        Sum over orders, without weights.
    changeovers, hands_on_minutes, hands_off_minutes
        Their number, hands-on minutes, and minutes of waiting for heat.
    saved
        Level by level; levels that the comparison lacks are left out.
    """

    orders: int
    garments: int
    runs: int
    late: tuple[PlannedOrder, ...]
    late_minutes: float
    left_over_pieces: int
    changeovers: int
    hands_on_minutes: float
    hands_off_minutes: float
    press_loads: tuple[Load, ...]
    crew_loads: tuple[Load, ...]
    fullest_press: Load | None
    fullest_person: Load | None
    saved: tuple[Saved, ...]


def fullness(load: Load) -> float:
    """Share of the available minutes that are used; 0 when there are none."""
    return (load.pressing + load.changing) / load.available if load.available else 0.0


def summarise(plan: Plan) -> DaySummary:
    """The figures of a plan for its owner."""
    late = [order for order in plan.orders if order.late_minutes > 0 or order.finished is None]
    return DaySummary(
        orders=len(plan.orders),
        garments=sum(order.quantity for order in plan.orders),
        runs=len(plan.runs),
        late=tuple(
            sorted(late, key=lambda o: (o.finished is not None, -o.late_minutes * o.weight, o.cut_off, o.id))
        ),
        late_minutes=sum(order.late_minutes for order in plan.orders),
        left_over_pieces=sum(left.quantity for left in plan.left_over),
        changeovers=len(plan.changeovers),
        hands_on_minutes=sum(change.hands_on_minutes for change in plan.changeovers),
        hands_off_minutes=sum(change.hands_off_minutes for change in plan.changeovers),
        press_loads=plan.press_loads,
        crew_loads=plan.crew_loads,
        fullest_press=max(plan.press_loads, key=fullness, default=None),
        fullest_person=max(plan.crew_loads, key=fullness, default=None),
        saved=_saved(plan),
    )


def _saved(plan: Plan) -> tuple[Saved, ...]:
    others = {level.name: level.value for level in plan.as_they_come}
    found = []
    for level in plan.levels:
        if level.name not in others:
            continue
        in_ticks = level.name not in _COUNTED
        found.append(
            Saved(
                name=level.name,
                unit="minutes" if in_ticks else _COUNTED[level.name],
                plan=_shown(plan, level.value, in_ticks),
                as_they_come=_shown(plan, others[level.name], in_ticks),
                saved=_shown(plan, others[level.name] - level.value, in_ticks),
                bound=_shown(plan, level.bound, in_ticks),
                proven=level.proven,
            )
        )
    return tuple(found)


def _shown(plan: Plan, value: int, in_ticks: bool) -> float:
    return value * plan.instance.tick_s / 60 if in_ticks else float(value)
