"""What a stopwatch study says against the shop's recipes, and the order lines that it touches."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Severity, Source

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from pathlib import Path

    from scheduler.timing.recipe import Longer, Shorter, Touched
    from scheduler.workflow.times.study import Study


@dataclass(frozen=True, slots=True, kw_only=True)
class OverRecipe:
    """A part that is held longer than its recipe, and what that touches.

    Attributes
    ----------
    hours_per_year
        For the pressings of the orders' day on every working day; None without orders.
    """

    longer: Longer
    touched: tuple[Touched, ...]
    hours_per_year: Fraction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ByRecipe:
    """All such parts, and those held too short; `looked` is False when there was no shop to compare with."""

    looked: bool
    over: tuple[OverRecipe, ...]
    shorter: tuple[Shorter, ...] = ()
    day: date | None
    days: Fraction
    doubts: tuple[Fault, ...]


def by_recipe(
    study: Study, orders: Sequence[Path], shop_file: Path | None, day: date | None, days: Fraction
) -> ByRecipe:
    """Hold what the press held against the shop's recipes, and find the order lines that it touches.

    Raises
    ------
    BadInput
        When the orders have a fault.
    """
    from scheduler.savings.worth import WorkYear, hours_per_year
    from scheduler.timing.recipe import longer_than_recipe, shorter_than_recipe, touched_by

    if study.shop is None:
        return ByRecipe(looked=False, over=(), day=None, days=days, doubts=())
    longer, without = longer_than_recipe(study.elements, study.shop, confidence=study.sureness.confidence)
    doubts = [
        Fault(
            code="no-one-recipe",
            source=Source(file=", ".join(study.files)),
            found=f'readings of "{studied}" without a recipe that they can be held against',
            expected="the transfer, and the fabric where recipes differ by it",
            mend="Fill in the columns Transfer and Fabric.",
            severity=Severity.DOUBT,
        )
        for studied in without
    ]
    year = WorkYear(days=days)
    over = []
    read = None
    if orders:
        from scheduler.workflow.reading import read as read_orders

        read = read_orders(orders, shop_file, day)
        doubts += [doubt for doubt in read.doubts if doubt not in study.doubts]
    for one in longer:
        touched = touched_by(one, read.problem.orders) if read else ()
        garments = sum(each.quantity for each in touched)
        hours = hours_per_year(one.extra_s, garments, year) if read else None
        over.append(OverRecipe(longer=one, touched=touched, hours_per_year=hours))
    return ByRecipe(
        looked=True,
        over=tuple(over),
        shorter=shorter_than_recipe(study.elements, study.shop, confidence=study.sureness.confidence),
        day=read.problem.day if read else None,
        days=days,
        doubts=tuple(doubts),
    )
