"""What recorded runs say of the standards, as data."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from scheduler.timing.learning import Learning
from scheduler.timing.recorded import Recorded


class Kind(StrEnum):
    """What a standard may be off by."""

    ALL = "all work"
    PRESS = "press"
    PLACEMENT = "placement"
    TRANSFER = "transfer"
    PERSON = "person"


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """A share of a time: the best guess, and where it may lie.

    At the confidence asked for all shares that are told lie there at once, so the reach of one alone is
    wider than it would be (Bonferroni).
    """

    best: float
    low: float
    high: float

    @property
    def side(self) -> int:
        """1 when it is above 1, -1 when it is below, 0 when it may be 1."""
        return (self.low > 1) - (self.high < 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standard:
    """A standard beside what was recorded.

    Attributes
    ----------
    of_planned
        Time that its work takes as a share of what is planned, with everything else as it is on average in
        the work where nothing is off; shrunk towards 1. Of all work: as it was, whatever is off.
    beside_all
        The same beside all work, of this one alone: 1.1 is ten percent more than all work takes of its
        planned time. Of all work itself it is 1.
    chance
        That it is off to the side that the guess says, 0.5 to 1, in all the respects that make it off.
    off
        It is off at the confidence asked for, and not just because all work is. A pace is held against all
        work alone: it says how people differ, not how long work takes. All work is off when what remains of
        it is, without the runs of standards that are off by themselves.
    planned_piece_s
        Mean seconds a piece that are planned for its runs, allowance included.
    together
        Kind and name of other standards that have the very same runs, so that nobody can tell them apart.
        Then `of_planned`, `chance` and `off` are those of all of them together.
    """

    kind: Kind
    name: str
    runs: int
    pieces: int
    of_planned: Share
    beside_all: Share
    chance: float
    off: bool
    planned_piece_s: float
    together: tuple[tuple[Kind, str], ...] = ()

    @property
    def together_with(self) -> tuple[str, ...]:
        """Those others in words."""
        return tuple(f"{kind} {name}" for kind, name in self.together)

    @property
    def should_be_s(self) -> float:
        """Seconds a piece to plan for, by the best guess."""
        return self.planned_piece_s * self.of_planned.best


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """The runs in which no press, placement or transfer is off by itself."""

    runs: int
    of_planned: Share
    planned_piece_s: float

    @property
    def should_be_s(self) -> float:
        """Seconds a piece to plan for, by the best guess."""
        return self.planned_piece_s * self.of_planned.best


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """Work that got faster with the pieces done."""

    transfer: str
    placement: str
    runs: int
    learning: Learning


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """All standards.

    Attributes
    ----------
    standards
        All work first; then presses, placements and transfers by name, and people in the crew's order.
    rest
        What remains without the standards that are off; None when none is, or when nothing remains.
    alike
        All work is off whichever press, placement, transfer or person is looked away from, and nobody's pace
        is off: then all of them share it.
    carried_by
        The press, placement or transfer without whose runs all work would not be off; empty when there is
        none.
    each
        Confidence of one share by itself, so that all of them hold at once.
    odd
        Runs that went quite unlike the rest and count less.
    learnt
        Work for which the data show learning.
    noise
        By how much single runs of average length differ, as a share.
    """

    standards: tuple[Standard, ...]
    odd: tuple[Recorded, ...]
    learnt: tuple[Learnt, ...]
    noise: float
    rest: Rest | None = None
    alike: bool = False
    carried_by: str = ""
    each: float = 0.95
