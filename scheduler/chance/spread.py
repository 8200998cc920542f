"""What real times are drawn from: spread of work by hand, of runs and days, spoiled pieces, small stops."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import exp, log, sqrt
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from scheduler.chance.network import Network, Node
from scheduler.chance.replay import Times
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.shop import Element, Press, Setup
from scheduler.domain.studies import ALL_SET_UPS
from scheduler.planning.cycle import elements_of, fixed_ticks

Floats = NDArray[np.float64]

BY_THE_PRESS = (Element.OPEN_SELF,)
"""Elements that no hand does; like dwell they take as long each time."""

MOST_STOPS = 40
"""Stops drawn for a run at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfRecordedRuns:
    """What recorded days tell of the times of runs to come.

    Attributes
    ----------
    noise
        Standard deviation of the logarithm of time taken by time planned, of a run of `usual_s`; half of its
        variance comes with every run, the other half evens out over longer runs.
    day
        Standard deviation of what all runs have in common: how well the mean of all work is known.
    all_work
        Time that all work takes as a share of what is planned.
    beside
        By kind and name (press, placement, transfer, person): time beside all work.
    """

    noise: float
    usual_s: float
    day: float
    all_work: float
    beside: Mapping[tuple[str, str], float]

    def noise_of(self, pressing_s: float) -> float:
        """Standard deviation of the logarithm for a run with so many planned seconds of pressing."""
        return self.noise * sqrt((1 + self.usual_s / pressing_s) / 2) if pressing_s else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Coefficients of variation (standard deviation by mean) and rates.

    The figures that stand here are the program's own choice. Times of work by hand are skewed to the right,
    and their coefficient of variation differs widely between tasks (K. Knott and R. J. Sury, "A study of
    work-time distributions on unpaced tasks", *IIE Transactions* 19, 1987), so no single figure has a source.

    Attributes
    ----------
    hand
        Of one element done by hand on one garment; pieces are independent of each other.
    elements
        By element and press set-up (`ALL_SET_UPS`: any), that of a stopwatch study; it goes before `hand`.
    cycle
        Of a whole cycle by a stopwatch study; it goes before all elements. None: not studied.
    run
        Of what all hand work of a run has in common: this garment, this artwork, that moment. The same
        belief as that on recorded runs: 20 % for a usual run, half of its variance with every run.
    day
        Of what all hand work of the day has in common: standards that are off together, the form of the day.
    set_up
        Of setting up by hand, and of fetching a box and checking the first piece.
    stop_every_min, stop_min
        Minutes of work from one stop to the next, and its length, both on average (exponential): what the
        allowance does not cover, such as a wrong box. 0 minutes: no stops.
    spoilage
        Share of pieces pressed again at once; None: the shop's spare by transfer type.
    recorded
        What recorded days tell; it takes the place of `hand` to `day` and of the stops, which are in it.
    words
        Where the figures come from.
    """

    hand: float = 0.25
    elements: Mapping[tuple[str, str], float] = field(default_factory=dict)
    cycle: float | None = None
    run: float = 0.14
    day: float = 0.04
    set_up: float = 0.30
    stop_every_min: float = 240.0
    stop_min: float = 5.0
    spoilage: float | None = None
    recorded: OfRecordedRuns | None = None
    words: tuple[str, ...] = ()


NO_SPREAD = Spread(hand=0.0, run=0.0, day=0.0, set_up=0.0, stop_min=0.0, spoilage=0.0)
"""Everything takes as long as planned."""


def scaled(spread: Spread, times: float) -> Spread:
    """A spread so many times as large; stops and spoiled pieces, and what is off on average, stay.

    Parameters
    ----------
    times
        At least 0; 0 for none.
    """
    if times == 1:
        return spread
    recorded = spread.recorded
    if recorded is not None:
        recorded = replace(recorded, noise=times * recorded.noise, day=times * recorded.day)
    return replace(
        spread,
        hand=times * spread.hand,
        elements={key: times * cv for key, cv in spread.elements.items()},
        cycle=None if spread.cycle is None else times * spread.cycle,
        run=times * spread.run,
        day=times * spread.day,
        set_up=times * spread.set_up,
        recorded=recorded,
        words=(*spread.words, f"all spreads taken {times:g} times as large"),
    )


def spoiled_share(plan: Plan, run: PlannedRun, spread: Spread) -> float:
    """The share of a run's pieces that must be pressed again: that some transfer on a piece goes wrong."""
    good = 1.0
    for laid in run.content.laid:
        share = plan.shop.spoilage.get(laid.transfer, 0.0) if spread.spoilage is None else spread.spoilage
        good *= 1.0 - share
    return 1.0 - good


def hand_share(plan: Plan, run: PlannedRun) -> float:
    """The share of a cycle that is work by hand, not waiting for the closed press.

    At two presses a garment's share of the round is shorter than its cycle, and more of it by hand.
    """
    if run.second_press:
        return min(1.0, _by_hand_s(plan, run) / run.cycle_s) if run.cycle_s else 0.0
    recipe = run.content.recipe
    held = 0.0 + recipe.pre_press_s + recipe.dwell_s + recipe.second_press_s
    press = _press(plan, run)
    if press is not None and press.self_opening:
        held += plan.shop.elements.get((Element.OPEN_SELF, press.setup), 0.0)
    return min(1.0, max(0.0, 1.0 - held / run.cycle_s)) if run.cycle_s else 0.0


def _by_hand_s(plan: Plan, run: PlannedRun) -> float:
    """Seconds of the elements of a cycle that hands do."""
    press = _press(plan, run)
    return sum(
        times * float(plan.shop.elements.get((element, press.setup), 0.0))
        for element, times in _elements(run, press)
        if press is not None
    )


def _elements(run: PlannedRun, press: Press | None) -> list[tuple[Element, int]]:
    """The elements of a run's cycle that hands do, with how often; none when the press isn't known."""
    if press is None:
        return []
    laid = run.content.laid
    turns = len(laid) == 1 and laid[0].inside
    known = elements_of(press, run.content.recipe, transfers=len(laid), turns=turns)
    return [(element, times) for element, times in known if element not in BY_THE_PRESS]


def piece_cv(plan: Plan, run: PlannedRun, spread: Spread) -> float:
    """Coefficient of variation of the work by hand on one piece: its elements are independent."""
    if spread.cycle is not None:
        hands = hand_share(plan, run)
        return spread.cycle / hands if hands else 0.0
    press = _press(plan, run)
    hand_s = hand_share(plan, run) * run.cycle_s
    if press is None or not hand_s:
        return spread.hand
    variance, left = 0.0, hand_s
    for element, times in _elements(run, press):
        seconds = float(plan.shop.elements.get((element, press.setup), 0.0))
        variance += times * (_element_cv(spread, element, press.setup) * seconds) ** 2
        left -= times * seconds
    # Names and numbers of their own are laid by hand, too.
    variance += (spread.hand * max(0.0, left)) ** 2
    return sqrt(variance) / hand_s


def _element_cv(spread: Spread, element: Element, set_up: Setup) -> float:
    for key in ((element.value, set_up.value), (element.value, ALL_SET_UPS)):
        if key in spread.elements:
            return spread.elements[key]
    return spread.hand


def _press(plan: Plan, run: PlannedRun) -> Press | None:
    return next((press for press in plan.shop.presses if press.name == run.press), None)


def draw(plan: Plan, network: Network, spread: Spread, *, replays: int, seed: int) -> Times:
    """Random times for every run of a plan; the same arguments give the same times.

    Each run has random numbers of its own, by its id: in another plan of the same orders it meets with the
    same luck (common random numbers), so that two plans are compared and not two draws.

    Source: A. M. Law, *Simulation Modeling and Analysis*, on common random numbers.
    """
    runs = {run.id: run for run in plan.runs}
    common = np.random.default_rng([seed, 0]).standard_normal(replays)
    day = _factor(spread.day, common) if spread.recorded is None else np.exp(spread.recorded.day * common)
    shape = (replays, len(network.nodes))
    set_up, work = np.empty(shape, order="F"), np.empty(shape, order="F")
    for number, node in enumerate(network.nodes):
        own = np.random.default_rng([seed, 1, crc32(node.task.encode())])
        made = _Luck(own, replays)
        set_up[:, number] = node.set_up * _factor(spread.set_up, made.set_up)
        work[:, number] = _work(plan, node, runs[node.task], spread, day, made)
    return Times(set_up=set_up, work=work)


class _Luck:
    """The random numbers of one run, in a fixed order."""

    def __init__(self, own: np.random.Generator, replays: int) -> None:
        self.set_up, self.fixed, self.run, self.piece = own.standard_normal((4, replays))
        self._own, self._replays = own, replays

    def spoiled(self, pieces: int, share: float) -> Floats:
        return self._own.binomial(pieces, share, size=self._replays).astype(np.float64)

    def stops(self, expected: float) -> Floats:
        """Length of all stops in mean lengths, when so many are expected."""
        total, at = np.zeros(self._replays), np.zeros(self._replays)
        for _ in range(MOST_STOPS):
            gap, length = self._own.exponential(size=(2, self._replays))
            at += gap
            met = at <= expected
            if not met.any():
                break
            total += np.where(met, length, 0.0)
        return total


def _work(
    plan: Plan, node: Node, run: PlannedRun, spread: Spread, day: Floats, luck: _Luck
) -> Floats | float:
    if node.operator is None:
        return float(node.work)
    fixed = min(node.work, fixed_ticks(plan.shop, plan.instance.tick_s))
    pressing = node.work - fixed
    pieces = max(1, run.content.quantity)
    took = pressing * (
        _by_hand(plan, run, spread, day, luck, pieces)
        if spread.recorded is None
        else _as_recorded(run, spread.recorded, day, luck, pressing * plan.instance.tick_s)
    )
    again = luck.spoiled(pieces, spoiled_share(plan, run, spread))
    took = took * (1.0 + again / pieces) + fixed * _factor(spread.set_up, luck.fixed)
    if spread.recorded is None and spread.stop_min and spread.stop_every_min:
        minute = 60 / plan.instance.tick_s
        took = took + luck.stops(node.work / (spread.stop_every_min * minute)) * spread.stop_min * minute
    return took


def _by_hand(plan: Plan, run: PlannedRun, spread: Spread, day: Floats, luck: _Luck, pieces: int) -> Floats:
    pace = day * _factor(spread.run, luck.run)
    pace = pace * _factor(piece_cv(plan, run, spread) / sqrt(pieces), luck.piece)
    # Written so that it is 1, and not almost, when nothing is spread.
    return 1.0 + hand_share(plan, run) * (pace - 1.0)


def _as_recorded(
    run: PlannedRun, recorded: OfRecordedRuns, day: Floats, luck: _Luck, pressing_s: float
) -> Floats:
    keys = [
        ("press", " + ".join(run.presses)),
        ("placement", " + ".join(run.content.placements)),
        ("transfer", " + ".join(dict.fromkeys(laid.transfer for laid in run.content.laid))),
        ("person", run.operator),
    ]
    middle = log(recorded.all_work) + sum(log(recorded.beside.get(key, 1.0)) for key in keys)
    shared: Floats = exp(middle) * day * np.exp(recorded.noise_of(pressing_s) * luck.run)
    return shared


def _factor(cv: float, normal: Floats) -> Floats:
    """A factor around 1, never negative and skewed to the right: lognormal with mean 1 and that spread."""
    variance = log(1.0 + cv * cv)
    made: Floats = np.exp(sqrt(variance) * normal - variance / 2)
    return made
