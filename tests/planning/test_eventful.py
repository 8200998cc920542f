"""A few random days on which much comes in between; `eventful.py` runs as many as one likes."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta

import pytest

from scheduler.domain.disruptions import Disruptions, PersonAway
from scheduler.domain.plan import Plan
from tests.support.eventful import eventful_day, morning
from tests.support.presses_on import follow


@pytest.fixture(scope="module")
def printed() -> Plan:
    return morning(named=True)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_day_planned_again_and_again_loses_nothing_and_breaks_no_rule(printed: Plan, seed: int) -> None:
    counted = eventful_day(printed, seed, steps=3)
    assert counted["replans"] == 3
    assert eventful_day(printed, seed, steps=1) == eventful_day(printed, seed, steps=1)


def test_presses_are_off_and_hot_again_on_a_day_on_which_nobody_is_in_over_noon() -> None:
    plan = morning(few=True)
    assert len(plan.instance.heating_days) > len(plan.instance.working_days)
    assert eventful_day(plan, 1, steps=3)["replans"] == 3


def test_the_reading_of_what_is_on_sees_a_press_that_is_on_with_nobody_in() -> None:
    plan = morning(few=True)
    follow(plan)
    nine = datetime.combine(plan.day, time(9))
    away = [
        PersonAway(person=one.name, start=nine, end=nine + timedelta(minutes=6)) for one in plan.shop.crew
    ]
    with pytest.raises(AssertionError, match=r"nobody in|not hot"):
        follow(replace(plan, between=Disruptions(away=tuple(away))))
    with pytest.raises(AssertionError, match="not hot"):
        follow(replace(plan, warm_ups=plan.warm_ups[1:]))
