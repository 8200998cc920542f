"""Sheets of an earlier day's plan that are out for a day, or a later one, which is planned anew."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path

    from scheduler.daybook.book import DayBook
    from scheduler.daybook.opening import Waiting
    from scheduler.domain.paper import PaperSheet
    from scheduler.domain.plan import Plan


def take_back(book: DayBook, plan: Plan) -> str:
    """What is said of sheets that the plan before handed out for days that are planned anew; empty: of none.

    A plan of several days prints sheets for all of them. Those of still earlier plans were named when the one
    before was made. A day that is planned again during the day says what becomes of its sheets itself.
    """
    if plan.at is not None:
        return ""
    placed = [one for one in book.plans() if one.outcome == "in place" and one.day < plan.day]
    if not placed:
        return ""
    try:
        earlier = book.plan(max(placed, key=lambda one: (one.day, one.version)))
    except BadInput:
        return ""
    return take_back_words(earlier, plan.day)


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
