"""Decoder, model and check agree: three readings of one page of rules."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.engine.backend import plain
from scheduler.engine.cpsat.solve import accepts
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.dispatching import first_lines
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.local_search import Chain
from scheduler.verify.check import check
from tests.support.random_days import random_day, side_by_side


def decoded(seed: int):
    instance = random_day(seed, tasks=3 + seed % 4)
    if seed % 2:
        instance = side_by_side(instance)
    flattened = flatten(instance)
    chain = Chain(flattened, first_lines(flattened, plain(), limit=1)[0], seed=seed, backend=plain())
    chain.run(100)
    return instance, to_schedule(flattened, chain.best.tasks, chain.best.options)


@pytest.mark.parametrize("seed", range(16))
def test_model_and_check_accept_what_the_decoder_makes(seed):
    instance, schedule = decoded(seed)
    verdict = check(instance, schedule)
    assert verdict.passed
    assert accepts(instance, schedule)
    assert values_of(instance, schedule) == verdict.values


@pytest.mark.parametrize("seed", range(12))
def test_model_and_check_refuse_a_run_begun_one_tick_early(seed):
    """A run pulled forward by a tick breaks a rule, unless it was not as early as it could be."""
    instance, schedule = decoded(seed)
    for number, run in enumerate(schedule.tasks):
        if run.setup_start == 0:
            continue
        early = replace(run, setup_start=run.setup_start - 1, start=run.start - 1, end=run.end - 1)
        changed = replace(schedule, tasks=(*schedule.tasks[:number], early, *schedule.tasks[number + 1 :]))
        assert accepts(instance, changed) == check(instance, changed).passed
