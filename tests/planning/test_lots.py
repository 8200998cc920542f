"""Large runs in lots."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.orders import Order
from scheduler.domain.shop import Shop
from scheduler.planning import build_day
from scheduler.planning.lots import deal, lots_from_parts, parts_for
from scheduler.planning.placements import split_order
from tests.planning.shops import (
    MONDAY,
    line,
    order,
    person,
    placement,
    press,
    print_,
    recipe,
    shop,
    with_allowances,
    with_platen,
    with_press,
    youth_apart,
)

OPENS = datetime(2026, 3, 2, 8)


def built(base: Shop, *orders: Order) -> DayProblem:
    return build_day(base, orders, MONDAY)


def quantities(problem: DayProblem) -> dict[str, int]:
    return {task: content.quantity for task, content in problem.contents.items()}


def one(pieces: int, place: str = "back") -> Order:
    return order("1", line(print_(place), sizes={"M": pieces}))


# A back takes 38 s; 45 min less 2 min of fixed part are 2580 s: 67 pieces, the 68th is above.
@pytest.mark.parametrize(("pieces", "lots"), [(67, False), (68, True)])
def test_a_long_run_may_be_split(pieces: int, lots: bool) -> None:
    problem = built(shop(), one(pieces))
    assert ("1-back lot 1 of 2" in problem.contents) is lots
    assert problem.instance.choices == () or lots


def test_the_two_options() -> None:
    problem = built(shop(), one(101))
    assert [choice.options for choice in problem.instance.choices] == [
        (("1-back",), ("1-back lot 1 of 2", "1-back lot 2 of 2"))
    ]
    assert quantities(problem) == {"1-back": 101, "1-back lot 1 of 2": 51, "1-back lot 2 of 2": 50}
    bundles = {task.id: task.bundles for task in problem.instance.tasks}
    assert bundles["1-back"] == bundles["1-back lot 1 of 2"] + bundles["1-back lot 2 of 2"]


@pytest.mark.parametrize(("least", "lots"), [(40, True), (41, False)])
def test_a_lot_holds_the_least_lot(least: int, lots: bool) -> None:
    problem = built(with_allowances(shop(), least_lot=least), one(80))
    assert bool(problem.instance.choices) is lots


def test_the_fastest_way_decides() -> None:
    slow = built(replace(shop(), crew=(person(pace=0.9),)), one(67))
    assert len(slow.instance.choices) == 1
    fast = built(replace(shop(), crew=(person(pace=0.9), person("Bo"))), one(67))
    assert fast.instance.choices == ()


def test_a_run_longer_than_a_shift_must_be_split() -> None:
    """8 h are 480 min; 10 min of warm-up and 2 min of fixed part leave 468 min: 738 pieces at 38 s."""
    fits = built(shop(), one(738))
    assert "1-back" in fits.contents
    problem = built(shop(), one(739))
    assert quantities(problem) == {"1-back lot 1 of 2": 370, "1-back lot 2 of 2": 369}
    assert problem.instance.choices == ()


def test_as_many_lots_as_are_needed() -> None:
    problem = built(shop(), one(2000))
    lots = list(problem.contents.values())
    assert [content.quantity for content in lots] == [667, 667, 666]
    assert [(content.lot, content.lots) for content in lots] == [(1, 3), (2, 3), (3, 3)]
    for task in problem.instance.tasks:
        assert max(work for mode in task.modes for _, work in mode.operators) <= 4800


def presses(count: int) -> Shop:
    """So many like presses, and a big platen for each."""
    base = with_platen(shop(), "big", count=count)
    others = tuple(press(f"Press {number}", mounted=None) for number in range(2, count + 1))
    return replace(base, presses=(*base.presses, *others))


def lots_of(problem: DayProblem) -> list[list[int]]:
    """The options of the only choice, each as the pieces of its tasks."""
    (choice,) = problem.instance.choices
    return [[problem.contents[name].quantity for name in option] for option in choice.options]


# Twice 45 min less 2 min of fixed part are 5280 s: 138 pieces of 38 s, the 139th is above.
@pytest.mark.parametrize(("pieces", "three"), [(138, False), (139, True)])
def test_a_very_long_run_may_be_split_in_three(pieces: int, three: bool) -> None:
    options = lots_of(built(presses(2), one(pieces)))
    assert [len(option) for option in options] == ([1, 2, 3] if three else [1, 2])
    assert all(sum(option) == pieces for option in options)
    # On a single press a third lot helps nobody.
    assert [len(option) for option in lots_of(built(shop(), one(pieces)))] == [1, 2]


def test_lots_of_two_and_three_are_equal() -> None:
    assert lots_of(built(presses(2), one(150))) == [[150], [75, 75], [50, 50, 50]]
    assert lots_of(built(presses(2), one(153)))[1] == [77, 76]


@pytest.mark.parametrize(("least", "most"), [(50, 3), (51, 2), (76, 1)])
def test_a_third_lot_holds_the_least_lot_too(least: int, most: int) -> None:
    problem = built(with_allowances(presses(2), least_lot=least), one(150))
    assert max(content.lots for content in problem.contents.values()) == most


# 1000 pieces need two lots (738 fit a shift), 2000 need three.
@pytest.mark.parametrize(
    ("pieces", "machines", "lots"),
    [
        (1000, 1, [2]),
        (1000, 2, [2]),
        (1000, 3, [2, 3]),
        (1000, 4, [2, 4]),
        (1000, 8, [2, 4]),
        (2000, 3, [3]),
        (2000, 4, [3, 4]),
        (2000, 8, [3, 6]),
        # Four lots by need; six at most however many presses there are.
        (2900, 8, [4, 6]),
    ],
)
def test_a_run_that_must_be_split_may_be_split_further(pieces: int, machines: int, lots: list[int]) -> None:
    problem = built(presses(machines), one(pieces))
    if len(lots) == 1:
        assert len(problem.contents) == lots[0]
        assert problem.instance.choices == ()
    else:
        options = lots_of(problem)
        assert [len(option) for option in options] == lots
        assert all(sum(option) == pieces and max(option) <= 738 for option in options)
        assert all(max(option) - min(option) <= 2 for option in options)


def test_further_lots_hold_the_least_lot() -> None:
    """1000 pieces in lots of 300 at least are three lots at most; of 400 at least, two."""
    assert [len(o) for o in lots_of(built(with_allowances(presses(4), least_lot=300), one(1000)))] == [2, 3]
    assert len(built(with_allowances(presses(4), least_lot=400), one(1000)).contents) == 2


def test_lots_of_two_placements_of_a_very_long_run() -> None:
    """Every option holds the same pressings, whatever the lots of the other placement."""
    both = order("1", line(print_("front"), print_("back"), sizes={"M": 160}))
    base = replace(presses(2), placements=(placement("front", pairs_with=("back",)), placement("back")))
    double = {"placements": ("front",), "second_placements": ("back",)}
    base = with_platen(base, "double", second_width_mm=300, second_height_mm=300, **double)
    problem = built(base, both)
    (choice,) = problem.instance.choices
    # All apart, or all in pairs, each whole, in two and in three; then six mixed ones.
    assert len(choice.options) == 12
    tasks = {task.id: task for task in problem.instance.tasks}
    for option in choice.options:
        assert sum(tasks[name].pressings for name in option) == 320
        held = [bundle for name in option for bundle in tasks[name].bundles]
        assert sorted(set(held)) == [f"1/1/adult/{part}" for part in range(1, 7)]


def test_breaks_shorten_the_longest_stretch_but_shifts_end_it() -> None:
    lunch = replace(shop(), crew=(person(breaks=((time(12), time(12, 30)),)),))
    # 30 min less: 438 min, 691 pieces.
    assert "1-back" in built(lunch, one(691)).contents
    assert "1-back" not in built(lunch, one(692)).contents


def test_too_few_pieces_for_lots_stay_whole() -> None:
    """Twenty pieces of an hour each fit no shift, but a lot holds twelve at least."""
    slow = replace(shop(), recipes=(recipe(dwell_s=3600),))
    assert quantities(built(slow, one(20))) == {"1-back": 20}


def test_lots_of_several_placements_share_halves() -> None:
    problem = built(shop(), order("1", line(print_("front"), print_("back"), sizes={"M": 100})))
    bundles = {task.id: set(task.bundles) for task in problem.instance.tasks}
    assert bundles["1-front lot 1 of 2"] == bundles["1-back lot 1 of 2"]
    assert bundles["1-front lot 1 of 2"].isdisjoint(bundles["1-back lot 2 of 2"])
    assert bundles["1-front"] == bundles["1-back"]


def test_any_two_tasks_with_the_same_garments_share_a_bundle() -> None:
    one_order = order(
        "1",
        line(print_("front"), print_("back"), sizes={"S": 45, "M": 30, "Y-S": 8}),
        line(print_("front"), sizes={"M": 21}),
    )
    problem = built(youth_apart(shop()), one_order)
    tasks = {task.id: set(task.bundles) for task in problem.instance.tasks}
    assert tasks["1-front adult"] & tasks["1-back adult"]
    assert not tasks["1-front adult"] & tasks["1-front youth"]
    first, second = tasks["1-front adult lot 1 of 2"], tasks["1-front adult lot 2 of 2"]
    assert not first & second
    assert first | second == tasks["1-front adult"]


@given(
    sizes=st.lists(
        st.dictionaries(st.sampled_from(["S", "M", "L"]), st.integers(1, 30), min_size=1),
        min_size=1,
        max_size=5,
    ),
    count=st.integers(1, 5),
)
def test_a_deal_loses_nothing_and_is_even(sizes: list[dict[str, int]], count: int) -> None:
    runs = split_order(
        shop(), order("1", *(line(print_("front"), sizes=one_line) for one_line in sizes)), OPENS
    )
    dealt = deal(runs, count)
    atoms = runs[0].atoms
    lots = [dealt.lot(atoms, lot, count) for lot in range(count)]
    totals = [sum(portion.quantity for portion in lot) for lot in lots]
    assert max(totals) - min(totals) <= 1
    counted: dict[tuple[int, str], int] = {}
    for portion in (portion for lot in lots for portion in lot):
        assert portion.quantity > 0
        counted[portion.line, portion.size] = counted.get((portion.line, portion.size), 0) + portion.quantity
    assert counted == {(i, size): n for i, of_line in enumerate(sizes) for size, n in of_line.items()}
    for lot in range(count):
        assert bool(lots[lot]) == bool(dealt.bundles("1", atoms, lot, count))


def test_sizes_stay_together_where_they_can() -> None:
    runs = split_order(shop(), order("1", line(print_(), sizes={"S": 10, "M": 20, "L": 10})), OPENS)
    dealt = deal(runs, 2)
    first, second = (dealt.lot(runs[0].atoms, lot, 2) for lot in (0, 1))
    assert [(portion.size, portion.quantity) for portion in first] == [("S", 10), ("M", 10)]
    assert [(portion.size, portion.quantity) for portion in second] == [("M", 10), ("L", 10)]


@pytest.mark.parametrize(
    ("wanted", "parts"),
    [
        ([(1,)], 1),
        ([(1,), (1, 2)], 2),
        ([(2,)], 2),
        ([(3,), (1,)], 3),
        ([(3,), (1, 2)], 6),
        ([(1, 2, 3), (1, 2)], 6),
        ([(3, 4), (1, 2, 3)], 12),
        # 15 and 30 parts are too many: lots by choice go first, then equal lots.
        ([(5,), (1, 2, 3)], 10),
        ([(5,), (3,)], 5),
        ([(7,), (1, 2)], 8),
        ([(20,), (1, 2)], 20),
    ],
)
def test_parts_for_all_lots(wanted: list[tuple[int, ...]], parts: int) -> None:
    assert parts_for(wanted) == parts


# Three lots of five parts would hold two parts, more than a third, and so would four lots.
@pytest.mark.parametrize(
    ("lots", "parts", "made"),
    [
        ((1,), 4, (1,)),
        ((1, 2), 4, (1, 2)),
        ((3,), 3, (3,)),
        ((3,), 4, (4,)),
        ((3,), 6, (3,)),
        ((3,), 5, (5,)),
        ((1, 2, 3), 6, (1, 2, 3)),
        ((1, 2, 3), 4, (1, 2)),
        ((3, 4), 12, (3, 4)),
        ((3, 4), 6, (3,)),
        ((3, 4), 4, (4,)),
    ],
)
def test_forced_lots_never_grow(lots: tuple[int, ...], parts: int, made: tuple[int, ...]) -> None:
    assert lots_from_parts(lots, parts) == made


def test_another_press_shortens_the_stretch() -> None:
    """Warm-up counts: two hours from cold leave 360 min, less 2: 565 pieces."""
    base = with_press(shop(), warm_up_min=120.0)
    assert "1-back" in built(base, one(565)).contents
    assert "1-back" not in built(base, one(566)).contents
