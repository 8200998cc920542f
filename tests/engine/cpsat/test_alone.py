"""Job shops without people: CP-SAT has the whole problem, on two workers, and gives the same again."""

from __future__ import annotations

from scheduler.domain.schedule import Status
from scheduler.engine.prove import WHOLE, WHOLE_ALONE, job_shop, most_whole
from scheduler.engine.solve import solve
from scheduler.verify.check import check
from tests.benchmarks.catalogue import chosen, entries
from tests.support.random_days import random_day


def test_a_published_flexible_job_shop_is_proven_and_the_same_again():
    """mk01 of Brandimarte, Annals of Operations Research 41, 1993; the optimum is of the set's table."""
    entry = chosen(entries("fjsp"), ["brandimarte_mk01"])[0]
    instance = entry.read()
    first, second = (solve(instance, effort="quick", seed=2) for _ in range(2))
    assert first.status is Status.PROVEN
    assert {level.name: level.value for level in first.levels}["finish"] == entry.best == 40
    assert first.schedule == second.schedule
    assert first.levels == second.levels
    assert check(instance, first.schedule).passed


def test_days_with_people_stay_with_the_local_search():
    day = random_day(1, tasks=8)
    assert not job_shop(day)
    assert not job_shop(entries("wt")[0].read())
    assert most_whole(day) == WHOLE
    entry = chosen(entries("fjsp"), ["brandimarte_mk01"])[0]
    assert most_whole(entry.read()) == WHOLE_ALONE
