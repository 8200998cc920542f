"""Orders that are late for pieces that are pressed again say so, and no other reason."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from scheduler.domain.disruptions import Disruptions, PartKind, PressDown, RunPart
from scheduler.domain.plan import Plan
from scheduler.domain.progress import Event, EventKind
from scheduler.planning import build_day
from scheduler.planning.pressed_again import again_words
from tests.planning.by_hand import plan_of
from tests.planning.shops import MONDAY, line, order, print_, shop, with_press
from tests.planning.test_idle import WARM, at, planned_again

AGAIN = Disruptions(press_again=True)


def day(cut_off: datetime, garments_in: datetime | None = None) -> Plan:
    """Ten fronts and their backs, pressed by Ann in the morning."""
    one = line(print_("front"), print_("back"), sizes={"M": 10}, garments_in=garments_in)
    problem = build_day(with_press(shop()), (order("1", one, cut_off=cut_off),), MONDAY)
    return plan_of(problem, [("1-front", WARM, "Ann"), ("1-back", WARM, "Ann")])


def finished(plan: Plan, name: str, good: int, spoiled: int, number: int = 1) -> Event:
    run = next(one for one in plan.runs if one.id == name)
    return Event(
        id=name,
        day=plan.day,
        version=plan.version,
        kind=EventKind.FINISHED,
        run=name,
        at=run.end,
        pieces=good,
        spoiled=spoiled,
        entered=run.end,
        number=number,
    )


def reason(plan: Plan) -> str:
    (one,) = plan.orders
    assert one.late_minutes > 0
    return one.reason


def test_spoiled_and_missing_pieces_are_the_reason() -> None:
    plan = day(at(11))
    assert plan.orders[0].late_minutes == 0
    after = at(11)
    spoiled = planned_again(plan, after, between=AGAIN, events=(finished(plan, "1-back", 8, 2),))
    # What is spoiled at the back needs the front once more.
    assert {one.run for one in spoiled.parts} == {"1-front", "1-back"}
    assert reason(spoiled) == "2 pieces spoiled in run 2 are pressed again"
    missing = planned_again(plan, after, between=AGAIN, events=(finished(plan, "1-back", 9, 0),))
    assert reason(missing) == "1 piece missing in run 2 is pressed again"


def test_goods_that_came_late_are_no_reason_where_the_order_was_in_time() -> None:
    plan = day(at(11), garments_in=at(8, 30))
    assert plan.orders[0].late_minutes == 0
    new = planned_again(plan, at(11), between=AGAIN, events=(finished(plan, "1-back", 9, 0),))
    assert reason(new) == "1 piece missing in run 2 is pressed again"
    later = planned_again(new, at(11, 5))
    assert reason(later) == reason(new)


def test_an_order_that_is_late_without_them_says_both() -> None:
    plan = day(at(8, 5))
    before = reason(plan)
    new = planned_again(plan, at(11), between=AGAIN, events=(finished(plan, "1-back", 9, 0),))
    assert reason(new) == f"{before}; besides, 1 piece missing in run 2 is pressed again"


def test_what_keeps_planned_pieces_from_being_pressed_in_time_is_said_instead() -> None:
    """They were to be pressed again in time by the sheets in hand; then the press goes down."""
    plan = day(at(15))
    planned = planned_again(plan, at(11), between=AGAIN, events=(finished(plan, "1-back", 9, 0),))
    assert planned.orders[0].late_minutes == 0
    down = Disruptions(down=(PressDown(press="Main", until=at(16)),))
    assert reason(planned_again(planned, at(11), between=down)).startswith("Main is down until 16:00")


@pytest.mark.parametrize(
    ("spoiled", "elsewhere", "said"),
    [
        (2, 0, "2 pieces spoiled in run 7 are pressed again"),
        (1, 0, "2 pieces spoiled or missing in run 7 are pressed again"),
        (0, 0, "2 pieces missing in run 7 are pressed again"),
        (2, 2, "2 pieces spoiled after run 7 are pressed again"),
        (2, 1, "2 pieces spoiled or missing after run 7 are pressed again"),
    ],
)
def test_how_they_are_named(spoiled: int, elsewhere: int, said: str) -> None:
    part = RunPart(
        run="a",
        done=10,
        pieces=2,
        name=PartKind.AGAIN,
        from_tick=0,
        spoiled=spoiled,
        elsewhere=elsewhere,
    )
    assert again_words([part], {"a": 7}) == said
    many = [replace(part, run=run) for run in "abcd"]
    numbers = {run: at for at, run in enumerate("abcd", start=7)}
    assert again_words(many, numbers) == "8 pieces of 4 runs are pressed again"
    missing = replace(part, pieces=1, run="b", spoiled=0, elsewhere=0)
    two = [replace(part, spoiled=2, elsewhere=0), missing]
    assert again_words(two, numbers) == (
        "2 pieces spoiled in run 7 and 1 piece missing in run 8 are pressed again"
    )
