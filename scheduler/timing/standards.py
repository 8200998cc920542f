"""Which standards are off, how sure that is, and what they should be: from recorded runs.

Never a league table: a person's pace is looked at so that plans give everybody the time they need, and people
are always named in the crew's order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import exp, log, sqrt
from statistics import NormalDist

from scheduler.timing.effects import Effects, estimate
from scheduler.timing.learning import Learning, Stretch, fit
from scheduler.timing.recorded import Counted, Recorded

ODD = 0.35
"""A run that keeps no more of its weight than this went quite unlike the rest (own choice)."""


class Kind(StrEnum):
    """What a standard may be off by."""

    ALL = "all work"
    PRESS = "press"
    PLACEMENT = "placement"
    TRANSFER = "transfer"
    PERSON = "person"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standard:
    """A standard beside what was recorded.

    Attributes
    ----------
    factor, low, high
        Time that its work takes as a share of what is planned, everything else being as usual: the best
        guess, shrunk towards 1, and where it may lie at the confidence asked for.
    chance
        That it is off to the side that the guess says, 0.5 to 1.
    planned_piece_s
        Mean seconds a piece that are planned for its runs, allowance included.
    together_with
        Names of other standards that have the very same runs, so that nobody can tell them apart.
    """

    kind: Kind
    name: str
    runs: int
    pieces: int
    factor: float
    low: float
    high: float
    chance: float
    planned_piece_s: float
    together_with: tuple[str, ...] = ()

    @property
    def off(self) -> bool:
        """It is off at the confidence asked for."""
        return not self.low <= 1 <= self.high

    @property
    def should_be_s(self) -> float:
        """Seconds a piece to plan for, by the best guess."""
        return self.planned_piece_s * self.factor


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


def judge(runs: Sequence[Recorded], crew: Iterable[str], *, confidence: float = 0.95) -> Judged:
    """Hold recorded runs against the standards.

    Parameters
    ----------
    runs
        At least one.
    crew
        Names in the order in which people are to be named; others follow as they come.
    confidence
        For the intervals and for what counts as off.
    """
    names = _names(runs, crew)
    place = {name: number for number, name in enumerate(names)}
    groups = [[place[key] for key in _keys(run)] for run in runs]
    kinds = [list(Kind).index(kind) for kind, _ in names]
    usual_s = sum(run.planned_s for run in runs) / len(runs)
    effects = estimate(
        groups, [log(run.ratio) for run in runs], [run.planned_s / usual_s for run in runs], kinds
    )
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    own_runs = [
        [run for run, group in zip(runs, groups, strict=True) if one in group] for one in range(len(names))
    ]
    standards = []
    for number, (kind, name) in enumerate(names):
        mean, error = effects.means[number], sqrt(effects.covariance[number][number])
        own = own_runs[number]
        pieces = sum(run.pieces for run in own)
        standards.append(
            Standard(
                kind=kind,
                name=name,
                runs=len(own),
                pieces=pieces,
                factor=exp(mean),
                low=exp(mean - z * error),
                high=exp(mean + z * error),
                chance=NormalDist().cdf(abs(mean) / error),
                planned_piece_s=sum(run.planned_s for run in own) / pieces,
                together_with=_together(number, names, groups),
            )
        )
    return Judged(
        standards=tuple(standards),
        odd=tuple(run for run, trust in zip(runs, effects.trust, strict=True) if trust <= ODD),
        learnt=_learnt(runs, groups, place, effects, confidence),
        noise=effects.noise,
    )


def _keys(run: Recorded) -> list[tuple[Kind, str]]:
    keys = [
        (Kind.ALL, ""),
        (Kind.PRESS, run.press),
        (Kind.PLACEMENT, run.placement),
        (Kind.TRANSFER, run.transfer),
    ]
    return [*keys, (Kind.PERSON, run.person)] if run.person else keys


def _names(runs: Sequence[Recorded], crew: Iterable[str]) -> list[tuple[Kind, str]]:
    there = {key for run in runs for key in _keys(run)}
    order = {name: number for number, name in enumerate(crew)}
    met = {run.person: number for number, run in reversed(list(enumerate(runs)))}

    def rank(key: tuple[Kind, str]) -> tuple[int, int, int, str]:
        kind, name = key
        person = kind is Kind.PERSON
        known = order.get(name, len(order)) if person else 0
        return list(Kind).index(kind), known, met.get(name, 0) if person else 0, name

    return sorted(there, key=rank)


def _together(
    number: int, names: Sequence[tuple[Kind, str]], groups: Sequence[Sequence[int]]
) -> tuple[str, ...]:
    """Other standards with the same runs, all work left out."""
    if names[number][0] is Kind.ALL:
        return ()
    own = {row for row, group in enumerate(groups) if number in group}
    return tuple(
        f"{kind} {name}"
        for other, (kind, name) in enumerate(names)
        if other != number
        and kind is not Kind.ALL
        and own == {row for row, group in enumerate(groups) if other in group}
    )


def _learnt(
    runs: Sequence[Recorded],
    groups: Sequence[Sequence[int]],
    place: dict[tuple[Kind, str], int],
    effects: Effects,
    confidence: float,
) -> tuple[Learnt, ...]:
    """Kinds of work that got faster, once press and person are taken out of the times.

    With several kinds to look at, each must show it with so much more confidence that all of them together
    are wrong no more often than one would be (Bonferroni).
    """
    by_work: dict[tuple[str, str], list[Recorded]] = {}
    for run in sorted(runs, key=lambda run: run.started):
        by_work.setdefault((run.transfer, run.placement), []).append(run)
    stretches = {
        work: _stretches(own, [_without(run, place, effects) for run in own]) for work, own in by_work.items()
    }
    tried = {work: one for work, one in stretches.items() if fit(one, confidence) is not None}
    found = []
    for work, one in tried.items():
        learning = fit(one, 1 - (1 - confidence) / len(tried))
        if learning is not None and learning.shown:
            found.append(
                Learnt(transfer=work[0], placement=work[1], runs=len(by_work[work]), learning=learning)
            )
    return tuple(found)


def _without(run: Recorded, place: dict[tuple[Kind, str], int], effects: Effects) -> float:
    """What press and person make of a run's time, as a factor to divide by."""
    keys = [(Kind.PRESS, run.press), (Kind.PERSON, run.person)]
    return exp(sum(effects.means[place[key]] for key in keys if key in place))


def _stretches(runs: Sequence[Recorded], factors: Sequence[float]) -> list[Stretch]:
    """The work from count to count, in the order in which it was done."""
    found = []
    done = 0
    for run, factor in zip(runs, factors, strict=True):
        last = Counted(pieces=0, took_s=0.0)
        for count in run.counts:
            pieces = count.pieces - last.pieces
            planned = run.planned_s * pieces / run.pieces
            ratio = (count.took_s - last.took_s) / planned / factor
            found.append(Stretch(before=done, pieces=pieces, ratio=ratio, weight=planned))
            done += pieces
            last = count
    return found
