"""coverage, release, precedence, garments: each a schedule that obeys and its nearest that doesn't."""

from __future__ import annotations

import pytest

from scheduler.domain.instance import Choice, Machine, Operator, Precedence, Shift
from scheduler.domain.schedule import Schedule, ScheduledTask
from tests.support.tiny import ANN, at, breaks, instance, one_break, part, plan, task, way

BOB = Operator(id="Bob", shifts=(Shift(start=0, end=100, overtime_end=100),))
CHOICE = Choice(id="C", options=(("both",), ("left", "right")))
PAIR = instance(task("both", way(work=12)), task("left"), task("right"), task("other"), choices=(CHOICE,))
CREWED = instance(
    task("a", way(operators=(("Ann", 10),)), way("B")), task("b", way("B")), operators=(ANN, BOB)
)
CREWED_DONE = plan(at("a", 0, 10, by="Ann"), at("b", 0, 10, mode="B"))


@pytest.mark.parametrize(
    ("obeys", "breaks_it", "amount", "message"),
    [
        (
            plan(at("both", 0, 12), at("other", 12, 22)),
            plan(at("both", 0, 12)),
            1,
            "other is neither done nor left over",
        ),
        (
            plan(at("both", 0, 12), at("other", 12, 22)),
            plan(at("both", 0, 12), at("other", 12, 22), at("other", 22, 32)),
            1,
            "other is done 2 times",
        ),
        (
            plan(at("both", 0, 12), left_over=("other",)),
            plan(at("both", 0, 12), at("other", 12, 22), left_over=("other",)),
            1,
            "other is both done and left over",
        ),
        (
            plan(at("both", 0, 12), left_over=("other",)),
            plan(at("both", 0, 12), left_over=("other", "other")),
            1,
            "other is left over 2 times",
        ),
        (
            plan(at("both", 0, 12), left_over=("other",)),
            plan(at("both", 0, 12), left_over=("other", "ghost")),
            1,
            "ghost is left over, but there is no such run",
        ),
        (
            plan(at("left", 0, 10), at("right", 10, 20), left_over=("other",)),
            plan(at("left", 0, 10), at("right", 10, 20), at("ghost", 20, 30), left_over=("other",)),
            1,
            "ghost is done, but there is no such run",
        ),
        (
            plan(at("left", 0, 10), left_over=("right", "other")),
            plan(at("left", 0, 10), left_over=("other",)),
            1,
            "choice C: of the option left + right, right is neither done nor left over",
        ),
        (
            plan(at("left", 0, 10), at("right", 10, 20), left_over=("other",)),
            plan(at("left", 0, 10), at("right", 10, 20), at("both", 20, 32), left_over=("other",)),
            1,
            "choice C: of the option left + right, both of another option is there too",
        ),
        (
            plan(at("left", 0, 10), at("right", 10, 20), left_over=("other",)),
            plan(at("left", 0, 10), at("both", 20, 32), left_over=("other",)),
            1,
            "choice C: of the option both, left of another option is there too",
        ),
        (
            plan(left_over=("left", "right", "other")),
            plan(left_over=("other",)),
            1,
            "choice C: of the option both, both is neither done nor left over",
        ),
    ],
)
def test_coverage_of_tasks(obeys: Schedule, breaks_it: Schedule, amount: int, message: str) -> None:
    assert one_break(PAIR, obeys, breaks_it) == ("coverage", amount, message)


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        (at("a", 0, 10, mode="C", by="Ann"), "a is done in mode C, which is none of its own"),
        (at("a", 0, 10), "a has no operator on A, but needs one"),
        (at("a", 0, 10, by="Bob"), "a is done on A by Bob, who may not do it"),
        (at("a", 0, 10, by="Zoe"), "a is done on A by Zoe, who may not do it"),
        (at("a", 10, 20, mode="B", by="Ann"), "a is done on B by Ann, but needs nobody"),
    ],
)
def test_coverage_of_modes_and_operators(entry: ScheduledTask, message: str) -> None:
    breaks_it = plan(entry, CREWED_DONE.tasks[1])
    assert one_break(CREWED, CREWED_DONE, breaks_it) == ("coverage", 1, message)


@pytest.mark.parametrize("times", [(0, 0, 10.0), (0, None, 10), (0, 0, float("nan")), ("0", 0, 10)])
def test_coverage_of_times(times: tuple[int, int, int]) -> None:
    entry = ScheduledTask(task="b", mode="B", setup_start=times[0], start=times[1], end=times[2])
    rule, amount, message = one_break(CREWED, CREWED_DONE, plan(CREWED_DONE.tasks[0], entry))
    assert (rule, amount) == ("coverage", 1)
    assert message == f"b has a time that is no whole number of ticks: {times}"


def test_release() -> None:
    # Setting up for 2 ticks may begin before the release at 5; pressing may not.
    problem = instance(
        task("a", way(state=(0,)), release=5),
        machines=(Machine(id="A", tables=(0,), initial=(None,)),),
        setup_parts=(part("artwork", 1, 2),),
    )
    found = one_break(problem, plan(at("a", 5, 15, setup=2)), plan(at("a", 4, 14, setup=2)))
    assert found == ("release", 1, "a starts on A at tick 4, 1 ticks before its release at 5")


def test_precedence_waits_for_cooling() -> None:
    problem = instance(
        task("p", cooling=3), task("q", way("B")), precedences=(Precedence(before="p", after="q"),)
    )
    found = one_break(
        problem,
        plan(at("p", 0, 10), at("q", 13, 23, mode="B")),
        plan(at("p", 0, 10), at("q", 12, 22, mode="B")),
    )
    assert found == (
        "precedence",
        1,
        "q starts on B at tick 12, 1 ticks before p, which must come first, has ended and cooled at 13",
    )


def test_precedence_when_the_first_is_left_over() -> None:
    problem = instance(task("p"), task("q"), precedences=(Precedence(before="p", after="q"),))
    # The other way round, q may be left over alone.
    assert breaks(problem, plan(at("p", 0, 10), left_over=("q",))) == ()
    found = one_break(problem, plan(left_over=("p", "q")), plan(at("q", 0, 10), left_over=("p",)))
    assert found == (
        "precedence",
        1,
        "q is done although p, which must come before it, is left over (amount: runs)",
    )


def test_precedence_asks_nothing_of_an_option_not_taken() -> None:
    problem = instance(
        task("both"),
        task("left"),
        task("right"),
        task("q", way("B")),
        choices=(CHOICE,),
        precedences=(Precedence(before="left", after="q"),),
    )
    assert breaks(problem, plan(at("both", 0, 10), at("q", 0, 10, mode="B"))) == ()
    found = one_break(
        problem,
        plan(at("left", 0, 10), at("right", 10, 20), at("q", 10, 20, mode="B")),
        plan(at("left", 0, 10), at("right", 10, 20), at("q", 9, 19, mode="B")),
    )
    assert found[:2] == ("precedence", 1)


def test_garments_cool_before_their_next_pressing() -> None:
    # Chest and back of the same two boxes; the chest needs 4 ticks of cooling.
    problem = instance(
        task("chest", cooling=4, bundles=("G1", "G2")), task("back", way("B"), bundles=("G2", "G1"))
    )
    found = one_break(
        problem,
        plan(at("chest", 0, 10), at("back", 14, 24, mode="B")),
        plan(at("chest", 0, 10), at("back", 13, 23, mode="B")),
    )
    assert found == (
        "garments",
        1,
        "back starts on B at tick 13, 1 ticks before garments G1 are ready from chest on A at 14",
    )
    # In the other order nothing cools: the chest may follow at once.
    found = one_break(
        problem,
        plan(at("back", 0, 10, mode="B"), at("chest", 10, 20)),
        plan(at("back", 0, 10, mode="B"), at("chest", 9, 19)),
    )
    assert found == (
        "garments",
        1,
        "chest starts on A at tick 9, 1 ticks before garments G1 are ready from back on B at 10",
    )


def test_garments_look_behind_the_neighbour() -> None:
    # The long run holds G while the short one, which wrongly lies inside it, comes and goes.
    problem = instance(
        task("long", way(work=30), bundles=("G",)),
        task("short", way("B", work=2), bundles=("G",)),
        task("late", way("B"), bundles=("G",)),
    )
    found = breaks(
        problem, plan(at("long", 0, 30), at("short", 5, 7, mode="B"), at("late", 29, 39, mode="B"))
    )
    assert [(each.rule, each.tasks, each.at, each.amount) for each in found] == [
        ("garments", ("long", "short"), 5, 25),
        ("garments", ("long", "late"), 29, 1),
    ]


def test_other_garments_may_be_pressed_meanwhile() -> None:
    problem = instance(
        task("a", cooling=4, bundles=("G1",)), task("b", way("B"), bundles=("G2",)), task("c", way("B"))
    )
    assert breaks(problem, plan(at("a", 0, 10), at("b", 0, 10, mode="B"), at("c", 10, 20, mode="B"))) == ()
