"""A day as a whole: jobs, releases, cooling, precedences, days, contents."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

import pytest

from scheduler.domain.asjson import from_json, to_json
from scheduler.domain.day_problem import DayProblem
from scheduler.domain.faults import Fault
from scheduler.domain.instance import Instance, Precedence, Task
from scheduler.domain.orders import Order
from scheduler.domain.shop import Circuit, OpenHours, Shop
from scheduler.engine.baseline import as_they_come
from scheduler.exceptions import BadInput
from scheduler.intake.shop.defaults import default_shop
from scheduler.planning import assemble_plan, build_day, day_faults
from tests.planning.by_hand import checked, one_by_one
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
    with_placement,
    with_platen,
    with_press,
    youth_apart,
)


def built(base: Shop, *orders: Order, **options: int) -> DayProblem:
    return build_day(base, orders, MONDAY, **options)


def task_of(problem: DayProblem, name: str) -> Task:
    return next(task for task in problem.instance.tasks if task.id == name)


def test_a_simple_day() -> None:
    problem = built(shop(), order("1"))
    instance = problem.instance
    assert problem.dates == (MONDAY, date(2026, 3, 3))
    assert [(day.start, day.end) for day in instance.days] == [(4800, 10200), (19200, 24600)]
    assert instance.horizon == 24600
    assert instance.tick_s == 6
    (task,) = instance.tasks
    assert (task.id, task.job, task.release, task.cooling, task.pressings) == ("1-front", "1", 0, 0, 10)
    # 10 x 38 s = 63.3 ticks, 64; fetching the box and the first piece 20
    assert [(mode.id, mode.operators) for mode in task.modes] == [
        ("Main / big", (("Ann", 84),)),
        ("Main / double", (("Ann", 84),)),
    ]
    assert problem.cycle_s == {("1-front", "Main / big"): 38.0, ("1-front", "Main / double"): 38.0}
    assert problem.temp_c == {"1-front": 150}
    assert problem.refusals[0].reason == "the sleeve platen does not serve the placement front"


def test_everybody_at_their_own_pace() -> None:
    base = replace(shop(), crew=(person(), person("Bo", pace=0.8)))
    # 380 / 0.8 = 475 s: 79.2 ticks, 80
    assert task_of(built(base, order("1")), "1-front").modes[0].operators == (("Ann", 84), ("Bo", 100))


def test_an_inside_placement_is_turned_when_alone_but_not_in_a_pair() -> None:
    base = with_placement(shop(), "sleeve", inside=True)
    problem = built(base, order("1", line(print_("front"), print_("sleeve"))))
    assert problem.cycle_s["1-sleeve", "Main / sleeve"] == 58.0
    assert problem.cycle_s["1-front+sleeve", "Main / double"] == 45.0
    assert [laid.inside for laid in problem.contents["1-front+sleeve"].laid] == [False, True]


def test_job() -> None:
    base = with_allowances(shop(), packing_min=5.0, packing_piece_s=10.0)
    one = order("1", line(sizes={"M": 10}), line(sizes={"M": 7}), weight=3, cut_off=datetime(2026, 3, 3, 12))
    (job,) = built(base, one).instance.jobs
    # 5 min are 50 ticks; 17 x 10 s are 28.3 ticks, 29
    assert (job.id, job.due, job.weight, job.packing) == ("1", (24 + 12) * 600, 3, 79)


def test_a_cut_off_that_has_passed() -> None:
    (job,) = built(shop(), order("1", cut_off=datetime(2026, 3, 1, 16))).instance.jobs
    assert job.due == -8 * 600


def test_release() -> None:
    one = line(print_("front", transfers_in=datetime(2026, 3, 2, 11)), print_("back"))
    problem = built(shop(), order("1", replace(one, garments_in=datetime(2026, 3, 2, 10))))
    assert task_of(problem, "1-front").release == 6600
    assert task_of(problem, "1-back").release == 6000
    assert problem.contents["1-back"].ready == datetime(2026, 3, 2, 10)
    early = built(shop(), order("1", replace(one, prints=(print_(),), garments_in=datetime(2026, 3, 2, 8))))
    assert task_of(early, "1-front").release == 0
    assert early.contents["1-front"].ready is None


def test_a_pair_waits_for_both_transfers() -> None:
    front = print_("front", transfers_in=datetime(2026, 3, 2, 9))
    sleeve = print_("sleeve", transfers_in=datetime(2026, 3, 2, 11))
    problem = built(shop(), order("1", line(front, sleeve)))
    releases = {task.id: task.release for task in problem.instance.tasks}
    assert releases == {"1-front": 5400, "1-sleeve": 6600, "1-front+sleeve": 6600}


def test_cooling() -> None:
    problem = built(shop(), order("1", line(print_("front", "cold film"), print_("back"))))
    # 45 s are 7.5 ticks
    assert task_of(problem, "1-front").cooling == 8
    assert task_of(problem, "1-back").cooling == 0


def test_a_pair_cools_as_long_as_the_slower_of_the_two() -> None:
    base = replace(shop(), recipes=(recipe(cooling_s=12), recipe("slow film", cooling_s=30)))
    problem = built(base, order("1", line(print_("front"), print_("sleeve", "slow film"))))
    assert task_of(problem, "1-front+sleeve").cooling == 5


def test_precedence_on_shared_garments_only() -> None:
    base = with_placement(youth_apart(shop()), "back", after=("front",))
    one = order(
        "1",
        line(print_("front"), print_("back"), sizes={"M": 5, "Y-S": 5}),
        line(print_("back", artwork="other"), sizes={"M": 5}),
    )
    other = order("2", line(print_("back")))
    assert set(built(base, one, other).instance.precedences) == {
        Precedence(before="1-front adult", after="1-back adult logo"),
        Precedence(before="1-front youth", after="1-back youth"),
    }


def test_precedence_holds_for_pairs_and_lots() -> None:
    base = with_placement(shop(), "back", after=("front",))
    one = order("1", line(print_("front"), print_("sleeve"), print_("back"), sizes={"M": 100}))
    found = {(pair.before, pair.after) for pair in built(base, one).instance.precedences}
    assert ("1-front+sleeve", "1-back") in found
    assert ("1-front lot 1 of 2", "1-back lot 1 of 2") in found
    assert ("1-front", "1-back lot 2 of 2") in found
    assert ("1-front lot 1 of 2", "1-back lot 2 of 2") not in found
    assert all(after.startswith("1-back") and before.startswith("1-front") for before, after in found)
    assert ("1-sleeve", "1-back") not in found


def test_content() -> None:
    base = with_placement(shop(), "front", positions={"": "centred", "youth": "a bit higher"})
    one = order(
        "1",
        line(print_(), sizes={"S": 2, "M": 3}, colour="navy"),
        line(print_(), sizes={"M": 4}, colour="red"),
        line(print_(), sizes={"M": 1, "Y-S": 60}, colour="navy"),
    )
    contents = built(base, one).contents
    adult, youth = contents["1-front adult"], contents["1-front youth"]
    assert [(p.colour, p.size, p.quantity) for p in adult.pieces] == [
        ("navy", "S", 2),
        ("navy", "M", 4),
        ("red", "M", 4),
    ]
    assert (adult.size_group, adult.laid[0].position) == ("adult", "centred")
    assert (youth.size_group, youth.laid[0].position) == ("youth", "a bit higher")
    # 2 % of 10 and of 60, rounded up
    assert (adult.laid[0].spare, youth.laid[0].spare) == (1, 2)
    assert (adult.lot, adult.lots, adult.customer) == (1, 1, "Customer 1")


def test_spare_transfers_are_exact() -> None:
    """7 % of 100 is 7 (0.07 x 100 in binary is a little more); no share known, no spare."""
    base = replace(shop(), spoilage={"film": 0.07})
    contents = built(base, order("1", line(print_(), print_("back", "cold film"), sizes={"M": 100}))).contents
    assert contents["1-front"].laid[0].spare == 7
    assert contents["1-back"].laid[0].spare == 0


def test_people_who_are_not_there_are_not_named() -> None:
    base = replace(shop(), crew=(person(), person("Fri", weekdays=(4,))))
    problem = built(base, order("1"))
    assert [who.id for who in problem.instance.operators] == ["Ann"]
    assert [who for who, _ in task_of(problem, "1-front").modes[0].operators] == ["Ann"]


def test_days_reach_somebody_able() -> None:
    """Only Fri may run the small press: the plan reaches Friday, and its mode names only her."""
    base = replace(
        shop(),
        presses=(press(platens=("big",)), press("Small", platens=("sleeve",), mounted=None, skill="small")),
        crew=(person(), person("Fri", weekdays=(4,), skills=("small",))),
    )
    problem = built(base, order("1", line(print_("sleeve"))))
    assert problem.dates[-1] == date(2026, 3, 9)
    (mode,) = task_of(problem, "1-sleeve").modes
    assert [who for who, _ in mode.operators] == ["Fri"]


def test_a_way_without_anybody_there_is_no_way() -> None:
    base = replace(
        shop(),
        presses=(
            press(platens=("sleeve",), mounted=None),
            press("Small", platens=("sleeve",), mounted=None, skill="small"),
        ),
        crew=(person(), person("Fri", weekdays=(4,), skills=("small",))),
    )
    problem = built(base, order("1", line(print_("sleeve"))))
    assert problem.dates == (MONDAY, date(2026, 3, 3))
    assert [mode.machine for mode in task_of(problem, "1-sleeve").modes] == ["Main"]
    only = built(base, order("1", line(print_("sleeve"))), max_days=1)
    assert [mode.machine for mode in task_of(only, "1-sleeve").modes] == ["Main"]
    assert "nobody who may run Small is there on the planned days" in {no.reason for no in only.refusals}


def test_overtime_and_closed_days() -> None:
    base = replace(
        shop(),
        hours={day: OpenHours(open=time(8), close=time(17), overtime_end=time(19)) for day in range(5)},
        crew=(person(overtime_end=time(18)),),
        closed_days=(date(2026, 3, 3),),
    )
    problem = built(base, order("1"))
    assert problem.dates == (MONDAY, date(2026, 3, 4))
    assert problem.instance.days[0].end == 19 * 600
    shifts = problem.instance.operators[0].shifts
    assert [(s.start, s.end, s.overtime_end) for s in shifts] == [
        (4800, 9600, 10800),
        (48 * 600 + 4800, 48 * 600 + 9600, 48 * 600 + 10800),
    ]


def test_max_days() -> None:
    many = tuple(order(str(number), line(print_("back"), sizes={"M": 300})) for number in range(10))
    assert len(built(shop(), *many).dates) > 3
    assert len(built(shop(), *many, max_days=3).dates) == 3


def test_circuits() -> None:
    wall = Circuit(name="A", volts=230, amps=16, continuous_share=0.8)
    base = replace(shop(), circuits=(wall,))
    # 230 V x 16 A x 80 %: 2944 W
    assert [(c.id, c.limit_w) for c in built(base, order("1")).instance.circuits] == [("A", 2944)]


def test_same_input_same_instance() -> None:
    orders = (
        order("1", line(print_("front"), print_("sleeve"), print_("back"), sizes={"M": 90})),
        order("2"),
    )
    assert built(shop(), *orders) == built(shop(), *orders)


def test_the_instance_survives_json() -> None:
    instance = built(shop(), order("1", line(print_("front"), print_("sleeve"), sizes={"M": 90}))).instance
    assert from_json(Instance, to_json(instance)) == instance


@pytest.mark.parametrize("option", [0, 1])
def test_a_schedule_by_hand_passes_the_check(option: int) -> None:
    """Cold film first, then, cooled, the pair or front and sleeve apart, over two presses and a break."""
    base = replace(
        shop(),
        presses=(press(), press("Side", mounted=None, warm_up_min=None)),
        crew=(person(breaks=((time(9), time(9, 15)),)),),
    )
    base = with_placement(base, "front", after=("back",), pairs_with=("sleeve",))
    problem = built(base, order("1", line(print_("back", "cold film"), print_("front"), print_("sleeve"))))
    runs = [("1-back", "Side / big", "Ann")]
    base_option = problem.instance.choices[0].options[option]
    places = {"1-front": "Main / double", "1-sleeve": "Main / sleeve", "1-front+sleeve": "Main / double"}
    runs += [(name, places[name], "Ann") for name in base_option]
    _, verdict = checked(problem, one_by_one(problem, runs))
    assert verdict.values["left_over"] == 0
    assert verdict.values["changeovers"] == 1 + len(base_option)


def test_a_day_of_the_sample_shop_taken_as_they_come_passes_the_check() -> None:
    """Kits with youth sizes, caps, a box at ten and a cold peel, through the whole chain."""
    base = default_shop()
    sizes = {"M": 20, "L": 12, "Y-M": 8}
    chest = print_("left chest", "film hot peel", width_mm=90, height_mm=90)
    label = print_("neck label", "film hot peel", "label", width_mm=60, height_mm=60)
    back = print_("full back", "film cold peel", width_mm=240, height_mm=300)
    crown = print_("cap front", "film hot peel", width_mm=100, height_mm=50)
    orders = (
        order("1", line(chest, label, back, sizes=sizes), cut_off=datetime(2026, 3, 2, 12)),
        order("2", line(crown, sizes={"one size": 30})),
        order("3", line(chest, back, sizes={"M": 90}, garments_in=datetime(2026, 3, 2, 10))),
    )
    problem = built(base, *orders)
    schedule = as_they_come(problem.instance)
    result, verdict = checked(problem, schedule)
    made = assemble_plan(problem, result, verdict, result.levels)
    pressed = sum(run.content.quantity * len(run.content.laid) for run in made.runs)
    assert pressed == 40 * 3 + 30 + 90 * 2
    assert all(bool(one.reason) == (one.late_minutes > 0) for one in made.orders)
    assert {run.press for run in made.runs if "cap" in run.platen} == {"Cap press"}
    assert {run.operator for run in made.runs if run.press == "Cap press"} <= {"Ana", "Cleo"}
    assert all(
        run.pressing_start >= datetime(2026, 3, 2, 10) for run in made.runs if run.content.order == "3"
    )


def test_faults_are_found_without_stating_the_day() -> None:
    """What `build_day` refuses `day_faults` finds, for sound orders, too large, too hot and paired prints."""
    large = print_("front", width_mm=900)
    small = print_("sleeve")
    shops = (shop(), with_platen(shop(), "big", placements=("back",)), with_press(shop(), temp_max_c=120))
    for base in shops:
        for lines in (
            (line(),),
            (line(large),),
            (line(), line(large, small, colour="red")),
            (line(print_("front"), small),),
            (line(print_("front", width_mm=350), small),),
        ):
            orders = (order("1", *lines), order("2", line()))
            try:
                build_day(base, orders, MONDAY)
                refused: tuple[Fault, ...] = ()
            except BadInput as error:
                refused = tuple(error.faults)
            assert day_faults(base, orders, MONDAY) == refused
    assert day_faults(shop(), (), MONDAY)[0].code == "no-orders"
