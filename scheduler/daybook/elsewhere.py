"""Pieces of orders that the day book has as pressed on another day than the one that is planned."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from scheduler.daybook.book import DayBook
from scheduler.daybook.facts import facts_of, standing
from scheduler.domain.orders import Order
from scheduler.domain.plan import Plan
from scheduler.domain.progress import OF_A_RUN, Event


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressed:
    """Good pieces of an order that were entered on a day, by placement."""

    order: str
    day: date
    pieces: dict[str, int]


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
            of_day = book.events(other)
            found += [
                Pressed(order=name, day=other, pieces=pieces)
                for name, pieces in _pieces(book.plan(booked), of_day, wanted).items()
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


__all__ = ["Pressed", "pressed_elsewhere"]
