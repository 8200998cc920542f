"""Which standards are off: sums of effects that data can tell, and the standards that carry an excess.

A common part could stand in all work or in every press alike: nothing recorded tells which. So all work is
taken with the mean of every kind, by planned time, and each standard beside the mean of its kind. Standards
with the very same runs can't be told apart: their sum is looked at, which data do tell.

One slow press also lifts the mean of all work. So what is off is looked for one by one, the surest first, and
its runs are left out of the means before the next is looked for; "all work is off" is only said of what
remains. That all of it shares an excess is only said when it stays off without the runs of any one press,
placement, transfer or person.

Source: stepping down: S. Holm, "A simple sequentially rejective multiple test procedure", *Scandinavian
Journal of Statistics* 6 (1979); here the level stays that of the first step, which is stricter. Off without
any one group: the intersection-union test, R. L. Berger, *Technometrics* 24 (1982), which needs no stricter
level.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import exp, sqrt
from statistics import NormalDist

from scheduler.timing.effects import Effects
from scheduler.timing.judged import Kind, Share
from scheduler.timing.recorded import Recorded

NOTHING = 1e-9
"""An error below this is that of a standard which is the only one of its kind."""

Name = tuple[Kind, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A share, and how many of its errors it lies from 1, up or down."""

    share: Share
    errors: float

    @property
    def chance(self) -> float:
        """That it lies on the guess's side of 1."""
        return NormalDist().cdf(abs(self.errors))


class Sums:
    """Sums of the effects of recorded runs.

    Parameters
    ----------
    names
        Of the effects, in their order.
    rows
        For each effect, the numbers of its runs.
    """

    def __init__(
        self,
        runs: Sequence[Recorded],
        names: Sequence[Name],
        rows: Sequence[frozenset[int]],
        effects: Effects,
    ) -> None:
        import numpy as np

        self.runs, self.names, self.rows = runs, names, rows
        self._effects, self._covariance = np.asarray(effects.means), np.asarray(effects.covariance)
        self.all_runs = frozenset(range(len(runs)))

    def units(self) -> list[tuple[int, ...]]:
        """Effects that can be told from each other; those with the very same runs are one unit.

        All work is none of them.
        """
        units: dict[frozenset[int], list[int]] = {}
        for place, (kind, _) in enumerate(self.names):
            if kind is not Kind.ALL:
                units.setdefault(self.rows[place], []).append(place)
        return [tuple(unit) for unit in units.values()]

    def means(self, within: frozenset[int]) -> dict[Kind, list[float]]:
        """The mean effect of each kind over some runs, by planned time."""
        planned = [sum(self.runs[row].planned_s for row in own & within) for own in self.rows]
        means = {}
        for kind in Kind:
            own = [time if one is kind else 0.0 for time, (one, _) in zip(planned, self.names, strict=True)]
            whole = sum(own)
            means[kind] = [time / whole if whole else 0.0 for time in own]
        return means

    def whole(self, within: frozenset[int], confidence: float) -> Found:
        """All work of some runs, as a share of the planned time."""
        return self._found(_sum(self.means(within).values()), confidence)

    def apart(self, unit: Iterable[int], within: frozenset[int], confidence: float) -> Found:
        """Standards beside the mean of their kinds over some runs."""
        return self._found(_sum(self._apart(unit, self.means(within))), confidence)

    def total(self, unit: Iterable[int], within: frozenset[int], confidence: float) -> Found:
        """Standards with everything else as it is on average over some runs."""
        means = self.means(within)
        return self._found(_sum([*means.values(), *self._apart(unit, means)]), confidence)

    def _apart(self, unit: Iterable[int], means: dict[Kind, list[float]]) -> Iterator[list[float]]:
        for place in unit:
            mean = means[self.names[place][0]]
            yield [(other == place) - weight for other, weight in enumerate(mean)]

    def _found(self, weights: Sequence[float], confidence: float) -> Found:
        import numpy as np

        weight = np.asarray(weights)
        mean = float(weight @ self._effects)
        error = sqrt(max(0.0, float(weight @ self._covariance @ weight)))
        if error < NOTHING:
            return Found(share=Share(best=1.0, low=1.0, high=1.0), errors=0.0)
        reach = NormalDist().inv_cdf((1 + confidence) / 2) * error
        share = Share(best=exp(mean), low=exp(mean - reach), high=exp(mean + reach))
        return Found(share=share, errors=mean / error)


def _sum(parts: Iterable[Sequence[float]]) -> list[float]:
    return [sum(weights) for weights in zip(*parts, strict=True)]


def step_down(sums: Sums, confidence: float) -> tuple[frozenset[tuple[int, ...]], frozenset[int]]:
    """Units that are off by themselves, people alone left out, and the runs that remain without them.

    A unit is off when both its total and what it has beside its kinds are, to the same side. The last runs
    are never taken away: something must remain to be compared with.
    """
    units = [unit for unit in sums.units() if any(sums.names[place][0] is not Kind.PERSON for place in unit)]
    off: set[tuple[int, ...]] = set()
    remaining = sums.all_runs
    while True:
        surest, most = None, 0.0
        for unit in units:
            left = remaining - sums.rows[unit[0]]
            if unit in off or not left:
                continue
            total, apart = sums.total(unit, remaining, confidence), sums.apart(unit, remaining, confidence)
            size = min(abs(total.errors), abs(apart.errors))
            if total.share.side * apart.share.side > 0 and size > most:
                surest, most = unit, size
        if surest is None:
            return frozenset(off), remaining
        off.add(surest)
        remaining -= sums.rows[surest[0]]


def carrier(sums: Sums, within: frozenset[int], side: int, confidence: float) -> tuple[int, ...] | None:
    """The unit without whose runs the rest is the least sure to be off; None when it is off without any."""
    found = []
    for unit in sums.units():
        left = within - sums.rows[unit[0]]
        if left and left != within:
            without = sums.whole(left, confidence)
            if without.share.side != side:
                found.append((side * without.errors, unit))
    return min(found)[1] if found else None
