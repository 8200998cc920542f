"""What pictures of times and savings show: figures alone, drawn as SVG for a page and as PNG or SVG.

Each kind says in words what its picture shows, for whoever has the page read out.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scheduler.domain.figures import counted, figure, fixed
from scheduler.sheets.sure import percent

MOST_PARTS = 12
"""Parts of a bar that have a hatch of their own."""

OTHERS = "all others"

_NAME = 60
"""Letters of a name in a picture's legend; wide letters count twice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar: its label and its parts, name to seconds."""

    label: str
    parts: Mapping[str, float]

    @property
    def whole(self) -> float:
        """Seconds of all parts."""
        return sum(self.parts.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class PaybackLine:
    """What is saved as working days go by, beside the price.

    Attributes
    ----------
    price, saved_a_day
        In one and the same money; both above 0.
    """

    label: str
    price: float
    saved_a_day: float

    @property
    def days(self) -> float:
        """Working days after which the price is earned."""
        return self.price / self.saved_a_day

    @property
    def words(self) -> str:
        """Name and day: "cover: paid after 24.55 working days"."""
        return f"{self.label}: paid after {figure(self.days)} working days"

    @property
    def legend(self) -> str:
        """The same with a name that is short enough to stand in a picture."""
        return f"{shortened(self.label, _NAME)}: paid after {figure(self.days)} working days"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChanceBar:
    """How sure something is: its chance and the interval of it, 0 to 1."""

    label: str
    best: float
    low: float
    high: float

    @property
    def percent(self) -> str:
        """The chance beside its bar; what is neither impossible nor certain is not called 0 or 100."""
        return f"{percent(self.best)} %".replace("more than ", ">").replace("less than ", "<")


@dataclass(frozen=True, slots=True, kw_only=True)
class Dots:
    """Readings of one thing, in seconds; those far from the others and those left out apart."""

    label: str
    usual: Sequence[float]
    far: Sequence[float]
    left_out: Sequence[float]
    mean: float

    @property
    def words(self) -> str:
        """How many readings, from where to where, and their mean."""
        read = (*self.usual, *self.far)
        text = f"{self.label}: {counted(len(read), 'reading')}"
        if read:
            text += f" from {figure(min(read))} to {figure(max(read))} s, mean {figure(self.mean)} s"
        if self.far:
            text += f", {len(self.far)} far from the others"
        if self.left_out:
            text += f", {len(self.left_out)} left out"
        return text


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareLine:
    """A share of the planned time: the best guess, and where it lies; 1 is as planned."""

    label: str
    best: float
    low: float
    high: float

    @property
    def words(self) -> str:
        """Its name and figures: "press Stand: 1.19 (1.10 to 1.29)"."""
        return f"{self.label}: {fixed(self.best, 2)} ({fixed(self.low, 2)} to {fixed(self.high, 2)})"


def share_reach(rows: Sequence[ShareLine]) -> tuple[float, float]:
    """From where to where a picture of shares goes; 1 is in it, with some room to either side."""
    low, high = min(1.0, *(row.low for row in rows)), max(1.0, *(row.high for row in rows))
    room = max(0.05, 0.08 * (high - low))
    return low - room, high + room


def letters(text: str) -> int:
    """Room that a text takes, in letters: wide ones are two."""
    return sum(2 if unicodedata.east_asian_width(letter) in "WF" else 1 for letter in text)


def shortened(text: str, most: int) -> str:
    """A text in so many letters, with its end left out where it has more."""
    if letters(text) <= most:
        return text
    while letters(text) > most - 1:
        text = text[:-1]
    return f"{text.rstrip()}…"


def with_others(bars: Sequence[Bar]) -> list[Bar]:
    """Bars with no more parts than there are hatches: the shortest ones are put together as `OTHERS`."""
    names = part_names(bars)
    if len(names) <= MOST_PARTS:
        return list(bars)
    by_length = sorted(names, key=lambda name: -max(bar.parts.get(name, 0.0) for bar in bars))
    kept = set(by_length[: MOST_PARTS - 1])
    return [
        Bar(
            label=bar.label,
            parts={
                **{name: bar.parts.get(name, 0.0) for name in names if name in kept},
                OTHERS: sum(seconds for name, seconds in bar.parts.items() if name not in kept),
            },
        )
        for bar in bars
    ]


def part_names(bars: Sequence[Bar]) -> tuple[str, ...]:
    """Parts of some bars in their order; those that are nothing in all of them left out."""
    names = dict.fromkeys(name for bar in bars for name in bar.parts)
    return tuple(name for name in names if any(bar.parts.get(name, 0.0) for bar in bars))


def bars_words(bars: Sequence[Bar]) -> str:
    """The bars in words, with the seconds of each part."""
    names = part_names(bars)
    return " ".join(
        f"{bar.label}: {figure(bar.whole)} s"
        + (
            f" ({', '.join(f'{name} {figure(bar.parts.get(name, 0.0))}' for name in names)})."
            if len(names) > 1
            else "."
        )
        for bar in bars
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far a picture of paybacks goes: working days from 0, and money saved less the price."""

    days: float
    low: float
    high: float


def payback_reach(lines: Sequence[PaybackLine]) -> Reach:
    """Some way beyond the last payback, and no higher than shows where the others cross 0.

    A line that earns much more than the highest price leaves the picture at the top.
    """
    days = max(1.0, 1.6 * max(line.days for line in lines))
    price = max(line.price for line in lines)
    end = max(days * line.saved_a_day - line.price for line in lines)
    return Reach(days=days, low=-price, high=min(end, 1.2 * price))


def mark_places(lines: Sequence[PaybackLine]) -> list[int]:
    """For each line, where the number of its crossing goes so that none hides another; see `stacked`."""
    order = sorted(range(len(lines)), key=lambda number: lines[number].days)
    found = stacked([line.days for line in lines], 0.035 * payback_reach(lines).days)
    places = dict(zip(order, (place for _, place in found), strict=True))
    return [places[number] for number in range(len(lines))]


def stacked(values: Sequence[float], gap: float) -> list[tuple[float, int]]:
    """Values in order, each with its place in the stack of those closer than `gap`: 0, 1, -1, 2, -2, 0 ..."""
    places = (0, 1, -1, 2, -2)
    found: list[tuple[float, int]] = []
    start, number = float("-inf"), 0
    for value in sorted(values):
        if value - start < gap:
            number += 1
        else:
            start, number = value, 0
        found.append((value, places[number % len(places)]))
    return found
