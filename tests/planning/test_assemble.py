"""A checked schedule in trade words, followed by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time

import pytest

from scheduler.domain.codes import LETTERS
from scheduler.domain.day_problem import DayProblem
from scheduler.domain.disruptions import Disruptions, PersonAway, PressDown
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import Break, LevelValue, Result, Status
from scheduler.domain.shop import Circuit, OpenHours, Pressure
from scheduler.exceptions import BrokenPlan
from scheduler.planning import assemble_plan, build_day
from tests.planning.by_hand import checked, one_by_one, plan_of
from tests.planning.shops import (
    MONDAY,
    line,
    order,
    person,
    press,
    print_,
    recipe,
    shop,
    with_allowances,
    with_press,
)


def at(hour: int, minute: int = 0, second: int = 0) -> datetime:
    return datetime(2026, 3, 2, hour, minute, second)


def two_runs() -> DayProblem:
    """A front at 150 °C, then a sleeve of another order at 160 °C and firm pressure; coffee at nine."""
    base = replace(
        with_press(shop(), circuit="A"),
        circuits=(Circuit(name="A", volts=230, amps=16, continuous_share=0.8),),
        recipes=(recipe(), recipe("hot film", temp_c=160, pressure=Pressure.FIRM)),
        crew=(person(breaks=((time(9), time(9, 15)),)),),
        defaults=("Presses", "Recipes"),
    )
    first = order("1", line(print_("front", artwork="crest"), sizes={"M": 60}), cut_off=at(9))
    second = order("2", line(print_("sleeve", "hot film", "flag"), sizes={"Y-S": 10}), cut_off=at(16))
    return build_day(base, (first, second), MONDAY)


RUNS = [("1-front", "Main / big", "Ann"), ("2-sleeve", "Main / sleeve", "Ann")]


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_of(two_runs(), RUNS)


def test_runs_in_order(plan: Plan) -> None:
    first, second = plan.runs
    assert [(run.number, run.id, run.press, run.platen, run.operator) for run in plan.runs] == [
        (1, "1-front", "Main", "big", "Ann"),
        (2, "2-sleeve", "Main", "sleeve", "Ann"),
    ]
    # Warm-up from 8:00 to 8:10; pressure and line-up take 1.5 min before it is hot.
    assert (first.start, first.pressing_start) == (at(8, 8, 30), at(8, 10))
    # 60 x 38 s are 38 min, with 2 min of fixed part 40: 8:50, before the coffee.
    assert (first.end, first.pauses) == (at(8, 50), ())
    # Swap 6, pressure 0.5, line-up 1 min are hands-on 7.5 and fit before nine; 10 x 38 s and 2 min
    # are 84 ticks, 8.4 min, of which 2.5 before the break.
    assert (second.start, second.pressing_start) == (at(8, 50), at(8, 57, 30))
    assert (second.pauses, second.end) == (((at(9), at(9, 15)),), at(9, 20, 54))
    assert [(run.temp_c, run.cycle_s, run.mounts_platen) for run in plan.runs] == [
        (150, 38.0, False),
        (160, 38.0, True),
    ]


def test_changeovers_step_by_step(plan: Plan) -> None:
    first, second = plan.changeovers
    assert (first.press, first.before, first.start, first.end) == ("Main", "1-front", at(8, 8, 30), at(8, 10))
    assert [(part.name, part.minutes, part.before, part.after) for part in first.parts] == [
        ("set the pressure", 0.5, "", "medium"),
        ("fetch and line up the artwork", 1.0, "", "crest"),
    ]
    # 10 °C up take a minute, from the end of the last run on; hands-on 7.5 min is the longer part.
    assert (second.start, second.end) == (at(8, 50), at(8, 57, 30))
    assert (second.hands_on_minutes, second.hands_off_minutes) == (7.5, 1.0)
    assert [(part.name, part.minutes, part.hands_off, part.before, part.after) for part in second.parts] == [
        ("set the temperature", 1.0, True, "150 °C", "160 °C"),
        ("swap the platen", 6.0, False, "big", "sleeve"),
        ("set the pressure", 0.5, False, "medium", "firm"),
        ("fetch and line up the artwork", 1.0, False, "crest", "flag"),
    ]
    # The sleeve platen: 4 min to swap, 2 min to bring to heat.
    assert [part.heating_minutes for part in second.parts] == [0.0, 2.0, 0.0, 0.0]
    assert [part.heating_minutes for part in first.parts] == [0.0, 0.0]


def test_changeovers_add_up_to_the_levels(plan: Plan) -> None:
    levels = {level.name: level.value for level in plan.levels}
    assert levels["changeovers"] == len(plan.changeovers) == 2
    minutes = sum(max(change.hands_on_minutes, change.hands_off_minutes) for change in plan.changeovers)
    assert levels["changeover"] == minutes * 10 == 90


def test_warm_up(plan: Plan) -> None:
    (warm,) = plan.warm_ups
    assert (warm.press, warm.start, warm.ready, warm.temp_c) == ("Main", at(8), at(8, 10), 150)
    assert (warm.circuit, warm.watts, warm.by) == ("A", 1500, "Ann")


def test_orders(plan: Plan) -> None:
    first, second = plan.orders
    # Packing takes 5 min and 60 x 10 s: 15 min after 8:50, five past the cut-off at nine.
    assert (first.finished, first.late_minutes) == (at(9, 5), 5.0)
    assert first.reason == (
        "pressing and packing cannot be done before 09:05, even with the whole shop to itself"
    )
    assert (second.finished, second.late_minutes, second.reason) == (at(9, 27, 36), 0.0, "")


def test_loads_shifts_and_breaks(plan: Plan) -> None:
    (main,) = plan.press_loads
    assert (main.name, main.available, main.changing, main.overtime) == ("Main", 540.0, 7.0, 0.0)
    assert main.pressing == pytest.approx(48.4)
    (ann,) = plan.crew_loads
    assert (ann.available, ann.pressing, ann.changing) == (465.0, main.pressing, 7.0)
    assert next((shift.operator, shift.start, shift.end) for shift in plan.shifts) == ("Ann", at(8), at(16))
    assert [(one.start, one.end) for one in plan.breaks] == [
        (at(9), at(9, 15)),
        (datetime(2026, 3, 3, 9), datetime(2026, 3, 3, 9, 15)),
    ]


def test_absences_and_standstills_are_not_hours_that_there_are(plan: Plan) -> None:
    """From 14:45 to 16:30 Ann misses 75 of her minutes: her shift ends at four. The coffee is none of them.

    The press stands from ten to eleven, and from four on until it closes at five.
    """
    between = Disruptions(
        away=(
            PersonAway(person="Ann", start=at(14, 45), end=at(16, 30)),
            PersonAway(person="Ann", start=at(9), end=at(9, 15)),
            PersonAway(person="Ann", start=datetime(2026, 3, 3, 8)),
        ),
        down=(
            PressDown(press="Main", since=at(10), until=at(11)),
            PressDown(press="Main", since=at(16)),
            PressDown(press="Spare", since=at(8)),
        ),
    )
    made = plan_of(replace(two_runs(), between=between), RUNS)
    (ann,), (main,) = made.crew_loads, made.press_loads
    assert (ann.available, ann.pressing) == (465.0 - 75, plan.crew_loads[0].pressing)
    assert main.available == 540.0 - 60 - 60
    away = Disruptions(away=(PersonAway(person="Ann", start=at(7)),))
    (gone,) = plan_of(replace(two_runs(), between=away), RUNS).crew_loads
    assert (gone.available, gone.full) == (0.0, 0.0)


def test_minutes_by_hand_are_the_same_on_sheets_and_in_loads_tables_and_data(plan: Plan) -> None:
    """1.5 and 5.5 minutes: the two in which the sleeve platen comes to heat need no hands."""
    from scheduler.sheets.plan_json import plan_to_data
    from scheduler.sheets.run_sheets import sheet_data

    entries = sheet_data(plan)["sections"][0]["entries"]  # type: ignore[index]
    heads = [one["change"]["head"] for one in entries if one["type"] == "run"]
    assert [head.partition(", ")[2] for head in heads] == [
        "1.5 min by hand",
        "5.5 min by hand, 2 min for the heat",
    ]
    data = plan_to_data(plan)["changeovers"]
    assert [(one["hands_on_minutes"], one["heating_minutes"]) for one in data] == [(1.5, 0.0), (5.5, 2.0)]
    assert plan.crew_loads[0].changing == 7.0


def test_the_rest(plan: Plan) -> None:
    assert plan.status == "a plan, not shown to be best"
    assert (plan.effort, plan.seed, plan.version) == ("quick", 7, 1)
    assert plan.notes == (
        "These sheets of the shop workbook still hold the program's own figures: Presses, Recipes.",
    )


# 5 min and 10 s a piece: 327 pieces are 59.5 min; 330 are an hour; 348 are 63 min.
@pytest.mark.parametrize(
    ("pieces", "spent"), [(326, ""), (330, "1 h"), (348, "1 h 3 min"), (2000, "5 h 38 min")]
)
def test_much_packing_is_noted(pieces: int, spent: str) -> None:
    problem = build_day(shop(), (order("1", line(sizes={"M": pieces})),), MONDAY)
    chosen = problem.instance.choices[0].options[0] if problem.instance.choices else tuple(problem.contents)
    made = plan_of(problem, [(task, "Main / big", "Ann") for task in chosen])
    told = f"Packing takes {spent} in all; it is counted before each cut-off but planned for nobody."
    assert made.notes[:1] == ((told,) if spent else ())


def test_packing_when_nobody_is_there_is_noted() -> None:
    problem = build_day(shop(), (order("1", line(sizes={"M": 2000})),), MONDAY)
    made = plan_of(problem, [(task, "Main / big", "Ann") for task in problem.contents])
    told, (run, *_) = made.notes[1], made.runs[::-1]
    # Pressed at the very end of a day; of its 5 h 38 min what still fits before Ann leaves is packed.
    assert told == (
        "Packing goes on when nobody is there any more, so these orders are packed later than their "
        "sheets say unless somebody stays: 1 (4 h 52 min)."
    )
    assert (at(16) - run.end.replace(day=at(16).day)).seconds // 60 == 5 * 60 + 38 - (4 * 60 + 52)


def test_lots_are_numbered_as_they_are_pressed() -> None:
    problem = build_day(shop(), (order("1", line(sizes={"S": 60, "M": 40})),), MONDAY)
    names = ("1-front lot 1 of 2", "1-front lot 2 of 2")
    for order_of_day in (names, names[::-1]):
        runs = plan_of(problem, [(name, "Main / big", "Ann") for name in order_of_day]).runs
        assert [run.id for run in runs] == list(order_of_day)
        assert [(run.content.lot, run.content.lots) for run in runs] == [(1, 2), (2, 2)]
        # The garments stay with their task.
        assert [run.content.pieces for run in runs] == [
            problem.contents[name].pieces for name in order_of_day
        ]


def test_a_lot_left_over_has_the_last_number() -> None:
    problem = build_day(shop(), (order("1", line(sizes={"M": 100})),), MONDAY)
    first, second = "1-front lot 1 of 2", "1-front lot 2 of 2"
    made = plan_of(problem, [(second, "Main / big", "Ann")], left_over=(first,))
    assert made.runs[0].content.lot == 1
    assert made.orders[0].reason.startswith("front (adult) lot 2 of 2 is left over")


def test_runs_of_a_later_day_are_no_load_of_this_one() -> None:
    base = with_allowances(shop(), lot_above_min=600.0)
    problem = build_day(
        base, (order("1", line(sizes={"M": 700})), order("2", line(sizes={"M": 100}))), MONDAY
    )
    made = plan_of(problem, [("1-front", "Main / big", "Ann"), ("2-front", "Main / big", "Ann")])
    assert made.runs[1].start == datetime(2026, 3, 3, 8, 10)
    assert made.press_loads[0].pressing == pytest.approx(700 * 38 / 60 + 2, abs=0.1)
    # The press is cold again: switched on again, but pressure, artwork and platen are as they were.
    assert [warm.start for warm in made.warm_ups] == [at(8), datetime(2026, 3, 3, 8)]
    assert len(made.changeovers) == 1


def test_overtime_is_counted_apart() -> None:
    base = replace(
        with_allowances(shop(), lot_above_min=600.0),
        hours={0: OpenHours(open=time(8), close=time(17), overtime_end=time(18))},
        crew=(person(end=time(10), overtime_end=time(12)),),
    )
    problem = build_day(base, (order("1", line(sizes={"M": 150})), order("2", line(sizes={"M": 12}))), MONDAY)
    made = plan_of(problem, [("1-front", "Main / big", "Ann"), ("2-front", "Main / big", "Ann")])
    # 8:10 and 97 min; then 9.6 min: until 9:56:36, all before ten.
    assert made.crew_loads[0].overtime == 0.0
    late = build_day(base, (order("1", line(sizes={"M": 150})), order("2", line(sizes={"M": 30}))), MONDAY)
    made = plan_of(late, [("1-front", "Main / big", "Ann"), ("2-front", "Main / big", "Ann")])
    # 21 min from 9:47 on: until 10:08.
    assert made.crew_loads[0].overtime == made.press_loads[0].overtime == pytest.approx(8.0)


def test_a_platen_given_up_is_mounted_again() -> None:
    problem = build_day(shop(), (order("1", line(print_("front"), print_("back"))),), MONDAY)
    schedule = one_by_one(problem, [("1-front", "Main / big", "Ann"), ("1-back", "Main / big", "Ann")])
    first, second = schedule.tasks
    again = replace(second, start=second.start + 60, end=second.end + 60, mounts_platen=True)
    result, verdict = checked(problem, replace(schedule, tasks=(first, again)))
    parts = assemble_plan(problem, result, verdict, ()).changeovers[1].parts
    assert [(part.name, part.before, part.after) for part in parts] == [
        ("mount the platen", "", "big"),
        ("fetch and line up the artwork", "", "logo"),
    ]


def test_turned_artwork_by_the_chosen_platen() -> None:
    """480 x 300 mm lies straight on the wide platen and turned on the big one."""
    wide = replace(shop().platens[0], name="wide", width_mm=500, height_mm=400)
    base = replace(
        with_press(shop(), platens=("big", "wide")), platens=(shop().platens[0], wide, *shop().platens[1:])
    )
    one = order("1", line(print_("front", width_mm=480, height_mm=300)))
    problem = build_day(base, (one,), MONDAY)
    assert not problem.contents["1-front"].laid[0].turned
    for platen, turned in (("big", True), ("wide", False)):
        made = plan_of(problem, [("1-front", f"Main / {platen}", "Ann")])
        assert made.runs[0].content.laid[0].turned is turned


def test_a_pair_on_the_sheets() -> None:
    problem = build_day(shop(), (order("1", line(print_("front"), print_("sleeve"))),), MONDAY)
    (run,) = plan_of(problem, [("1-front+sleeve", "Main / double", "Ann")]).runs
    assert run.content.placements == ("front", "sleeve")
    assert run.cycle_s == 45.0


def test_left_over() -> None:
    made = plan_of(two_runs(), RUNS[:1], left_over=("2-sleeve",))
    (left,) = made.left_over
    assert (left.run, left.order, left.placements, left.quantity) == ("2-sleeve", "2", ("sleeve",), 10)
    order_two = made.orders[1]
    assert order_two.finished is None
    assert order_two.reason == f"sleeve (youth) is left over: {left.reason}"


def test_fingerprint(plan: Plan) -> None:
    assert plan.fingerprint == plan_of(two_runs(), RUNS).fingerprint
    assert len(plan.fingerprint) == 8
    assert set(plan.fingerprint) <= set(LETTERS)
    assert not set("0O1IL2Z5S8B6GQ") & set(LETTERS)
    other = plan_of(two_runs(), RUNS[::-1])
    assert other.fingerprint != plan.fingerprint


def test_other_pieces_have_another_fingerprint() -> None:
    """Three S and seven M press like four S and six M, but the sheets differ."""
    codes = set()
    for small in (3, 4):
        problem = build_day(shop(), (order("1", line(sizes={"S": small, "M": 10 - small})),), MONDAY)
        codes.add(plan_of(problem, [("1-front", "Main / big", "Ann")]).fingerprint)
    assert len(codes) == 2


def test_a_plan_that_did_not_pass_is_refused() -> None:
    problem = two_runs()
    result, verdict = checked(problem, one_by_one(problem, RUNS))
    broken = replace(verdict, breaks=(Break(rule="press", tasks=("1-front",), message="two at once"),))
    with pytest.raises(BrokenPlan, match="refused the plan: press: two at once"):
        assemble_plan(problem, result, broken, ())
    with pytest.raises(BrokenPlan, match="there is no schedule"):
        assemble_plan(problem, Result(status=Status.NO_PLAN, schedule=None), verdict, ())
    wrong = replace(result, levels=(LevelValue(name="changeover", value=89),))
    with pytest.raises(BrokenPlan, match="the engine counts changeover as 89, the independent check as 90"):
        assemble_plan(problem, wrong, verdict, ())


def test_how_full_a_person_is(plan: Plan) -> None:
    fullest = max(plan.crew_loads, key=lambda load: load.full)
    assert fullest.name == "Ann"
    assert fullest.full == pytest.approx(55.4 / 465)
    assert replace(fullest, available=0.0).full == 0.0


def test_a_press_that_runs_no_day_is_no_load() -> None:
    base = replace(shop(), presses=(press(), press("Spare", mounted=None)))
    made = plan_of(build_day(base, (order("1"),), MONDAY), [("1-front", "Main / big", "Ann")])
    assert [(load.name, load.pressing) for load in made.press_loads] == [("Main", 8.4), ("Spare", 0.0)]


def test_a_platen_that_lies_on_another_press_is_taken_off_it() -> None:
    """One platen for fronts, two presses: the second takes it off the first, which takes it back later."""
    base = replace(shop(), presses=(press(), press("Side", mounted="sleeve")), crew=(person(), person("Bo")))
    orders = (
        order("1", line(print_("front"))),
        order("2", line(print_("front", artwork="crest"))),
        order("3", line(print_("sleeve"), sizes={"Y-S": 4})),
        order("4", line(print_("front", artwork="star"))),
    )
    problem = build_day(base, orders, MONDAY)

    def platens(*runs: tuple[str, str, str]) -> list[tuple[str, str, str, str, str, str]]:
        made = plan_of(problem, runs, left_over=tuple(problem.contents.keys() - {run[0] for run in runs}))
        return [
            (change.press, part.name, part.before, part.after, part.taken_from, part.went_to)
            for change in made.changeovers
            for part in change.parts
            if part.name.endswith("the platen")
        ]

    first = ("1-front", "Main / big", "Ann")
    taken = ("2-front", "Side / big", "Bo")
    took = ("Side", "swap the platen", "sleeve", "big", "Main", "")
    assert platens(first, taken, ("3-sleeve", "Main / sleeve", "Ann"), ("4-front", "Main / big", "Ann")) == [
        took,
        # Side has laid its sleeve platen on the shelf.
        ("Main", "mount the platen", "big", "sleeve", "", "Side"),
        ("Main", "swap the platen", "sleeve", "big", "Side", ""),
    ]
    # With a second one owned, it lies on the shelf.
    two = replace(base, platens=(replace(base.platens[0], count=2), *base.platens[1:]))
    problem = build_day(two, orders, MONDAY)
    assert platens(first, taken) == [("Side", "swap the platen", "sleeve", "big", "", "")]
