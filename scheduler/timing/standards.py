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

ODD = 0.25
"""A run that keeps no more of its weight than this went quite unlike the rest (own choice)."""


NOTHING = 1e-9
"""An error below this is that of a standard which is the only one of its kind."""


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
    def one(self) -> bool:
        """It may be 1."""
        return self.low <= 1 <= self.high


@dataclass(frozen=True, slots=True, kw_only=True)
class Standard:
    """A standard beside what was recorded.

    Attributes
    ----------
    of_planned
        Time that its work takes as a share of what is planned, with everything else as it is on average;
        shrunk towards 1.
    beside_all
        The same beside all work: 1.1 is ten percent more than all work takes of its planned time. Of all
        work itself it is 1.
    chance
        That it is off to the side that the guess says, 0.5 to 1, in all the respects that make it off.
    planned_piece_s
        Mean seconds a piece that are planned for its runs, allowance included.
    together_with
        Names of other standards that have the very same runs, so that nobody can tell them apart.
    """

    kind: Kind
    name: str
    runs: int
    pieces: int
    of_planned: Share
    beside_all: Share
    chance: float
    planned_piece_s: float
    together_with: tuple[str, ...] = ()

    @property
    def off(self) -> bool:
        """It is off at the confidence asked for, and not just because all work is.

        A pace is held against all work alone: it says how people differ, not how long work takes.
        """
        if self.kind is Kind.ALL:
            return not self.of_planned.one
        return not self.beside_all.one and (self.kind is Kind.PERSON or not self.of_planned.one)

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
        For the intervals and for what counts as off: that all of them hold at once.
    """
    names = _names(runs, crew)
    place = {name: number for number, name in enumerate(names)}
    groups = [[place[key] for key in _keys(run)] for run in runs]
    kinds = [list(Kind).index(kind) for kind, _ in names]
    usual_s = sum(run.planned_s for run in runs) / len(runs)
    # Half of the noise of a usual run comes with every run, half evens out over its pieces (own choice).
    weights = [2 / (1 + usual_s / run.planned_s) for run in runs]
    effects = estimate(groups, [log(run.ratio) for run in runs], weights, kinds)
    rows = [frozenset(row for row, group in enumerate(groups) if one in group) for one in range(len(names))]
    totals, beside = _contrasts(runs, names, rows)
    alone = 1 - (1 - confidence) / len(names)
    standards = []
    for number, (kind, name) in enumerate(names):
        own = [runs[row] for row in sorted(rows[number])]
        pieces = sum(run.pieces for run in own)
        total, total_chance = _share(totals[number], effects, alone)
        apart, apart_chance = _share(beside[number], effects, alone)
        standards.append(
            Standard(
                kind=kind,
                name=name,
                runs=len(own),
                pieces=pieces,
                of_planned=total,
                beside_all=apart,
                chance=_chance(kind, total_chance, apart_chance),
                planned_piece_s=sum(run.planned_s for run in own) / pieces,
                together_with=_together(number, names, rows),
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


def _chance(kind: Kind, of_planned: float, beside_all: float) -> float:
    if kind is Kind.ALL:
        return of_planned
    return beside_all if kind is Kind.PERSON else min(of_planned, beside_all)


def _contrasts(
    runs: Sequence[Recorded], names: Sequence[tuple[Kind, str]], rows: Sequence[frozenset[int]]
) -> tuple[list[list[float]], list[list[float]]]:
    """What of the effects data can tell: for each standard its total, and what it has beside all work.

    A common part could stand in all work or in every press alike: nothing recorded tells which. So all work
    is taken with every kind's mean, by planned time, and each standard beside the mean of its kind.
    """
    planned = [sum(runs[row].planned_s for row in own) for own in rows]
    of_kind = {kind: [place for place, (one, _) in enumerate(names) if one is kind] for kind in Kind}
    means = {}
    for kind, places in of_kind.items():
        whole = sum(planned[place] for place in places)
        means[kind] = [planned[place] / whole if place in places else 0.0 for place in range(len(names))]
    every = [sum(mean[place] for mean in means.values()) for place in range(len(names))]
    totals, beside = [], []
    for number, (kind, _) in enumerate(names):
        apart = [(place == number) - means[kind][place] for place in range(len(names))]
        beside.append(apart)
        totals.append([one + more for one, more in zip(every, apart, strict=True)])
    return totals, beside


def _share(contrast: Sequence[float], effects: Effects, confidence: float) -> tuple[Share, float]:
    """A weighted sum of effects as a share, and the chance that it lies on the guess's side of 1."""
    mean = sum(weight * value for weight, value in zip(contrast, effects.means, strict=True))
    used = [(place, weight) for place, weight in enumerate(contrast) if weight]
    variance = sum(a * b * effects.covariance[i][j] for i, a in used for j, b in used)
    error = sqrt(max(0.0, variance))
    if error < NOTHING:
        return Share(best=1.0, low=1.0, high=1.0), 0.5
    reach = NormalDist().inv_cdf((1 + confidence) / 2) * error
    share = Share(best=exp(mean), low=exp(mean - reach), high=exp(mean + reach))
    return share, NormalDist().cdf(abs(mean) / error)


def _together(
    number: int, names: Sequence[tuple[Kind, str]], rows: Sequence[frozenset[int]]
) -> tuple[str, ...]:
    """Other standards with the same runs, all work left out."""
    if names[number][0] is Kind.ALL:
        return ()
    return tuple(
        f"{kind} {name}"
        for other, (kind, name) in enumerate(names)
        if other != number and kind is not Kind.ALL and rows[number] == rows[other]
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
