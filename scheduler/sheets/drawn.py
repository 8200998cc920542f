"""What pictures of times and savings show: figures alone, drawn as SVG for a page and as PNG or SVG.

Each kind says in words what its picture shows, for whoever has the page read out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scheduler.domain.figures import figure
from scheduler.sheets.clock import counted


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


@dataclass(frozen=True, slots=True, kw_only=True)
class ChanceBar:
    """How sure something is: its chance and the interval of it, 0 to 1."""

    label: str
    best: float
    low: float
    high: float


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


def last_day(lines: Sequence[PaybackLine]) -> float:
    """Working days that a picture of paybacks reaches: some way beyond the last of them."""
    return max(1.0, 1.6 * max(line.days for line in lines))
