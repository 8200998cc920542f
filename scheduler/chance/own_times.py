"""The spread of the shop's own times: from stopwatch studies, or from recorded days."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import log
from statistics import NormalDist

from scheduler.chance.spread import OfRecordedRuns, Spread
from scheduler.domain.figures import fixed, nearest
from scheduler.domain.studies import ALL_SET_UPS, WHOLE_CYCLE
from scheduler.timing.recorded import Recorded
from scheduler.timing.standards import Kind, judge
from scheduler.timing.study import FEW, ElementStudy

FEWEST_RUNS = 20
"""Recorded runs below which they tell too little of spread (own choice)."""

_CONFIDENCE = 0.95


def usual_words(spread: Spread, *, studied: int = 0) -> tuple[str, ...]:
    """Where the figures of a spread without recorded days come from, for people.

    Parameters
    ----------
    studied
        Elements whose spread is that of a study.
    """
    own = f", but {studied} timed by stopwatch" if studied else ""
    hand, run, day, set_up = (
        f"{100 * share:g} %" for share in (spread.hand, spread.run, spread.day, spread.set_up)
    )
    return (
        f"spread of the program's own (no source{own}): by hand {hand} an element and piece, {run} a run, "
        f"{day} the whole day; set-up {set_up}",
        *_stops(spread),
        _spoiled(spread),
    )


def _stops(spread: Spread) -> tuple[str, ...]:
    if not spread.stop_min or not spread.stop_every_min:
        return ()
    return (f"a stop of {spread.stop_min:g} min in {spread.stop_every_min:g} min of work, on average",)


def _spoiled(spread: Spread) -> str:
    if spread.spoilage is None:
        return "spoiled and pressed again: as many as the shop has to spare by transfer type"
    return f"spoiled and pressed again: {100 * spread.spoilage:g} %"


def with_studies(spread: Spread, studies: Iterable[ElementStudy]) -> Spread:
    """A spread with the elements that a stopwatch study timed often enough."""
    elements = dict(spread.elements)
    cycle = spread.cycle
    for one in studies:
        if one.stdev_s is None or len(one.counted) < FEW:
            continue
        cv = one.stdev_s / float(one.mean_s)
        if one.studied.element == WHOLE_CYCLE:
            cycle = cv
        else:
            elements[one.studied.element, one.studied.set_up or ALL_SET_UPS] = cv
    made = replace(spread, elements=elements, cycle=cycle)
    return replace(made, words=usual_words(made, studied=len(elements) + (cycle is not None)))


def with_recorded(spread: Spread, runs: Sequence[Recorded], crew: Iterable[str]) -> Spread:
    """A spread by what recorded runs took; as it is when there are fewer than `FEWEST_RUNS`.

    Also how much longer work takes than planned goes in, as far as the runs bear it out.
    """
    if len(runs) < FEWEST_RUNS:
        return spread
    judged = judge(runs, crew, confidence=_CONFIDENCE)
    of_all = judged.standards[0]
    # Told intervals hold at once: back to the standard error of one.
    sigmas = NormalDist().inv_cdf((1 + judged.each) / 2)
    usual_s = sum(run.planned_s for run in runs) / len(runs)
    recorded = OfRecordedRuns(
        noise=judged.noise,
        usual_s=usual_s,
        day=log(of_all.of_planned.high / of_all.of_planned.best) / sigmas,
        all_work=of_all.of_planned.best,
        beside={
            (one.kind.value, one.name): one.beside_all.best
            for one in judged.standards
            if one.kind is not Kind.ALL
        },
    )
    days = len({run.day for run in runs})
    words = (
        f"{len(runs)} recorded runs of {days} {'day' if days == 1 else 'days'}: work takes "
        f"{fixed(of_all.of_planned.best, 2)} of the planned time, single runs of {nearest(usual_s / 60)} min "
        f"differ by {nearest(100 * judged.noise)} %, stops included",
        _spoiled(spread),
    )
    return replace(spread, recorded=recorded, words=words)
