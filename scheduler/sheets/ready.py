"""Of a day planned again: when new and changed orders are ready, and what the plan costs at the presses."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from scheduler.domain.clock import clock, clock_up, how_long, short_date
from scheduler.domain.plan import Plan, PlannedOrder
from scheduler.sheets.packing import spare_minutes
from scheduler.sheets.words import amount, said


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """An order that is new, or was changed, with its times.

    Attributes
    ----------
    new
        It came in since the plan before; else it was changed.
    pressed
        When its last garment is off the press; None when nothing of it is pressed.
    """

    order: PlannedOrder
    new: bool
    pressed: datetime | None


def ready_orders(old: Plan, new: Plan) -> tuple[Ready, ...]:
    """The orders that are new or changed, in the order in which they were given."""
    known = {order.id: order for order in old.given}
    came = {order.id for order in new.given if known.get(order.id) != order}
    ends: dict[str, datetime] = {}
    for run in new.runs:
        name = run.content.order
        ends[name] = max(ends.get(name, run.end), run.end)
    return tuple(
        Ready(order=order, new=order.id not in known, pressed=ends.get(order.id))
        for order in new.orders
        if order.id in came
    )


def ready_title(orders: tuple[Ready, ...]) -> str:
    """What a list of them is called."""
    kinds = {one.new for one in orders}
    return {frozenset({True}): "New orders", frozenset({False}): "Changed orders"}.get(
        frozenset(kinds), "New and changed orders"
    )


def ready_row(one: Ready, plan: Plan) -> tuple[str, str, str, str, str]:
    """Order, pressed by, packed by, cut-off and what is left until then, ready to print."""
    order = one.order
    pressed = _moment(one.pressed, plan, up=True) if one.pressed else "not pressed"
    packed = _moment(order.finished, plan, up=True) if order.finished else "not all of it"
    return (
        f"{order.id} {order.customer}",
        pressed,
        packed,
        _moment(order.cut_off, plan),
        _spare(order),
    )


def ready_lines(old: Plan, new: Plan) -> list[str]:
    """Every new or changed order with its times, in a sentence each."""
    lines = []
    for one in ready_orders(old, new):
        name, pressed, packed, cut_off, spare = ready_row(one, new)
        parts = [
            f"pressed by {pressed}" if one.pressed else pressed,
            f"packed by {packed}" if one.order.finished else f"{packed} packed",
            f"cut-off {cut_off}",
        ]
        lines.append(f"{name}: {', '.join(parts)}{f': {spare}' if spare else ''}")
    return lines


def cost_lines(old: Plan, new: Plan) -> list[str]:
    """Changeovers, and overtime where it differs, against the plan before; of the whole day."""
    return list(_cost_lines(old, new))


def _cost_lines(old: Plan, new: Plan) -> Iterator[str]:
    was = {level.name: level for level in old.levels}
    for level in new.levels:
        if level.name not in ("changeover", "overtime") or level.name not in was:
            continue
        before = was[level.name]
        more = level.value - before.value
        if level.name == "overtime" and not more:
            continue
        title = "Changeovers" if level.name == "changeover" else "Overtime"
        now, was_said = said(new, level), said(old, before)
        by = f"{amount(new, level.name, abs(more))} {'more' if more > 0 else 'less'} than" if more else "as"
        there = "" if now == was_said else f" ({was_said})"
        yield f"{title}: {now}, {by} in version {old.version}{there}"


def _spare(order: PlannedOrder) -> str:
    spare = spare_minutes(order)
    if spare is None:
        return ""
    if spare < 0 or order.late_minutes:
        return f"{how_long(order.late_minutes)} late"
    return f"{how_long(spare)} to spare"


def _moment(when: datetime, plan: Plan, *, up: bool = False) -> str:
    shown = clock_up(when) if up else clock(when)
    return shown if when.date() == plan.day else f"{short_date(when.date())} {shown}"
