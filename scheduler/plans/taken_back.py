"""Sheets of an earlier day's plan that are out for a day, or a later one, which is planned anew."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date
    from pathlib import Path

    from scheduler.daybook.book import DayBook
    from scheduler.daybook.opening import Waiting
    from scheduler.domain.paper import PaperSheet
    from scheduler.domain.plan import Plan


def take_back(book: DayBook, plan: Plan) -> str:
    """What is said of sheets that two plans have for the same day; empty: of none.

    A plan of several days prints sheets for all of them. When a day is planned, those that the plan before it
    handed out for it don't hold any more; those of still earlier plans were named when that one was made. A
    day that is planned again says what becomes of its own sheets itself, but not that those of a later day
    don't hold where that has a plan of its own.
    """
    placed = [one for one in book.plans() if one.outcome == "in place"]
    if plan.at is not None:
        return _of_their_own(plan, {one.day: one.version for one in placed})
    before = [one for one in placed if one.day < plan.day]
    if not before:
        return ""
    try:
        earlier = book.plan(max(before, key=lambda one: (one.day, one.version)))
    except BadInput:
        return ""
    return take_back_words(earlier, plan.day)


def _of_their_own(plan: Plan, versions: Mapping[date, int]) -> str:
    """What is said of sheets for later days that are planned by themselves already."""
    from scheduler.domain.clock import short_date
    from scheduler.sheets.paper import sheets_of

    days = sorted({one.day for one in sheets_of(plan) if one.day > plan.day and one.day in versions})
    if not days:
        return ""
    named = ", ".join(f"{short_date(day)} (version {versions[day]})" for day in days)
    them = "that day" if len(days) == 1 else "these days"
    none = f"Hand out no sheets of {them} from this plan"
    return f"With a plan of its own: {named}. {none}, and plan {them} again if anything was moved there."


def take_back_again(plan: Plan, folder: Path, *, tell: Waiting) -> str:
    """The same for a kept plan whose sheets are printed again; empty where there is no day book to read.

    Parameters
    ----------
    folder
        That of the plan, or the one above it.
    tell
        Says a line to the owner, such as that another command must end first.
    """
    from scheduler.plans.book import beside, whole_book

    if beside(folder) is None:
        return ""
    try:
        with whole_book(folder, tell=tell) as book:
            return take_back(book, plan)
    except BadInput:
        return ""


def take_back_words(earlier: Plan, day: date) -> str:
    """The sheets of an earlier plan that are of a day or of later ones, in a sentence; empty: none are."""
    from scheduler.domain.clock import short_date
    from scheduler.sheets.paper import in_hand

    def named(one: PaperSheet) -> str:
        press = " (press)" if one.side == "press" else ""
        return f"{one.name}{press}, {short_date(one.day)}, V{one.version} {one.code}"

    out = [named(one) for one in in_hand(earlier) if one.day >= day]
    if not out:
        return ""
    which = "What is on it" if len(out) == 1 else "What is on them"
    named_all = f"{'; '.join(out)} (of {_whose(earlier.day, day)})"
    return f"Take back, if printed: {named_all}. {which} is planned anew here."


def _whose(earlier: date, day: date) -> str:
    """Whose plan it is: a weekday alone tells it within a week."""
    from scheduler.domain.clock import WEEKDAYS, short_date

    if (day - earlier).days < len(WEEKDAYS):
        return f"{WEEKDAYS[earlier.weekday()]}'s plan"
    return f"the plan of {short_date(earlier)}"
