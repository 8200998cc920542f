"""Several measures on one cycle, taken together and not added up.

A cycle is seconds by element; a whole cycle that was timed in one piece is a cycle with one element. A
measure says of some elements what becomes of them: a new time, or a share off. Together, an element takes

    the shortest of the new times that measures give it (today's time where none does)
    x (1 - share off) of every measure that takes a share off it.

So two measures that both bring an element down count once there, by the shorter time: a cover and a stand
don't each save the whole of what loading loses. A share off saves on what the others left, never on
what is gone. The answer doesn't depend on the order in which the measures are named; what one of them adds
to those before it does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

Cycle = Mapping[str, Fraction]
"""Seconds a garment by element."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What a measure does to one element: exactly one of the two.

    Attributes
    ----------
    to_s
        Its new time, at least 0; it may be longer than today's.
    share_off
        The share of what is left that goes, 0 to 1.
    untimed
        The new time is the program's own figure: nobody has timed it in the shop.
    """

    element: str
    to_s: Fraction | None = None
    share_off: Fraction | None = None
    untimed: bool = False

    def __post_init__(self) -> None:
        if (self.to_s is None) == (self.share_off is None):
            raise ValueError(f"{self.element}: a new time or a share off, one of the two")
        if self.to_s is not None and self.to_s < 0:
            raise ValueError(f"{self.element}: a time of {float(self.to_s):g} s is negative")
        if self.share_off is not None and not 0 <= self.share_off <= 1:
            raise ValueError(f"{self.element}: a share off of {float(self.share_off):.0%}: needs 0 to 100 %")


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A change of method, or an accessory.

    Attributes
    ----------
    price
        What it costs, in the shop's money; None: not said.
    """

    name: str
    changes: tuple[Change, ...]
    price: Fraction | None = None

    def __post_init__(self) -> None:
        named = [change.element for change in self.changes]
        if not named:
            raise ValueError(f'"{self.name}" changes nothing')
        twice = sorted({element for element in named if named.count(element) > 1})
        if twice:
            raise ValueError(f'"{self.name}" changes {twice[0]} twice')
        if self.price is not None and self.price < 0:
            raise ValueError(f'"{self.name}": a price of {float(self.price):g} is negative')


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What one of several measures has to do with the saving.

    Attributes
    ----------
    alone_s
        Seconds a garment that it would save by itself.
    added_s
        Seconds a garment that it saves on top of those named before it.
    """

    measure: Measure
    alone_s: Fraction
    added_s: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """A cycle today and with all measures.

    Attributes
    ----------
    shares
        In the order in which the measures were named; their `added_s` add up to `saved_s`.
    """

    before: dict[str, Fraction]
    after: dict[str, Fraction]
    shares: tuple[Share, ...]

    @property
    def before_s(self) -> Fraction:
        return sum(self.before.values(), Fraction(0))

    @property
    def after_s(self) -> Fraction:
        return sum(self.after.values(), Fraction(0))

    @property
    def saved_s(self) -> Fraction:
        return self.before_s - self.after_s

    @property
    def alone_sum_s(self) -> Fraction:
        """What adding the measures up would promise."""
        return sum((share.alone_s for share in self.shares), Fraction(0))

    @property
    def price(self) -> Fraction | None:
        """Of all measures; None when that of one isn't said."""
        prices = [share.measure.price for share in self.shares]
        return None if None in prices else sum((one for one in prices if one is not None), Fraction(0))


def cycle_after(cycle: Cycle, measures: Sequence[Measure]) -> dict[str, Fraction]:
    """Seconds by element once all measures are taken.

    Raises
    ------
    ValueError
        When a measure names an element that the cycle doesn't have, or when one measure makes an element
        longer that another changes too: what both do together only a stopwatch tells.
    """
    after = {}
    for measure in measures:
        for change in measure.changes:
            if change.element not in cycle:
                known = ", ".join(cycle)
                raise ValueError(f'"{measure.name}": no element {change.element!r} in the cycle ({known})')
    for element, today in cycle.items():
        changes = [one for measure in measures for one in measure.changes if one.element == element]
        times = [one.to_s for one in changes if one.to_s is not None]
        if len(changes) > 1 and max(times, default=today) > today:
            raise ValueError(
                f"{element}: one measure makes it longer and another changes it too; time both together by "
                "stopwatch and give that as one measure"
            )
        seconds = min(times, default=today)
        for one in changes:
            if one.share_off is not None:
                seconds *= 1 - one.share_off
        after[element] = seconds
    return after


def together(cycle: Cycle, measures: Sequence[Measure]) -> Together:
    """What measures save together, each alone, and each on top of those before it.

    Raises
    ------
    ValueError
        As `cycle_after`; also when the cycle has a negative element or takes no time, today or then.
    """
    total = sum(cycle.values(), Fraction(0))
    if not total or min(cycle.values()) < 0:
        raise ValueError("a cycle needs elements with times of 0 s or more, and one above 0")

    def left(some: Sequence[Measure]) -> Fraction:
        return sum(cycle_after(cycle, some).values(), Fraction(0))

    shares = []
    before = total
    for number, measure in enumerate(measures, start=1):
        now = left(measures[:number])
        shares.append(Share(measure=measure, alone_s=total - left([measure]), added_s=before - now))
        before = now
    if not before:
        raise ValueError("the measures leave nothing of the cycle; correct their times")
    return Together(before=dict(cycle), after=cycle_after(cycle, measures), shares=tuple(shares))
