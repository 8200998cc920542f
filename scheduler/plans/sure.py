"""How sure a new plan is, by the days recorded before it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scheduler.chance.spread import Spread
    from scheduler.daybook.book import DayBook
    from scheduler.domain.chances import DayChance
    from scheduler.domain.plan import Plan


LAST_DAYS = 20
"""Recorded days that count: what was longer ago may have been another way of working."""


def by_book(plan: Plan, book: DayBook, usual: Spread) -> Spread:
    """The spread that the last recorded days before a plan's own have; as it is when they tell too little."""
    from scheduler.chance.own_times import with_recorded
    from scheduler.plans.recorded import days_in

    days = days_in(book, None, plan.day - timedelta(days=1), most=LAST_DAYS)
    return with_recorded(usual, days.runs, [person.name for person in days.crew])


def sure_of(plan: Plan, book: DayBook) -> DayChance:
    """How sure a new plan is, by what `pressday sure` takes when nothing else is asked for."""
    from scheduler.chance.chances import Replays
    from scheduler.chance.own_times import usual_words
    from scheduler.chance.spread import Spread

    usual = replace(Spread(), words=usual_words(Spread()))
    return Replays(plan, by_book(plan, book, usual)).told()
