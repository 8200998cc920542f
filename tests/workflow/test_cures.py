"""What would help late orders: each cure is searched anew, checked, and named cheapest first."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time

import pytest

from scheduler.answers.summary import summary
from scheduler.domain.orders import Order
from scheduler.domain.plan import Cure, LeftOver, Plan, PlannedOrder
from scheduler.domain.shop import Shop
from scheduler.planning.build import build_day
from scheduler.sheets.words import why_words
from scheduler.workflow.cures import MOST_CURES, cured_plan
from scheduler.workflow.owner import Nobody
from scheduler.workflow.search import search
from tests.planning.shops import MONDAY, line, order, person, press, print_, shop, with_platen


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(MONDAY.year, MONDAY.month, MONDAY.day, hour, minute)


def planned(place: Shop, *given: Order, seconds: float | None = None) -> Plan:
    problem = build_day(place, given, MONDAY)
    answer = search(problem, effort="quick", seconds=seconds, seed=1, owner=Nobody())
    return cured_plan(problem, answer, seconds=seconds, seed=1)


def late_of(plan: Plan, name: str) -> PlannedOrder:
    return next(one for one in plan.orders if one.id == name)


def two_presses() -> Shop:
    """Two presses, each with its platen, and one person."""
    two = shop(presses=(press("Main"), press("Second")), crew=(person("Ann"),))
    return with_platen(two, "big", count=2)


def garments(count: int) -> Order:
    return order("A", line(print_(), sizes={"M": count}))


def test_an_order_on_time_has_no_cure() -> None:
    plan = planned(two_presses(), garments(10))
    assert late_of(plan, "A").late_minutes == 0
    assert late_of(plan, "A").cures == ()


def test_one_more_person_cures_what_one_pair_of_hands_can_t_do_twice() -> None:
    """Ann presses one of two equal orders at a time; only two people can hold the cut-off of both."""
    alone = planned(two_presses(), garments(60))
    took = late_of(alone, "A").finished
    assert took is not None
    due = took.replace(second=0) + (took - at(8)) / 3
    orders = [replace(garments(60), id=name, cut_off=due) for name in ("A", "B")]
    plan = planned(two_presses(), *orders)
    (late,) = [one for one in plan.orders if one.late_minutes > 0]
    people = [cure for cure in late.cures if cure.words.startswith("one more person from ")]
    assert people and people[0].confirmed and people[0].late_minutes == 0
    assert any(f"would help: {people[0].words}: on time" in text for text in summary(plan))
    assert f"{people[0].words}: on time" in why_words(late)
    assert len(late.cures) <= MOST_CURES
    assert planned(two_presses(), *orders) == plan, "the same day, the same cures"


def test_a_box_that_comes_late_is_cured_by_having_it_earlier_and_first_of_all() -> None:
    late_box = order("A", line(print_(), sizes={"M": 10}, garments_in=at(11)), cut_off=at(11, 5))
    plan = planned(two_presses(), late_box)
    (late,) = plan.orders
    assert late.late_minutes > 0 and "garments come in at 11:00" in late.reason
    first = late.cures[0]
    assert first.words.startswith("its garments in by ") and first.confirmed and first.late_minutes == 0
    by = time.fromisoformat(first.words.removeprefix("its garments in by "))
    sooner = planned(
        two_presses(),
        order("A", line(print_(), sizes={"M": 10}, garments_in=at(by.hour, by.minute)), cut_off=at(11, 5)),
    )
    assert late_of(sooner, "A").late_minutes == 0, "what the cure says comes true"


def test_without_time_to_search_a_cure_is_said_not_to_be_confirmed() -> None:
    plan = planned(two_presses(), replace(garments(60), cut_off=at(8, 20)), seconds=0.0)
    (late,) = plan.orders
    assert late.cures and not any(cure.confirmed for cure in late.cures)
    assert all(cure.late_minutes is None for cure in late.cures)
    assert "Might help, no search has confirmed it: " in why_words(late)


@pytest.mark.parametrize(
    ("cure", "words"),
    [
        (Cure(words="x", late_minutes=0, confirmed=True), "why. Would help: x: on time"),
        (Cure(words="x", late_minutes=12.5, confirmed=True), "why. Would help: x: 12.5 min late"),
        (
            Cure(words="x", late_minutes=None, confirmed=False),
            "why. Might help, no search has confirmed it: x",
        ),
    ],
)
def test_a_cure_says_what_it_is_worth(cure: Cure, words: str) -> None:
    late = PlannedOrder(
        id="A",
        customer="C",
        cut_off=at(9),
        weight=1,
        quantity=1,
        finished=at(10),
        late_minutes=60,
        reason="why",
        cures=(cure,),
    )
    assert why_words(late) == words
    assert why_words(replace(late, cures=())) == "why"


def test_help_for_what_is_left_over_stands_once_below_its_runs() -> None:
    plan = planned(two_presses(), garments(10))
    (order_a,) = plan.orders
    left = LeftOver(run="A", order="A", placements=("front",), quantity=3, reason="no hours")
    cure = Cure(words="one more person", late_minutes=0, confirmed=True)
    told = replace(
        plan,
        orders=(replace(order_a, finished=None, reason="left over", cures=(cure,)),),
        left_over=(left, replace(left, run="A2")),
    )
    lines = summary(told)
    (at,) = [number for number, text in enumerate(lines) if "would help: one more person: on time" in text]
    assert lines[at - 1] == "  order A, front, 6 pieces in 2 runs: no hours"
