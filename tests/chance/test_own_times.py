"""The spread of the shop's own times: from recorded runs and from studies."""

from __future__ import annotations

from fractions import Fraction

import pytest

from scheduler.chance.own_times import FEWEST_RUNS, with_recorded, with_studies
from scheduler.chance.spread import Spread
from scheduler.domain.faults import Source
from scheduler.domain.studies import Reading, Studied
from scheduler.timing.allowance import Allowance
from scheduler.timing.study import work_out
from tests.timing.test_standards import CREW, days


def test_recorded_runs_give_their_noise_and_what_is_off() -> None:
    made = with_recorded(Spread(), days(400, {"": 1.1, "Press 2": 1.2}, noise=0.12), CREW)
    found = made.recorded
    assert found is not None
    assert found.noise == pytest.approx(0.12, abs=0.02)
    assert found.all_work == pytest.approx(1.1 * 1.2 ** (1 / 3), rel=0.03)
    beside = found.beside
    assert beside["press", "Press 2"] / beside["press", "Press 1"] == pytest.approx(1.2, rel=0.03)
    assert 0 < found.day < 0.02  # so many runs leave little doubt of their mean
    assert "400 recorded runs" in made.words[0]


def test_few_recorded_runs_change_nothing() -> None:
    few, enough = days(FEWEST_RUNS - 1, {}), days(FEWEST_RUNS, {})
    assert with_recorded(Spread(), few, CREW) == Spread()
    found = with_recorded(Spread(), enough, CREW).recorded
    assert found is not None and found.day > 0.03


def readings(element: str, set_up: str, *seconds: int) -> list[Reading]:
    studied = Studied(element=element, set_up=set_up)
    return [Reading(studied=studied, seconds=Fraction(one), source=Source(file="a.csv")) for one in seconds]


def test_studies_give_the_spread_of_what_was_timed_often_enough() -> None:
    timed = [
        *readings("load", "plain", 10, 12, 8, 11, 9),
        *readings("unload", "", 4, 5, 6, 5, 5),
        *readings("lay a transfer", "plain", 3, 9),
        *readings("whole cycle", "", 40, 42, 38, 40, 40),
    ]
    made = with_studies(Spread(), work_out(timed, Allowance(share=Fraction(11, 100))))
    # Standard deviations of a sample by hand: sqrt(10/4) of 10; sqrt(2/4) of 5; sqrt(8/4) of 40.
    assert made.elements == pytest.approx({("load", "plain"): 0.15811, ("unload", "all"): 0.14142}, rel=1e-4)
    assert made.cycle == pytest.approx(0.035355, rel=1e-4)
    assert "3 timed by stopwatch" in made.words[0]
