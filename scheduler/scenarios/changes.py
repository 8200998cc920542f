"""Versions of a shop beside today's: ranked by payback, and whether changes made together add up."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.savings.worth import earned
from scheduler.scenarios.differences import Difference, Verdict, difference
from scheduler.scenarios.money import Rates, Saved, saved_a_day
from scheduler.scenarios.quantities import LEVELS, Quantity

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from scheduler.savings.worth import Payback
    from scheduler.scenarios.side import Side


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """A version of the shop.

    Attributes
    ----------
    name
        What it is called; of changes made together, their names with + between.
    price
        What it costs once; None: not said.
    cost_a_day
        Running cost.
    parts
        Names of the changes of which it is made; empty for a whole workbook.
    """

    name: str
    price: Fraction | None = None
    cost_a_day: Fraction = Fraction(0)
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A version beside today's.

    Attributes
    ----------
    saved
        Money a day like these; None: no rates, or something is left over.
    share
        Of a year's working days so many are like these.
    """

    version: Version
    side: Side
    differences: dict[Quantity, Difference]
    saved: Saved | None
    payback: Payback | None
    payback_proven: Payback | None
    share: Fraction = Fraction(1)

    @property
    def proven_better(self) -> tuple[Quantity, ...]:
        """Quantities that are better for certain."""
        return tuple(q for q, one in self.differences.items() if one.verdict is Verdict.BETTER)


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Two changes made together, beside the sum of what each does alone.

    Attributes
    ----------
    together, added_up
        Both plans' saving a day, or what they take off late minutes and, those being equal, changeover
        minutes; in `unit`.
    least, most
        Between which "together less added up" lies for certain; None: not known.
    """

    names: tuple[str, ...]
    unit: str
    together: Fraction
    added_up: Fraction
    least: Fraction | None
    most: Fraction | None

    @property
    def more(self) -> Fraction:
        return self.together - self.added_up

    @property
    def proven(self) -> bool:
        """Whether it is certain that they don't add up."""
        return (self.least is not None and self.least > 0) or (self.most is not None and self.most < 0)


def compare(
    version: Version, today: Side, then: Side, rates: Rates | None, *, share: Fraction = Fraction(1)
) -> Compared:
    """A version beside today's on the same days.

    Parameters
    ----------
    share
        Of a year's working days so many save like these, see `share_of_days`.
    """
    saved = saved_a_day(today, then, rates, version.cost_a_day) if rates is not None else None
    garments = Fraction(sum(day.best.garments for day in today.days), len(today.days))
    planned = proven = None
    if saved is not None and version.price is not None:
        planned = earned(version.price, saved.planned * share, garments)
        proven = earned(version.price, saved.least * share, garments)
    return Compared(
        version=version,
        side=then,
        differences={quantity: difference(today, then, quantity) for quantity in Quantity},
        saved=saved,
        payback=planned,
        payback_proven=proven,
        share=share,
    )


def ranked(versions: Sequence[Compared]) -> tuple[Compared, ...]:
    """Proven paybacks first, the soonest first; then those of the plans; then by saving, then by plan.

    Plans go by their levels in order and, those being equal, by work at presses: fewer hours are better.
    """

    def key(one: Compared) -> tuple[object, ...]:
        def days(payback: Payback | None) -> tuple[bool, Fraction]:
            return payback is None, payback.working_days if payback is not None else Fraction(0)

        worse = [one.differences[what].planned for what in (*map(Quantity, LEVELS), Quantity.WORK)]
        saved = one.saved
        return (
            days(one.payback_proven),
            days(one.payback),
            (-saved.least, -saved.planned) if saved is not None else (),
            worse,
            one.version.name,
        )

    return tuple(sorted(versions, key=key))


def added_up(both: Compared, alone: Sequence[Compared]) -> Together:
    """Whether changes made together do what they do one by one, added up."""
    names = both.version.parts
    trivial = _nothing_added(both, alone)
    if both.saved is not None and all(one.saved is not None for one in alone):
        parts = [one.saved for one in alone if one.saved is not None]
        return Together(
            names=names,
            unit="money",
            together=both.saved.planned,
            added_up=sum((one.planned for one in parts), Fraction(0)),
            least=Fraction(0) if trivial else both.saved.least - sum(one.most for one in parts),
            most=Fraction(0) if trivial else both.saved.most - sum(one.least for one in parts),
        )
    every = (both, *alone)
    late = any(one.differences[Quantity.LATENESS].planned for one in every)
    quantity = Quantity.LATENESS if late else Quantity.CHANGEOVER
    whole = both.differences[quantity]
    parts_ = [one.differences[quantity] for one in alone]
    tick_min = Fraction(both.side.days[0].best.tick_s, 60)
    # A difference is "then minus today"; what is taken off is its opposite.
    low = _less(_sum(one.least for one in parts_), whole.most)
    high = _less(_sum(one.most for one in parts_), whole.least)
    return Together(
        names=names,
        unit="late minutes" if late else "changeover minutes",
        together=-whole.planned * tick_min,
        added_up=-sum(one.planned for one in parts_) * tick_min,
        least=Fraction(0) if trivial else None if low is None else low * tick_min,
        most=Fraction(0) if trivial else None if high is None else high * tick_min,
    )


def _nothing_added(both: Compared, alone: Sequence[Compared]) -> bool:
    """Whether all parts but one leave every day as it is, so that the whole is that one part."""
    days = [tuple(day.problem for day in one.side.days) for one in (both, *alone)]
    # Problem 0 is today's.
    touching = [one for one in days[1:] if any(one)] or [tuple(0 for _ in days[0])]
    return touching == [days[0]]


def _sum(values: Iterable[int | None]) -> int | None:
    known = list(values)
    return None if None in known else sum(value for value in known if value is not None)


def _less(one: int | None, other: int | None) -> int | None:
    return None if one is None or other is None else one - other
