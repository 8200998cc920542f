"""Why orders are late or runs left over, one small day for each reason."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time

import pytest

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.orders import Order
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import Schedule, WarmUp
from scheduler.domain.shop import Shop
from scheduler.planning import assemble_plan, build_day
from scheduler.planning.earliest import earliest_end, earliest_finish, quickest
from scheduler.planning.trail import steps
from scheduler.planning.waiting import Waiting
from tests.planning.by_hand import checked, one_by_one, plan_of
from tests.planning.shops import (
    MONDAY,
    line,
    order,
    person,
    placement,
    platen,
    press,
    print_,
    recipe,
    shop,
    with_allowances,
    with_platen,
    with_press,
)


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 3, 2, hour, minute)


def backs(id_: str, pieces: int, cut_off: datetime, **changes: object) -> Order:
    return order(id_, line(print_("back"), sizes={"M": pieces}), cut_off=cut_off, **changes)


def reasons(made: Plan) -> dict[str, str]:
    return {one.id: one.reason for one in made.orders if one.reason}


def whole(base: Shop) -> Shop:
    """The shop without lots, so that task ids stay short."""
    return with_allowances(base, lot_above_min=10_000.0)


def in_turn(base: Shop, *orders: Order, **places: tuple[str, str]) -> Plan:
    """The orders' runs one by one, each by Ann on the first press and platen unless said."""
    problem = build_day(whole(base), orders, MONDAY)
    runs = []
    for task in problem.instance.tasks:
        mode, who = places.get(f"o{task.job}", (task.modes[0].id, task.modes[0].operators[0][0]))
        runs.append((task.id, mode, who))
    return plan_of(problem, runs)


# 50 x 38 s are 317 ticks, with 2 min of fixed part 337; packing 50 ticks and 84 for the pieces:
# 471 ticks in all, 47.1 min.
def test_garments_that_come_late() -> None:
    one = line(print_("back"), sizes={"M": 50}, garments_in=at(13, 30))
    made = in_turn(shop(), replace(backs("1", 50, at(14)), lines=(one,)))
    assert reasons(made) == {
        "1": "its garments come in at 13:30; pressed and packed without a pause it is ready at 14:18"
    }
    assert made.orders[0].finished == datetime(2026, 3, 2, 14, 17, 6)


def test_transfers_that_come_late() -> None:
    late = order("1", line(print_("back", transfers_in=datetime(2026, 3, 3, 9)), sizes={"M": 50}))
    assert reasons(in_turn(shop(), late)) == {
        "1": "its transfers come in at 09:00 on Tue 3 Mar; "
        "pressed and packed without a pause it is ready at 09:48 on Tue 3 Mar"
    }


def test_late_goods_and_a_full_shop() -> None:
    """Ready at half past eight at best, but two hours of other work come first."""
    late = line(print_("back"), sizes={"M": 6}, garments_in=at(8, 20))
    one = replace(backs("1", 6, at(8, 30)), lines=(late,))
    made = in_turn(shop(), backs("0", 180, at(16)), one)
    assert reasons(made)["1"].startswith("its garments come in at 08:20; pressed and packed")
    assert "; besides, only Main can press back (adult), taken from" in reasons(made)["1"]


def test_work_that_takes_too_long_by_itself() -> None:
    """From 8:10 on, when the press is hot, 47.1 min."""
    assert reasons(in_turn(shop(), backs("1", 50, at(8, 50)))) == {
        "1": "pressing and packing cannot be done before 08:58, even with the whole shop to itself"
    }
    assert reasons(in_turn(shop(), backs("1", 50, at(8, 58)))) == {}


def test_placements_one_after_the_other() -> None:
    """From 8:10 on twice 33.7 min, and packing 13.4 min."""
    both = order("1", line(print_("front"), print_("back"), sizes={"M": 50}), cut_off=at(9))
    assert reasons(in_turn(shop(), both)) == {
        "1": "its 2 placements one after another, and packing, cannot be done before 09:31, "
        "even with the whole shop to itself"
    }


def test_a_cut_off_before_the_shop_opens() -> None:
    assert reasons(in_turn(shop(), backs("1", 5, at(7)))) == {
        "1": "its cut-off is before the shop opens at 08:00"
    }


def two_presses(**second: object) -> Shop:
    """A cap press with a platen of its own beside the main one, and two people."""
    return replace(
        shop(),
        presses=(
            press(platens=("big", "sleeve")),
            press("Cap press", platens=("cap",), mounted="cap", **second),
        ),
        platens=(
            platen("big", count=2),
            platen("sleeve", width_mm=120, placements=("sleeve",)),
            platen("cap", placements=("cap",), count=2),
        ),
        placements=(*shop().placements, placement("cap", width_mm=100, height_mm=50)),
        crew=(person(), person("Bo"), person("Cy")),
    )


def cap(id_: str, pieces: int, cut_off: datetime) -> Order:
    return order(id_, line(print_("cap"), sizes={"M": pieces}), cut_off=cut_off)


def test_only_one_press() -> None:
    made = in_turn(two_presses(), cap("1", 60, at(16)), cap("2", 60, at(16)), cap("3", 6, at(9, 30)))
    # Hot at 8:10, then twice 40 min.
    assert reasons(made) == {
        "3": "only Cap press can press cap (adult), taken from 08:00 to 09:30 by orders 1 and 2"
    }


def test_many_orders_are_counted() -> None:
    orders = [cap(str(number), 20, at(16)) for number in range(4)]
    made = in_turn(two_presses(), *orders, cap("9", 6, at(9)))
    assert reasons(made)["9"].endswith("by 4 other orders")


def test_only_one_platen() -> None:
    base = replace(
        shop(),
        presses=(press(), press("Side", mounted=None)),
        crew=(person(), person("Bo"), person("Cy")),
    )
    made = in_turn(base, backs("1", 60, at(16)), backs("2", 6, at(9)))
    assert reasons(made) == {
        "2": "the only big platen that can take back (adult) is in use from 08:00 to 08:50 by order 1"
    }


def test_only_one_person_with_the_skill() -> None:
    base = two_presses(skill="caps")
    base = replace(base, crew=(person(skills=("caps",)), person("Bo"), person("Cy")))
    made = in_turn(base, backs("1", 120, at(16)), cap("2", 6, at(9)))
    # From 8:08:30 to 9:28; then the cap press warms up until 9:38, set up in the last 1.5 min.
    assert reasons(made) == {
        "2": "only Ann may press cap (adult), busy with order 1 from 08:00 to 09:36: 1 h 20 min of 1 h 37 min"
    }


def test_hours_of_several_people_are_said_to_be_added_up() -> None:
    """Bo comes at 9:34: two of these minutes are hers."""
    base = replace(two_presses(), crew=(person(), person("Bo", start=time(9, 34))))
    made = in_turn(base, backs("1", 120, at(16)), cap("2", 6, at(9)))
    (reason,) = reasons(made).values()
    assert reason.startswith("the crew is busy with order 1 from 08:00 to 09:36: 1 h 20 min of 1 h ")
    assert reason.endswith(" min, added up over 2 people")


def test_the_crew_is_busy() -> None:
    base = replace(two_presses(), crew=(person(),))
    made = in_turn(base, backs("1", 120, at(16)), cap("2", 6, at(9)))
    assert reasons(made) == {
        "2": "the crew is busy with order 1 from 08:00 to 09:36: 1 h 20 min of 1 h 37 min"
    }


def overlapping(problem: DayProblem, *schedules: Schedule) -> Plan:
    """A plan of schedules that don't meet, put together."""
    result, verdict = checked(
        problem,
        Schedule(
            tasks=tuple(task for schedule in schedules for task in schedule.tasks),
            warm_ups=tuple(warm for schedule in schedules for warm in schedule.warm_ups),
        ),
    )
    return assemble_plan(problem, result, verdict, result.levels)


def test_all_presses_that_take_it_are_busy() -> None:
    """Two presses and three platens, three people of whom two press; each press has a run before."""
    base = replace(
        whole(shop()),
        presses=(press(), press("Side", mounted="big")),
        crew=tuple(person(name) for name in ("Ann", "Bo", "Cy", "Di")),
    )
    base = with_platen(base, "big", count=4)
    orders = (backs("1", 60, at(16)), backs("2", 60, at(16)), backs("3", 6, at(9)))
    problem = build_day(base, orders, MONDAY)
    made = overlapping(
        problem,
        one_by_one(problem, [("1-back", "Main / big", "Ann"), ("3-back", "Main / big", "Cy")]),
        one_by_one(problem, [("2-back", "Side / big", "Bo")]),
    )
    assert reasons(made) == {"3": "Main and Side are taken from 08:00 to 08:50 by orders 1 and 2"}


def test_all_platens_that_take_it_are_in_use() -> None:
    """Four presses and six people, but one big platen and one wide one."""
    wide = replace(shop().platens[0], name="wide")
    both = ("big", "wide")
    base = replace(
        whole(shop()),
        presses=(
            press(platens=both),
            *(press(name, platens=both, mounted=None) for name in ("B", "C", "D", "E")),
        ),
        platens=(shop().platens[0], wide),
        crew=tuple(person(name) for name in ("Ann", "Bo", "Cy", "Di", "Eli", "Flo")),
    )
    orders = (backs("1", 60, at(16)), backs("2", 60, at(16)), backs("3", 6, at(9)))
    problem = build_day(base, orders, MONDAY)
    made = overlapping(
        problem,
        one_by_one(problem, [("1-back", "Main / big", "Ann"), ("3-back", "C / big", "Cy")]),
        one_by_one(problem, [("2-back", "B / wide", "Bo")]),
    )
    assert reasons(made)["3"].startswith("the platens big and wide are in use from 08:00 to 08:5")


def later(schedule: Schedule, ticks: int) -> Schedule:
    """A schedule put off, warm-ups where they are."""
    moved = tuple(
        replace(task, setup_start=task.setup_start + ticks, start=task.start + ticks, end=task.end + ticks)
        for task in schedule.tasks
    )
    return replace(schedule, tasks=moved)


def test_a_run_that_is_put_off_for_nothing() -> None:
    problem = build_day(two_presses(), (cap("1", 6, at(9)),), MONDAY)
    made = overlapping(problem, later(one_by_one(problem, [("1-cap", "Cap press / cap", "Ann")]), 3000))
    assert reasons(made) == {"1": "cap (adult) is pressed at 13:10, too late for the cut-off at 09:00"}


def test_the_run_before_is_named_when_nothing_was_full() -> None:
    problem = build_day(two_presses(), (cap("1", 6, at(16)), cap("2", 6, at(9))), MONDAY)
    schedule = one_by_one(problem, [("1-cap", "Cap press / cap", "Ann"), ("2-cap", "Cap press / cap", "Bo")])
    first, second = schedule.tasks
    put_off = later(replace(schedule, tasks=(second,)), 3000)
    made = overlapping(problem, replace(schedule, tasks=(first, *put_off.tasks)))
    # 6 x 38 s are 38 ticks, with 20 of fixed part 5.8 min from 8:10 on.
    assert reasons(made) == {"2": "cap (adult) waits for Cap press, busy with order 1 until 08:15"}


def test_the_day_is_over() -> None:
    """Two hours of presence: 46.4 min from 8:10 on leave too little for 65.4 min."""
    base = with_platen(replace(shop(), crew=(person(end=time(10)),)), "big", count=9)
    problem = build_day(whole(base), (backs("1", 70, at(16)), backs("2", 100, at(12))), MONDAY)
    made = plan_of(problem, [("1-back", "Main / big", "Ann"), ("2-back", "Main / big", "Ann")])
    assert made.runs[1].start == datetime(2026, 3, 3, 8, 10)
    assert reasons(made) == {
        "2": "back (adult) takes 1 h 6 min and no longer fits after 08:57; it is begun at 08:10 on Tue 3 Mar"
    }


def test_waiting_for_a_run_of_its_own_order() -> None:
    """The sleeve waits for the front, and the front for another order's run: that one is named."""
    base = replace(two_presses(), crew=(person(),))
    kit = order("2", line(print_("front"), print_("sleeve"), sizes={"M": 20}), cut_off=at(10))
    problem = build_day(whole(base), (cap("1", 120, at(16)), kit), MONDAY)
    made = plan_of(
        problem,
        [
            ("1-cap", "Cap press / cap", "Ann"),
            ("2-front", "Main / big", "Ann"),
            ("2-sleeve", "Main / sleeve", "Ann"),
        ],
    )
    assert reasons(made)["2"].startswith(
        "the crew is busy with order 1 from 08:00 to 09:36: 1 h 20 min of 1 h 37 min"
    )


def test_an_order_that_waits_for_its_own_runs_is_told_so_in_plain_words() -> None:
    """Twice 500 pieces, 5.3 h each, at one press: the second waits for the next morning."""
    lines = (line(print_("back"), sizes={"M": 500}), line(print_("back"), sizes={"M": 500}, colour="red"))
    made = in_turn(shop(), order("1", *lines, cut_off=at(8, 30)))
    words = reasons(made)["1"]
    assert words.startswith("pressing and packing cannot be done before 16:21, even with the whole shop")
    assert words.endswith(
        "; besides, its own other runs keep the crew busy until 13:28, 5 h 21 min of the 8 h 10 min that "
        "there are; back (adult) lot 2 of 2 takes 5 h 19 min and no longer fits after that; it is begun at "
        "08:10 on Tue 3 Mar"
    )


def test_closed_hours_are_no_waiting() -> None:
    """Of two runs of a garment one waits for hours of open shop, the other for a night and some minutes."""
    kit = order("3", line(print_("front"), print_("sleeve"), sizes={"M": 20}), cut_off=at(10))
    problem = build_day(whole(two_presses()), (kit,), MONDAY, least_days=2)
    runs = [("3-front", "Main / big", "Ann"), ("3-sleeve", "Main / sleeve", "Ann")]
    trail = steps(problem.instance, one_by_one(problem, runs))
    monday, tuesday = problem.instance.heating_days
    front, sleeve = sorted(trail, key=lambda step: step.done.start)
    hours = replace(front, done=replace(front.done, setup_start=8000, start=8100, end=monday.end - 10))
    begun = tuesday.start + 90
    minutes = replace(sleeve, done=replace(sleeve.done, setup_start=begun, start=begun + 5, end=begun + 50))
    waiting = Waiting(problem.instance, [hours, minutes])
    assert begun - hours.done.end > 8000 - monday.start > waiting.open_ticks(hours.done.end, begun)
    assert waiting.longest_wait(minutes) == (hours, monday.start)


def test_a_press_that_was_taken_until_the_evening_is_not_called_taken_in_the_night() -> None:
    """It can be begun in the evening no more, and is begun the next morning."""
    base = replace(two_presses(), crew=(person(),))
    problem = build_day(whole(base), (cap("1", 640, at(16)), cap("2", 120, at(16))), MONDAY)
    made = plan_of(problem, [("1-cap", "Cap press / cap", "Ann"), ("2-cap", "Cap press / cap", "Ann")])
    first, second = made.runs
    assert second.start.date() > first.end.date()
    assert reasons(made)["2"] == (
        f"only Cap press can press cap (adult), taken from 08:00 to {first.end:%H:%M} by order 1; "
        "cap (adult) takes 1 h 18 min and no longer fits after that; it is begun at 08:10 on Tue 3 Mar"
    )


def left(problem: DayProblem, done: list[tuple[str, str, str]], *names: str) -> dict[str, str]:
    return {one.run: one.reason for one in plan_of(problem, done, left_over=names).left_over}


def test_left_over_for_what_comes_after_the_planned_days() -> None:
    tomorrow = line(print_("back"), garments_in=datetime(2026, 3, 3, 10))
    problem = build_day(shop(), (order("1", tomorrow),), MONDAY, max_days=1)
    assert left(problem, [], "1-back") == {
        "1-back": "its garments come in at 10:00 on Tue 3 Mar, after the planned days end (17:00)"
    }


def test_left_over_for_what_comes_too_late_in_the_day() -> None:
    evening = order("1", line(print_("back", transfers_in=at(15, 50)), sizes={"M": 60}))
    problem = build_day(whole(shop()), (evening,), MONDAY, max_days=1)
    assert left(problem, [], "1-back") == {
        "1-back": "its transfers come in at 15:50, and at the fastest it takes 40 min: "
        "too long for what is left of the planned days"
    }


def test_left_over_behind_another() -> None:
    base = replace(shop(), placements=(shop().placements[0], replace(shop().placements[1], after=("front",))))
    base = with_platen(with_platen(base, "double", second_placements=()), "sleeve", placements=())
    late = order("1", line(print_("front", transfers_in=datetime(2026, 3, 3)), print_("back")))
    problem = build_day(base, (late,), MONDAY, max_days=1)
    found = left(problem, [], "1-front", "1-back")
    assert found["1-back"] == "it must follow front (adult), which is left over"
    assert found["1-front"].startswith(
        "its transfers come in at 00:00 on Tue 3 Mar, after the planned days end"
    )


def test_left_over_for_a_run_longer_than_any_shift() -> None:
    """Twenty pieces of an hour; lots of twelve don't help."""
    slow = replace(shop(), recipes=(recipe(dwell_s=3600),))
    problem = build_day(slow, (backs("1", 20, at(16)),), MONDAY)
    assert left(problem, [], "1-back") == {
        "1-back": "at the fastest it takes 20 h 11 min, "
        "longer than anybody who may do it is there in one shift"
    }


FULL = 460 * 60 // 38
"""Pieces that fill the main press's day but for some minutes."""


@pytest.mark.parametrize(
    ("base", "order_", "reason"),
    [
        (
            two_presses(),
            cap,
            "only Cap press can press cap (adult), and its hours in the planned day are full",
        ),
        (
            replace(shop(), presses=(press(), press("Side", mounted=None)), crew=(person(), person("Bo"))),
            backs,
            "only the big platen can take back (adult), and it is in use throughout the planned day",
        ),
        (
            replace(
                with_platen(shop(), "big", count=3),
                presses=(press(skill="firm"), press("Side", mounted=None, skill="firm")),
                crew=(person(skills=("firm",)), person("Bo"), person("Cy")),
            ),
            backs,
            "only Ann may press back (adult), without hours enough left in the planned day",
        ),
        (
            replace(with_platen(shop(), "big", count=3), presses=(press(), press("Side", mounted=None))),
            backs,
            "the crew has no stretch of 34 min left for it in the planned day",
        ),
    ],
    ids=["press", "platen", "skill", "crew"],
)
def test_left_over_for_full_hours(base: Shop, order_: object, reason: str) -> None:
    assert callable(order_)
    orders = (order_("1", FULL, at(16)), order_("2", 50, at(16)))
    problem = build_day(whole(base), orders, MONDAY, max_days=1)
    first, second = problem.instance.tasks
    assert left(problem, [(first.id, first.modes[0].id, "Ann")], second.id) == {second.id: reason}


def test_reasons_do_not_depend_on_the_order_of_the_schedule() -> None:
    problem = build_day(
        two_presses(), (cap("1", 60, at(16)), cap("2", 60, at(16)), cap("3", 6, at(9, 30))), MONDAY
    )
    schedule = one_by_one(problem, [(f"{n}-cap", "Cap press / cap", "Ann") for n in (1, 2, 3)])
    made = [
        reasons(overlapping(problem, replace(schedule, tasks=tasks)))
        for tasks in (schedule.tasks, schedule.tasks[::-1])
    ]
    assert made[0] == made[1]
    assert made[0]["3"]


def test_earliest_finish_is_never_later_than_a_schedule() -> None:
    base = with_press(shop(), warm_up_min=0.0)
    kit = order("1", line(print_("front"), print_("sleeve"), print_("back", "cold film"), sizes={"M": 80}))
    problem = build_day(base, (kit,), MONDAY)
    earliest = earliest_finish(problem.instance, "1")
    assert earliest is not None
    for runs in (
        ["1-front+sleeve", "1-back"],
        ["1-front", "1-sleeve", "1-back"],
        ["1-front lot 1 of 2", "1-front lot 2 of 2", "1-sleeve", "1-back"],
    ):
        tasks = {task.id: task for task in problem.instance.tasks}
        schedule = one_by_one(problem, [(name, tasks[name].modes[0].id, "Ann") for name in runs])
        _, verdict = checked(problem, schedule)
        assert verdict.finished["1"] >= earliest


def test_earliest_end_and_quickest() -> None:
    base = replace(shop(), crew=(person(), person("Bo", pace=1.25, start=time(10))))
    problem = build_day(base, (backs("1", 60, at(16)),), MONDAY)
    (task,) = problem.instance.tasks
    # 60 x 38 s are 380 ticks, 304 at pace 1.25; 20 of fixed part
    assert quickest(task) == 324
    # Ann from 8:10 needs 400 ticks; Bo is there at ten.
    assert earliest_end(problem.instance, task, 0) == 4900 + 400
    assert earliest_end(problem.instance, task, 6000) == 6324
    # At 15:20 only Bo's 324 ticks still fit before four; later it is tomorrow.
    assert earliest_end(problem.instance, task, 9250) == 9574
    assert earliest_end(problem.instance, task, 9300) == 14400 + 5300
    assert earliest_end(problem.instance, task, 30000) is None


def test_an_order_without_tasks_has_no_earliest_finish() -> None:
    instance = build_day(shop(), (order("1"),), MONDAY).instance
    assert earliest_finish(replace(instance, tasks=()), "1") is None


def test_warm_ups_of_two_presses_are_put_together() -> None:
    """Schedules put together keep every warm-up of each."""
    base = replace(shop(), presses=(press(), press("Side", mounted=None)), crew=(person(), person("Bo")))
    problem = build_day(
        with_platen(base, "big", count=2), (backs("1", 5, at(16)), backs("2", 5, at(16))), MONDAY
    )
    made = overlapping(
        problem,
        one_by_one(problem, [("1-back", "Main / big", "Ann")]),
        one_by_one(problem, [("2-back", "Side / big", "Bo")]),
    )
    assert made.schedule.warm_ups == (
        WarmUp(machine="Main", start=4800, end=4900),
        WarmUp(machine="Side", start=4800, end=4900),
    )
