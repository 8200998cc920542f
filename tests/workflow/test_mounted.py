"""What a day's presses begin with: what the day book has of the evening before, or the shop workbook."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from scheduler.daybook.book import DayBook
from scheduler.daybook.opening import NAME, silent
from scheduler.domain.day_problem import DayProblem
from scheduler.domain.shop import Shop
from scheduler.planning import build_day
from scheduler.workflow.mounted import Morning, as_left
from tests.planning.by_hand import plan_of
from tests.planning.shops import MONDAY, line, order, platen, print_, shop, with_platen, with_press

TUESDAY, WEDNESDAY = MONDAY + timedelta(days=1), MONDAY + timedelta(days=2)


def day_of(day: date, of: Shop, *places: str) -> DayProblem:
    return build_day(of, tuple(order(place, line(print_(place))) for place in places), day)


def folder(tmp_path: Path) -> Path:
    """A day book in which Monday begins with the big platen and ends with the sleeve's."""
    monday = plan_of(
        day_of(MONDAY, shop(), "front", "sleeve"),
        [("front-front", "Main / big", "Ann"), ("sleeve-sleeve", "Main / sleeve", "Ann")],
    )
    with DayBook(tmp_path / NAME, waiting=silent) as book:
        booked = book.add_plan(monday, staged="x")
        book.end_plan(booked, "in place", "2026-03-02")
    return tmp_path


def morning(out: Path, problem: DayProblem, *, as_in_shop: bool = False) -> Morning:
    return as_left(out, problem, as_in_shop=as_in_shop, tell=silent)


def test_the_next_working_day_begins_with_what_was_left_mounted(tmp_path: Path) -> None:
    problem = day_of(TUESDAY, shop(), "front")
    found = morning(folder(tmp_path), problem)
    assert [press.mounted for press in found.problem.shop.presses] == ["sleeve"]
    assert [machine.mounted for machine in found.problem.instance.machines] == ["sleeve"]
    assert replace(found.problem, shop=problem.shop, instance=problem.instance) == problem
    assert found.note == (
        "The day begins with the platens that the day book has as left on the presses on Monday 2 March "
        "2026: Main with sleeve (shop workbook: big). If the workbook is right, plan with "
        "--mounted-as-in-shop."
    )
    assert found.doubts == ()
    # So the swap is in the plan, and a plan made of it again begins with the same.
    plan = plan_of(found.problem, [("front-front", "Main / big", "Ann")])
    (swap,) = [part for change in plan.changeovers for part in change.parts if part.name == "swap the platen"]
    assert (swap.before, swap.after) == ("sleeve", "big")
    assert plan.shop.presses[0].mounted == "sleeve"


def test_the_workbook_holds_where_the_owner_says_so_or_nothing_else_is_known(tmp_path: Path) -> None:
    problem = day_of(TUESDAY, shop(), "front")
    assert morning(tmp_path, problem) == Morning(problem=problem)
    out = folder(tmp_path)
    assert morning(out, problem, as_in_shop=True) == Morning(problem=problem)
    # Monday itself has no day before it.
    monday = day_of(MONDAY, shop(), "front")
    assert morning(out, monday) == Morning(problem=monday)
    # Where both say the same there is nothing to say.
    same = day_of(TUESDAY, with_press(shop(), mounted="sleeve"), "front")
    assert morning(out, same) == Morning(problem=same)


def test_where_the_day_book_may_be_wrong_both_are_named(tmp_path: Path) -> None:
    out = folder(tmp_path)
    later = day_of(WEDNESDAY, shop(), "front")
    found = morning(out, later)
    assert found.problem == later and found.note == ""
    (doubt,) = found.doubts
    assert doubt.found == ("left mounted on Monday 2 March 2026: Main sleeve; in the shop workbook: Main big")
    assert doubt.mend.startswith("Planned as in the workbook, since working days without a plan lie between.")
    # A platen that is no longer owned, or fits no longer.
    without = replace(
        shop(), platens=(platen("big"),), presses=(replace(shop().presses[0], platens=("big",)),)
    )
    (doubt,) = morning(out, day_of(TUESDAY, without, "front")).doubts
    assert "there are not so many of these platens in the shop" in doubt.mend
    fits = replace(shop(), presses=(replace(shop().presses[0], platens=("big", "double")),))
    (doubt,) = morning(out, day_of(TUESDAY, fits, "front")).doubts
    assert "such a platen does not fit in the shop as it is now" in doubt.mend
    assert morning(out, day_of(TUESDAY, with_platen(shop(), "sleeve", count=2), "front")).doubts == ()
