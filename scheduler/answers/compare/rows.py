"""The figures of a comparison in the units that people read, the same for terminal, JSON and workbook."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.domain.clock import number
from scheduler.domain.figures import nearest
from scheduler.scenarios.differences import Difference, Verdict, day_difference
from scheduler.scenarios.quantities import Amount, Quantity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from scheduler.scenarios.changes import Compared
    from scheduler.scenarios.side import Side

TITLES: dict[Quantity, tuple[str, str]] = {
    Quantity.LEFT_OVER: ("left over", "pressings"),
    Quantity.LATE_ORDERS: ("late orders", "orders"),
    Quantity.LATENESS: ("late, weighted", "minutes"),
    Quantity.CHANGEOVER: ("changeovers", "minutes"),
    Quantity.CHANGEOVERS: ("changeovers", "number"),
    Quantity.OVERTIME: ("overtime", "minutes"),
    Quantity.FINISH: ("last order packed", "clock"),
    Quantity.NOT_THAT_DAY: ("packed that day", "garments"),
    Quantity.WORK: ("work at presses", "hours"),
}
"""Title and unit of each quantity, in the order in which they are shown."""

NAMES: dict[Quantity, str] = {
    Quantity.LEFT_OVER: "left over",
    Quantity.LATE_ORDERS: "late orders",
    Quantity.LATENESS: "late minutes",
    Quantity.CHANGEOVER: "changeover minutes",
    Quantity.CHANGEOVERS: "number of changeovers",
    Quantity.OVERTIME: "overtime",
    Quantity.FINISH: "finish",
    Quantity.NOT_THAT_DAY: "packed that day",
    Quantity.WORK: "hours at presses",
}
"""What each is called in a list."""

_IN_MINUTES = (Quantity.LATENESS, Quantity.CHANGEOVER, Quantity.OVERTIME, Quantity.FINISH)
_DAY_MIN = 24 * 60

SEEDS_TO_AGREE = 4
"""Of equally good versions, four plans of one would all be better than four of the other once in 35."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A version's plan, what no plan of it can beat, and the least and most over the seeds."""

    plan: float
    bound: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A quantity of today's shop and of another version; `least` and `most`: see `Difference`."""

    quantity: Quantity
    today: Cell
    then: Cell
    planned: float
    least: float | None
    most: float | None
    verdict: Verdict
    seeds: int

    @property
    def title(self) -> str:
        return f"{TITLES[self.quantity][0]}, {self.unit}"

    @property
    def unit(self) -> str:
        """In what its values are read."""
        return TITLES[self.quantity][1]

    @property
    def every_seed_agrees(self) -> bool:
        """Whether every seed's plan of one version is better than every seed's plan of the other.

        Said from `SEEDS_TO_AGREE` seeds on: of fewer luck alone would bring it about too often.
        """
        one, other = sorted((self.today, self.then), key=lambda cell: cell.low)
        apart = self.seeds >= SEEDS_TO_AGREE and one.high < other.low
        return apart and (other is self.then) == (self.planned > 0)

    def shown(self, value: float) -> str:
        """A value in words."""
        if self.quantity is not Quantity.FINISH:
            return short(value)
        days, minutes = divmod(nearest(value), _DAY_MIN)
        later = f" +{days} d" if days else ""
        return f"{minutes // 60:02}:{minutes % 60:02}{later}"

    def spread(self, cell: Cell) -> str:
        """The values over the seeds in words."""
        low, high = self.shown(cell.low), self.shown(cell.high)
        return low if low == high else f"{low} to {high}"

    def words(self) -> str:
        """What is known of the difference."""
        if self.verdict is Verdict.SAME:
            return "no difference, proven"
        if self.verdict is Verdict.NOT_PROVEN:
            agree = ", though every seed agrees" if self.every_seed_agrees else ""
            return f"no difference proven{agree} ({_signed(self.least)} to {_signed(self.most)})"
        return f"{self.verdict.value}, proven: by {self.at_least()} at least"

    def at_least(self) -> str:
        """By how much the one is proven better than the other, with its unit."""
        unit = TITLES[self.quantity][1].replace("clock", "minutes").replace("number", "").strip()
        amount = min(abs(end) for end in (self.least, self.most) if end is not None)
        return f"{short(amount) if short(amount) != '0' else f'{amount:.1g}'} {unit}".rstrip()


def short(value: float) -> str:
    """A number with one decimal at most, and no minus before a nought."""
    return number(value)


def signed(value: float) -> str:
    """A difference, with a plus where it is more."""
    words = short(value)
    return words if value <= 0 or words == "0" else f"+{words}"


def _signed(value: float | None) -> str:
    return "?" if value is None else f"{'+' if value > 0 else ''}{short(value)}"


def paid_hours(today: Side, then: Side, day: int | None = None) -> tuple[float, float]:
    """Hours that the crew is paid for, of a day or (None) of all days: today's and those of the version."""
    chosen = slice(None) if day is None else slice(day, day + 1)
    one, other = (
        sum(each.best.paid * each.best.tick_s for each in side.days[chosen]) / 3600 for side in (today, then)
    )
    return one, other


def day_rows(today: Side, then: Side, day: int) -> list[Row]:
    """The rows of one day."""
    before, after = today.days[day], then.days[day]
    return [
        _row(
            quantity,
            _View(quantity, today, day),
            (before.amounts[quantity], before.spread(quantity)),
            (after.amounts[quantity], after.spread(quantity)),
            day_difference(before, after, quantity),
        )
        for quantity in TITLES
    ]


def all_rows(today: Side, one: Compared) -> list[Row]:
    """The rows of all days together: sums, of when the last order is packed the average."""
    return [
        _row(
            quantity,
            _View(quantity, today, None),
            (_total(today, quantity), today.spread(quantity)),
            (_total(one.side, quantity), one.side.spread(quantity)),
            one.differences[quantity],
        )
        for quantity in TITLES
    ]


def _total(side: Side, quantity: Quantity) -> Amount:
    return Amount(value=side.value(quantity), bound=side.bound(quantity))


class _View:
    """From a quantity's own unit to the one that is read."""

    def __init__(self, quantity: Quantity, today: Side, day: int | None) -> None:
        days = today.days if day is None else today.days[day : day + 1]
        tick_s = days[0].best.tick_s
        self.seeds = today.seeds
        self.flip = quantity is Quantity.NOT_THAT_DAY
        self._from = sum(one.best.garments for one in days) if self.flip else 0
        self._factor = 1.0
        if quantity in _IN_MINUTES:
            self._factor = tick_s / 60
        elif quantity is Quantity.WORK:
            self._factor = tick_s / 3600
        if quantity is Quantity.FINISH:
            self._factor /= len(days)

    def value(self, value: int) -> float:
        return (self._from - value if self.flip else value) * self._factor

    def change(self, change: int) -> float:
        return (-change if self.flip else change) * self._factor


def _row(
    quantity: Quantity,
    view: _View,
    today: tuple[Amount, tuple[int, int]],
    then: tuple[Amount, tuple[int, int]],
    known: Difference,
) -> Row:
    def cell(amount: Amount, spread: tuple[int, int]) -> Cell:
        low, high = sorted(view.value(end) for end in spread)
        return Cell(plan=view.value(amount.value), bound=view.value(amount.bound), low=low, high=high)

    ends = [None if end is None else view.change(end) for end in (known.least, known.most)]
    least, most = reversed(ends) if view.flip else ends
    return Row(
        quantity=quantity,
        today=cell(*today),
        then=cell(*then),
        planned=view.change(known.planned),
        least=least,
        most=most,
        verdict=known.verdict,
        seeds=view.seeds,
    )


def blocks(today: Side, one: Compared) -> Iterator[tuple[int | None, list[Row]]]:
    """Each day's rows by its number, then those of all days (None) when there are several."""
    for day in range(len(today.days)):
        yield day, day_rows(today, one.side, day)
    if len(today.days) > 1:
        yield None, all_rows(today, one)
