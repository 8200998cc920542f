"""What a day's presses begin with: the platens that the day book has as left on them, or the workbook's."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path

    from scheduler.daybook.evening import Evening
    from scheduler.daybook.opening import Waiting
    from scheduler.domain.day_problem import DayProblem
    from scheduler.domain.faults import Fault
    from scheduler.domain.shop import Press, Shop

OPTION = "--mounted-as-in-shop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Morning:
    """A day's problem with what is mounted when it begins.

    Attributes
    ----------
    note
        What the day book has otherwise than the shop workbook, for the plan; empty: nothing.
    doubts
        Where the two differ and the workbook was followed.
    """

    problem: DayProblem
    note: str = ""
    doubts: tuple[Fault, ...] = ()


def as_left(out: Path, problem: DayProblem, *, as_in_shop: bool, tell: Waiting) -> Morning:
    """The day begun with the platens that the last working day before it left on the presses.

    The day book knows them from the newest plan of that day and from what was entered of it. When that is
    older, or doesn't fit the shop as it is now, the workbook is followed, and that is a doubt.

    Parameters
    ----------
    out
        The folder of plans; without a day book in it the workbook is all that is known.
    as_in_shop
        The owner says that the workbook is right.
    tell
        Says a line to the owner, such as that another command must end first.
    """
    from scheduler.daybook.evening import evening_before
    from scheduler.daybook.opening import NAME
    from scheduler.planning.build import build_day
    from scheduler.plans.book import opened

    if as_in_shop or not (out / NAME).exists():
        return Morning(problem=problem)
    with opened(out, tell=tell) as book:
        evening = evening_before(book, problem.day)
    if evening is None:
        return Morning(problem=problem)
    shop = problem.shop
    other = [one for one in shop.presses if evening.mounted.get(one.name, one.mounted) != one.mounted]
    if not other:
        return Morning(problem=problem)
    why_not = _why_not(shop, evening, problem.day)
    if why_not:
        return Morning(problem=problem, doubts=(_doubt(evening, other, why_not),))
    presses = tuple(replace(one, mounted=evening.mounted.get(one.name, one.mounted)) for one in shop.presses)
    begun = build_day(
        replace(shop, presses=presses), problem.orders, problem.day, least_days=len(problem.dates)
    )
    return Morning(problem=replace(begun, not_planned=problem.not_planned), note=_note(evening, other))


def _why_not(shop: Shop, evening: Evening, day: date) -> str:
    """Why the day book can't be followed; empty: it can."""
    from datetime import timedelta

    from scheduler.planning.calendar import working_dates

    following = working_dates(shop, evening.day + timedelta(days=1), 1)
    if following and following[0] < day:
        return "working days without a plan lie between"
    after = {one.name: evening.mounted.get(one.name, one.mounted) for one in shop.presses}
    owned = {one.name: one.count for one in shop.platens}
    if any(count > owned.get(name, 0) for name, count in Counter(filter(None, after.values())).items()):
        return "there are not so many of these platens in the shop"
    if any(after[one.name] not in (None, *one.platens) for one in shop.presses):
        return "such a platen does not fit in the shop as it is now"
    return ""


def _note(evening: Evening, other: list[Press]) -> str:
    from scheduler.domain.clock import long_date

    each = "; ".join(
        f"{one.name} with {evening.mounted[one.name] or 'nothing mounted'} "
        f"(shop workbook: {one.mounted or 'nothing'})"
        for one in other
    )
    return (
        f"The day begins with the platens that the day book has as left on the presses on "
        f"{long_date(evening.day)}: {each}. If the workbook is right, plan with {OPTION}."
    )


def _doubt(evening: Evening, other: list[Press], why_not: str) -> Fault:
    from scheduler.domain.clock import long_date
    from scheduler.domain.faults import Fault, Severity, Source

    book = ", ".join(f"{one.name} {evening.mounted[one.name] or 'nothing'}" for one in other)
    shop = ", ".join(f"{one.name} {one.mounted or 'nothing'}" for one in other)
    return Fault(
        code="mounted-otherwise",
        source=Source(file="day book"),
        found=f"left mounted on {long_date(evening.day)}: {book}; in the shop workbook: {shop}",
        expected="the same platens in both",
        mend=f"Planned as in the workbook, since {why_not}. Look at the presses, and write what is on them "
        "under Mounted at day start if that is wrong.",
        severity=Severity.DOUBT,
    )
