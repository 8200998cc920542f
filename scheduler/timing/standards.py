"""Which standards are off, how sure that is, and what they should be: from recorded runs.

Never a league table: a person's pace is looked at so that plans give everybody the time they need, and people
are always named in the crew's order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import exp, log

from scheduler.timing.effects import Effects, estimate
from scheduler.timing.judged import Judged, Kind, Learnt, Rest, Share, Standard
from scheduler.timing.learning import Stretch, fit
from scheduler.timing.off import Name, Sums, carrier, step_down
from scheduler.timing.recorded import Counted, Recorded

ODD = 0.25
"""A run that keeps no more of its weight than this went quite unlike the rest (own choice)."""


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
    sums = Sums(runs, names, rows, effects)
    each = 1 - (1 - confidence) / (len(names) + 1)  # all that is told, and what remains of all work
    off, remaining = step_down(sums, each)
    people = _off_people(sums, each)
    rest = sums.whole(remaining, each)
    carried = carrier(sums, remaining, rest.share.side, confidence) if rest.share.side else None
    standards = [_all_work(sums, each, off=bool(rest.share.side))]
    for unit in sums.units():
        standards += _standards(sums, unit, remaining, each, off=unit in off or unit in people)
    order = {name: number for number, name in enumerate(names)}
    return Judged(
        standards=tuple(sorted(standards, key=lambda one: order[one.kind, one.name])),
        odd=tuple(run for run, trust in zip(runs, effects.trust, strict=True) if trust <= ODD),
        learnt=_learnt(runs, groups, place, effects, confidence),
        noise=effects.noise,
        rest=_rest(runs, remaining, rest.share) if off else None,
        alike=bool(rest.share.side) and carried is None and not people,
        carried_by=_carrier_name(sums, carried),
        each=each,
    )


def _off_people(sums: Sums, confidence: float) -> frozenset[tuple[int, ...]]:
    """People whose pace is off beside all work, those aside who are not to be told from a press or so."""
    return frozenset(
        unit
        for unit in sums.units()
        if all(sums.names[place][0] is Kind.PERSON for place in unit)
        and sums.apart(unit, sums.all_runs, confidence).share.side
    )


def _all_work(sums: Sums, confidence: float, *, off: bool) -> Standard:
    found = sums.whole(sums.all_runs, confidence)
    pieces = sum(run.pieces for run in sums.runs)
    return Standard(
        kind=Kind.ALL,
        name="",
        runs=len(sums.runs),
        pieces=pieces,
        of_planned=found.share,
        beside_all=Share(best=1.0, low=1.0, high=1.0),
        chance=found.chance,
        off=off,
        planned_piece_s=sum(run.planned_s for run in sums.runs) / pieces,
    )


def _standards(
    sums: Sums, unit: tuple[int, ...], remaining: frozenset[int], confidence: float, *, off: bool
) -> list[Standard]:
    """Standards that can't be told apart, or one that can."""
    total, apart = sums.total(unit, remaining, confidence), sums.apart(unit, remaining, confidence)
    only_person = all(sums.names[place][0] is Kind.PERSON for place in unit)
    own = [sums.runs[row] for row in sums.rows[unit[0]]]
    pieces = sum(run.pieces for run in own)
    made = []
    for place in unit:
        alone = sums.apart([place], sums.all_runs, confidence)
        made.append(
            Standard(
                kind=sums.names[place][0],
                name=sums.names[place][1],
                runs=len(own),
                pieces=pieces,
                of_planned=total.share,
                beside_all=alone.share,
                chance=alone.chance if only_person else min(total.chance, apart.chance),
                off=off,
                planned_piece_s=sum(run.planned_s for run in own) / pieces,
                together=tuple(sums.names[other] for other in unit if other != place),
            )
        )
    return made


def _rest(runs: Sequence[Recorded], remaining: frozenset[int], share: Share) -> Rest:
    own = [runs[row] for row in remaining]
    planned_piece_s = sum(run.planned_s for run in own) / sum(run.pieces for run in own)
    return Rest(runs=len(own), of_planned=share, planned_piece_s=planned_piece_s)


def _carrier_name(sums: Sums, unit: tuple[int, ...] | None) -> str:
    """What it is called, people left unnamed: nobody is to be blamed for what all work is off by."""
    names = [sums.names[place] for place in unit or ()]
    return " with ".join(f"{kind} {name}" for kind, name in names if kind is not Kind.PERSON)


def _keys(run: Recorded) -> list[Name]:
    keys = [
        (Kind.ALL, ""),
        (Kind.PRESS, run.press),
        (Kind.PLACEMENT, run.placement),
        (Kind.TRANSFER, run.transfer),
    ]
    return [*keys, (Kind.PERSON, run.person)] if run.person else keys


def _names(runs: Sequence[Recorded], crew: Iterable[str]) -> list[Name]:
    there = {key for run in runs for key in _keys(run)}
    order = {name: number for number, name in enumerate(crew)}
    met = {run.person: number for number, run in reversed(list(enumerate(runs)))}

    def rank(key: Name) -> tuple[int, int, int, str]:
        kind, name = key
        person = kind is Kind.PERSON
        known = order.get(name, len(order)) if person else 0
        return list(Kind).index(kind), known, met.get(name, 0) if person else 0, name

    return sorted(there, key=rank)


def _learnt(
    runs: Sequence[Recorded],
    groups: Sequence[Sequence[int]],
    place: dict[Name, int],
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


def _without(run: Recorded, place: dict[Name, int], effects: Effects) -> float:
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


__all__ = ["ODD", "Judged", "Kind", "Learnt", "Share", "Standard", "judge"]
