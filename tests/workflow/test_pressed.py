"""Orders of which something was pressed on another day: those with what is left agree with the day book."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from scheduler.daybook.book import DayBook
from scheduler.daybook.opening import NAME
from scheduler.domain.clock import long_date
from scheduler.domain.faults import Fault
from scheduler.domain.orders import Order, OrderLine, Print, Sized
from scheduler.workflow.pressed import pressed_doubts
from tests.daybook.small import DAY, at, small_plan
from tests.plans.test_taken_back import on_the_next_day
from tests.support.commands import Run

NEXT = DAY + timedelta(days=1)
ENDS = {run.number: f"{run.end:%H:%M}" for run in small_plan().runs}
Asked = Callable[..., tuple[tuple[Fault, ...], list[str]]]


def order(name: str, *placed: tuple[int, tuple[str, ...]]) -> Order:
    """An order with a line for each number of pieces and their placements."""
    lines = tuple(
        OrderLine(
            garment="T-shirt",
            colour="navy",
            fabric="cotton",
            sizes=(Sized(size="M", quantity=pieces),),
            prints=tuple(
                Print(placement=one, transfer="film", artwork="crest", width_mm=90, height_mm=90)
                for one in placements
            ),
        )
        for pieces, placements in placed
    )
    return Order(id=name, customer=f"Customer {name}", cut_off=at("9:30"), lines=lines)


@pytest.fixture
def asked(run: Run, tmp_path: Path) -> Asked:
    """Entries of the small day by run and pieces, then what is said of an order of another day."""
    whole = (
        order("A", (30, ("front", "back"))),
        *(order(name, (pieces, ("front",))) for name, pieces in (("B", 20), ("C", 60), ("D", 60), ("E", 20))),
    )

    def booked(day: date, given: tuple[Order, ...]) -> None:
        with DayBook(tmp_path / NAME) as book:
            plan = replace(small_plan(), given=given)
            pieces = {one.id: one.quantity for one in given}
            orders = (replace(one, quantity=pieces.get(one.id, one.quantity)) for one in plan.orders)
            plan = replace(plan, orders=tuple(orders))
            if day != DAY:
                plan = on_the_next_day(plan)
            book.end_plan(book.add_plan(plan, staged="x"), "in place", day.isoformat())

    def ask(
        entered: dict[int, int], now: Order, *, then: tuple[Order, dict[int, int]] | None = None
    ) -> tuple[tuple[Fault, ...], list[str]]:
        booked(DAY, whole)
        days = [(DAY, entered)]
        if then is not None:
            booked(NEXT, (then[0],))
            days.append((NEXT, then[1]))
        for day, pieces in days:
            for number, count in pieces.items():
                words = ("done", number, "--pieces", count, "--finished", ENDS[number], "--day", day)
                result = run(*words, "--plans", tmp_path)
                assert result.exit_code == 0, result.output
        told: list[str] = []
        doubts = pressed_doubts(tmp_path, NEXT + timedelta(days=1), (now,), tell=told.append)
        return doubts, told

    return ask


def test_what_is_left_agrees_with_the_day_book(asked: Asked) -> None:
    doubts, told = asked({2: 18}, order("B", (2, ("front",))))
    assert doubts == ()
    assert told == [f"Order B: 2 left of 20, which agrees with the day book of {long_date(DAY)}."]


def test_another_number_says_how_many_are_left(asked: Asked) -> None:
    (doubt,), told = asked({2: 18}, order("B", (5, ("front",))))
    assert told == []
    assert doubt.found == (
        f"order B: the day book has 18 pieces of 20 as pressed on {long_date(DAY)}, so 2 are left; "
        "here it has 5"
    )
    assert doubt.expected == "the 2 pieces that are left"
    assert "planned as it stands here" in doubt.mend and "whole" not in doubt.mend


def test_the_whole_order_is_doubted_as_before(asked: Asked) -> None:
    (doubt,), told = asked({2: 18}, order("B", (20, ("front",))))
    assert told == [] and "18 pieces of 20 as pressed" in doubt.found and "left;" not in doubt.found
    assert "planned whole" in doubt.mend


def test_nothing_left_is_never_what_is_left(asked: Asked) -> None:
    (doubt,), told = asked({2: 20}, order("B", (4, ("front",))))
    assert told == [] and "20 pieces of 20 as pressed" in doubt.found
    assert "planned as it stands here" in doubt.mend


@pytest.mark.parametrize(
    ("placed", "agrees"),
    [
        (((4, ("front", "back")),), True),
        (((4, ("back",)),), True),
        (((2, ("front", "back")), (2, ("back",))), True),
        (((2, ("front", "back")),), False),
        (((4, ("front",)),), False),
        (((4, ("sleeve",)),), False),
    ],
)
def test_by_placement_what_is_left_lies_between_the_prints_and_the_garments(
    asked: Asked, placed: tuple[tuple[int, tuple[str, ...]], ...], agrees: bool
) -> None:
    """All 30 have their front, 26 their back: 4 are left, with new fronts where they were spoiled."""
    doubts, told = asked({1: 30, 3: 26}, order("A", *placed))
    assert (doubts == (), len(told) == 1) == (agrees, agrees)
    if not agrees:
        assert "front 30 of 30, back 26 of 30 pieces as pressed" in doubts[0].found


def test_what_was_taken_over_once_is_not_counted_again(asked: Asked) -> None:
    """Of 60 pieces 40 were pressed on one day, 15 of the other 20 on the next: 5 are left."""
    then = (order("C", (20, ("front",))), {4: 15})
    doubts, told = asked({4: 40}, order("C", (5, ("front",))), then=then)
    assert doubts == () and told == [
        f"Order C: 5 left of 20, which agrees with the day book of {long_date(NEXT)}."
    ]
