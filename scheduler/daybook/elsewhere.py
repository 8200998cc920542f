"""Pieces of orders that the day book has as pressed on another day than the one that is planned."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from scheduler.daybook.book import DayBook
from scheduler.daybook.facts import facts_of, standing
from scheduler.domain.orders import Order
from scheduler.domain.plan import Plan
from scheduler.domain.progress import OF_A_RUN, Event


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressed:
    """Good pieces of an order that were entered on a day, by placement.

    Attributes
    ----------
    whole
        Pieces that the order had in that day's plan, by placement.
    quantity
        Garments that it had there.
    """

    order: str
    day: date
    pieces: dict[str, int]
    whole: dict[str, int]
    quantity: int

    @property
    def left(self) -> dict[str, int]:
        """Pieces that were still to be pressed after that day, by placement."""
        return {name: max(0, most - self.pieces.get(name, 0)) for name, most in self.whole.items()}

    def leaves(self, asked: Mapping[str, int]) -> bool:
        """Whether pieces asked for, by placement, are those that were left, and not all of them.

        A garment that was spoiled needs the placements again that were good on it: up to the most that is
        left at any is right at each.
        """
        left = self.left
        most = max(left.values(), default=0)
        return (
            0 < most < max(self.whole.values())
            and set(asked) <= set(left)
            and max(asked.values(), default=0) == most
            and all(count <= asked.get(name, 0) <= most for name, count in left.items())
        )


def pressed_elsewhere(book: DayBook, day: date, orders: Iterable[Order]) -> tuple[Pressed, ...]:
    """What was entered of some orders on other days than one, by order and day.

    Only what somebody entered counts; what nobody said anything of may have been pressed or not. An order is
    the same when its number and its customer are.
    """
    wanted = {order.id: order for order in orders}
    events: dict[date, list[Event]] = defaultdict(list)
    for event in book.events():
        # Ids of runs begin with their order: plans of days that tell nothing of these orders stay unread.
        if event.day != day and event.kind in OF_A_RUN and event.run.startswith(tuple(wanted)):
            events[event.day].append(event)
    found = []
    for other in sorted(events):
        booked = book.newest(other)
        if booked is not None:
            of_day, plan = book.events(other), book.plan(booked)
            found += [
                Pressed(
                    order=name,
                    day=other,
                    pieces=pieces,
                    whole=_whole(plan, name),
                    quantity=_garments(plan, name),
                )
                for name, pieces in _pieces(plan, of_day, wanted).items()
                if any(pieces.values())
            ]
    return tuple(sorted(found, key=lambda one: (list(wanted).index(one.order), one.day)))


def _pieces(plan: Plan, events: Sequence[Event], wanted: dict[str, Order]) -> dict[str, dict[str, int]]:
    """Good pieces by order and placement."""
    news = standing(events)
    whole = {order.id: order.on_top_of or order.id for order in plan.given}
    found: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for run in plan.runs:
        name = whole.get(run.content.order, run.content.order)
        if name not in wanted or wanted[name].customer != run.content.customer:
            continue
        facts = facts_of(run, news, datetime.max)
        if facts is None:
            continue
        good = facts.good
        if good is None:
            good = run.content.quantity - facts.spoiled if facts.finished is not None else 0
        for placement in run.content.placements:
            found[name][placement] += good
    return {name: dict(pieces) for name, pieces in found.items()}


def by_placement(order: Order) -> dict[str, int]:
    """Pieces that an order asks for at each placement."""
    pieces: dict[str, int] = {}
    for line in order.lines:
        for one in dict.fromkeys(each.placement for each in line.prints):
            pieces[one] = pieces.get(one, 0) + line.quantity
    return pieces


def _garments(plan: Plan, name: str) -> int:
    more = {order.id for order in plan.given if order.on_top_of == name}
    return sum(order.quantity for order in plan.orders if order.id == name or order.id in more)


def _whole(plan: Plan, name: str) -> dict[str, int]:
    """Pieces of an order in a plan by placement, with what came on top of it."""
    found: dict[str, int] = defaultdict(int)
    if not plan.given:
        # A plan of an early form: what its runs hold.
        for run in plan.runs:
            if run.content.order == name:
                for placement in run.content.placements:
                    found[placement] += run.content.quantity
    for order in plan.given:
        if name in (order.id, order.on_top_of):
            for placement, pieces in by_placement(order).items():
                found[placement] += pieces
    return dict(found)


__all__ = ["Pressed", "by_placement", "pressed_elsewhere"]
