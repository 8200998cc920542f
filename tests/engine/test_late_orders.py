"""Least lateness over all sequences of orders: by hand, and against going through all of them."""

from __future__ import annotations

from itertools import permutations
from random import Random

import pytest

from scheduler.engine.late_orders import MOST_ORDERS, Due, fewer, last_late, least_late


def order(cost: int, due: int, weight: int = 1, ready: int = 0) -> Due:
    return Due(cost=cost, weight=weight, due=due, ready=ready)


def steadily(work: int) -> int:
    """One tick of work a tick."""
    return work


def by_all_sequences(orders: list[Due]) -> int:
    least = []
    for sequence in permutations(orders):
        done = late = 0
        for one in sequence:
            done += one.cost
            late += one.weight * max(0, max(done, one.ready) - one.due)
        least.append(late)
    return min(least)


def test_four_jobs_on_one_machine() -> None:
    # M. L. Pinedo, Scheduling: Theory, Algorithms, and Systems, example 3.6.3: p 12 8 15 9, d 16 26 25 27,
    # w 4 5 3 5. The text prints 64; its sequence 1, 2, 4, 3 gives 67, which going through all confirms.
    jobs = [
        order(cost, due, weight)
        for cost, due, weight in zip((12, 8, 15, 9), (16, 26, 25, 27), (4, 5, 3, 5), strict=True)
    ]
    assert least_late(jobs, steadily) == by_all_sequences(jobs) == 67


@pytest.mark.parametrize("seed", range(20))
def test_no_sequence_is_better(seed: int) -> None:
    dice = Random(seed)
    orders = [
        order(dice.randint(1, 20), dice.randint(5, 60), dice.randint(1, 4), dice.randint(0, 40))
        for _ in range(6)
    ]
    assert least_late(orders, steadily) == by_all_sequences(orders)
    assert last_late(orders, steadily) <= by_all_sequences(orders)


@pytest.mark.parametrize("seed", range(5))
def test_taking_orders_together_claims_no_more(seed: int) -> None:
    dice = Random(seed)
    many = [
        order(dice.randint(1, 9), dice.randint(5, 60), dice.randint(1, 3)) for _ in range(MOST_ORDERS + 3)
    ]
    few = fewer(many)
    assert len(few) == MOST_ORDERS
    assert sum(one.cost for one in few) == sum(one.cost for one in many)
    due_first = sorted(many, key=lambda one: one.due)
    done = late = 0
    for one in due_first:
        done += one.cost
        late += one.weight * max(0, done - one.due)
    assert least_late(few, steadily) <= late
