"""One operator at several presses: published figures, and the steady cycle by simulation."""

from __future__ import annotations

from collections.abc import Generator
from fractions import Fraction
from typing import Any

import pytest
import simpy

from scheduler.savings.presses import Servicing

PUBLISHED = Servicing(load_s=60, press_s=120, walk_s=6)
"""Niebel & Freivalds, Methods, Standards, and Work Design: l 1.0, m 2.0, w 0.1 min (seen at second hand)."""


def test_the_published_example() -> None:
    """The same example: operator 10 an hour, machine 20 an hour; two machines are best."""
    assert float(PUBLISHED.ideal) == pytest.approx(2.727, abs=0.0005)
    rounds = [float(PUBLISHED.round_s(n)) / 60 for n in (1, 2, 3)]
    assert rounds == pytest.approx([3.0, 3.0, 3.3])
    assert [float(PUBLISHED.per_hour(n)) for n in (2, 3)] == pytest.approx([40, 54.55], abs=0.005)
    costs = [float(PUBLISHED.cost_each(n, wage=10, press_cost=20)) for n in (1, 2, 3, 4)]
    assert costs == pytest.approx([1.50, 1.25, 1.2833, 1.65], abs=0.00005)
    assert PUBLISHED.cheapest(range(1, 5), wage=10, press_cost=20) == 2


@pytest.mark.parametrize(
    ("load", "press", "walk", "ideal"), [(2, 15, 0.5, 6.8), (1.5, 8, 0.3, 5.28), (3, 12, 1, 3.75)]
)
def test_presses_at_which_nothing_waits(load: float, press: float, walk: float, ideal: float) -> None:
    """Published exercises on (l + m) / (l + w) (seen at second hand)."""
    found = Servicing(load_s=load, press_s=press, walk_s=walk).ideal
    assert float(found) == pytest.approx(ideal, abs=0.005)


@pytest.mark.parametrize(
    ("load", "press", "walk", "each"),
    [(26, 15, 2, (41, 28)), (15, 15, 2, (30, 17)), (12, 30, 2, (42, 21, 14, 14))],
)
def test_seconds_a_garment_by_hand(load: int, press: int, walk: int, each: tuple[int, ...]) -> None:
    """Made for this test, worked out by hand; 41 and 28 s are 87.8 and 128.6 an hour."""
    servicing = Servicing(load_s=load, press_s=press, walk_s=walk)
    assert tuple(servicing.each_s(n) for n in range(1, len(each) + 1)) == each


def simulated_each_s(servicing: Servicing, presses: int, rounds: int = 60) -> float:
    """Seconds a garment in the steady state, played through with one operator."""
    world = simpy.Environment()
    operator = simpy.Resource(world)
    done: list[float] = []

    def press() -> Generator[Any, Any, None]:
        while len(done) < rounds * presses:
            with operator.request() as free:
                yield free
                yield world.timeout(float(servicing.load_s))
                done.append(world.now)
                # the operator walks on while this press is closed already
                closed = world.timeout(float(servicing.press_s))
                yield world.timeout(float(servicing.walk_s) if presses > 1 else 0)
            yield closed

    for _ in range(presses):
        world.process(press())
    world.run()
    half = len(done) // 2 // presses * presses
    return (done[half + presses * 10] - done[half]) / (presses * 10)


@pytest.mark.parametrize("presses", [1, 2, 3, 4])
@pytest.mark.parametrize("times", [(26, 15, 2), (15, 15, 2), (12, 30, 2), (60, 120, 6), (10, 1, 5)])
def test_a_simulation_reaches_the_same_cycle(times: tuple[int, int, int], presses: int) -> None:
    servicing = Servicing(load_s=times[0], press_s=times[1], walk_s=times[2])
    assert simulated_each_s(servicing, presses) == pytest.approx(float(servicing.each_s(presses)))


@pytest.mark.parametrize("times", [(26, 15, 2), (12, 30, 2), (1, 99, 3)])
def test_one_more_press_never_lowers_output_and_in_the_end_adds_none(times: tuple[int, int, int]) -> None:
    servicing = Servicing(load_s=times[0], press_s=times[1], walk_s=times[2])
    output = [servicing.per_hour(n) for n in range(1, 40)]
    assert output == sorted(output)
    assert output[servicing.most - 1] == output[servicing.most] == Fraction(3600, times[0] + times[2])


def test_a_second_press_that_is_further_than_a_pressing_costs_output() -> None:
    """By hand: 11 s at one press; 10 s of loading and 5 of walking a garment at two."""
    servicing = Servicing(load_s=10, press_s=1, walk_s=5)
    assert [servicing.each_s(n) for n in (1, 2)] == [11, 15]
    assert servicing.most == 1


def test_times_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="0 s of loading: needs more than 0"):
        Servicing(load_s=0, press_s=1)
    with pytest.raises(ValueError, match="-1 s of walking is negative"):
        Servicing(load_s=1, press_s=0, walk_s=-1)
    with pytest.raises(ValueError, match="0 presses"):
        Servicing(load_s=1, press_s=0).round_s(0)
