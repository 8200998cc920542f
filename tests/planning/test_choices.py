"""Alternatives: apart or paired, whole or in lots."""

from __future__ import annotations

from scheduler.domain.day_problem import DayProblem
from scheduler.planning import build_day
from scheduler.planning.choices import MOST_OPTIONS, Cluster, clusters, garment_groups, options_of
from scheduler.planning.pairs import Pair
from scheduler.planning.placements import split_order
from tests.planning.shops import MONDAY, line, order, print_, shop, with_platen
from tests.planning.test_pairs import FRONT, LABEL, OPENS, SLEEVE, runs_of, three_way


def options(problem: DayProblem) -> list[tuple[tuple[str, ...], ...]]:
    return [choice.options for choice in problem.instance.choices]


def test_one_run_has_no_choice() -> None:
    problem = build_day(shop(), (order("1"),), MONDAY)
    assert options(problem) == []
    assert [task.id for task in problem.instance.tasks] == ["1-front"]


def test_apart_or_together() -> None:
    problem = build_day(shop(), (order("1", line(FRONT, SLEEVE)),), MONDAY)
    assert options(problem) == [(("1-front", "1-sleeve"), ("1-front+sleeve",))]
    pair = next(task for task in problem.instance.tasks if task.id == "1-front+sleeve")
    assert pair.pressings == 20
    assert [mode.id for mode in pair.modes] == ["Main / double"]
    content = problem.contents["1-front+sleeve"]
    assert content.placements == ("front", "sleeve")
    assert content.quantity == 10
    # load 10, 2 x lay 4, close 2, dwell 12, open 2, 2 x peel 3, unload 5
    assert problem.cycle_s["1-front+sleeve", "Main / double"] == 45


def test_every_option_covers_the_same_pressings() -> None:
    problem = build_day(shop(), (order("1", line(FRONT, SLEEVE, sizes={"M": 100})),), MONDAY)
    (choice,) = problem.instance.choices
    assert len(choice.options) == 6
    tasks = {task.id: task for task in problem.instance.tasks}
    for option in choice.options:
        assert sum(tasks[name].pressings for name in option) == 200
        held = [
            (laid.placement, bundle)
            for name in option
            for laid in problem.contents[name].laid
            for bundle in tasks[name].bundles
        ]
        assert len(held) == len(set(held)) == 4


def test_a_placement_that_is_only_pressed_in_a_pair() -> None:
    base = with_platen(shop(), "sleeve", placements=())
    problem = build_day(base, (order("1", line(FRONT, SLEEVE)),), MONDAY)
    assert options(problem) == []
    assert [task.id for task in problem.instance.tasks] == ["1-front+sleeve"]


def test_three_that_may_pair() -> None:
    problem = build_day(three_way(), (order("1", line(FRONT, SLEEVE, LABEL)),), MONDAY)
    assert options(problem) == [
        (
            ("1-front", "1-sleeve", "1-label"),
            ("1-label", "1-front+sleeve"),
            ("1-sleeve", "1-front+label"),
            ("1-front", "1-sleeve+label"),
        )
    ]


def test_too_many_options_lose_the_mixed_ones_first() -> None:
    runs = runs_of(three_way(), FRONT, SLEEVE, LABEL)
    at = [(0, 1), (0, 2), (1, 2)]
    pairs = [Pair(runs=(runs[i], runs[j]), at=(i, j), ways=()) for i, j in at]
    cluster = Cluster(runs=(0, 1, 2), pairs=(0, 1, 2))
    found = options_of(cluster, pairs, 3, [(1, 2)] * 6)
    # 8 ways apart and 4 for each pair are 20: all whole and all split ones stay, 4 of each.
    assert len(found) == MOST_OPTIONS
    numbers = [{lots for _, lots in option} for option in found]
    assert numbers.count({1}) == 4
    assert numbers.count({2}) == 4
    assert found[0] == ((0, 1), (1, 1), (2, 1))
    assert len(set(found)) == len(found)
    assert len(options_of(cluster, pairs, 3, [(1,)] * 6)) == 4
    assert options_of(cluster, pairs, 3, [()] * 6) == ()


def test_the_even_splits_come_before_the_mixed_ones() -> None:
    runs = Cluster(runs=(0, 1, 2), pairs=())
    found = options_of(runs, [], 3, [(1, 2, 3), (1, 2), (1,)])
    assert found[:3] == (
        ((0, 1), (1, 1), (2, 1)),
        ((0, 2), (1, 2), (2, 1)),
        ((0, 3), (1, 2), (2, 1)),
    )
    assert len(found) == len(set(found)) == 6


def test_many_units_are_not_mixed() -> None:
    runs = runs_of(shop(), *(print_("front", artwork=str(number)) for number in range(7)))
    cluster = Cluster(runs=tuple(range(7)), pairs=())
    assert len(runs) == 7
    found = options_of(cluster, [], 7, [(1, 2)] * 7)
    assert found == (tuple((i, 1) for i in range(7)), tuple((i, 2) for i in range(7)))


def test_groups_of_shared_garments() -> None:
    one = order(
        "1",
        line(print_("front"), sizes={"M": 1, "Y-S": 1}),
        line(print_("back"), sizes={"M": 1}),
        line(print_("front"), print_("back"), sizes={"M": 1}),
    )
    runs = split_order(shop(), one, OPENS)
    names = [(run.placement.name, run.size_group) for run in runs]
    assert names == [("front", "adult"), ("front", "youth"), ("back", "adult")]
    assert garment_groups(runs) == ((0, 2), (1,))


def test_clusters_follow_pairs() -> None:
    runs = runs_of(three_way(), FRONT, SLEEVE, LABEL)
    pairs = [Pair(runs=(runs[0], runs[2]), at=(0, 2), ways=())]
    assert clusters(3, pairs) == (Cluster(runs=(0, 2), pairs=(0,)), Cluster(runs=(1,), pairs=()))
