"""Parts of a press's state, their times, and warm-up."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.orders import Order
from scheduler.domain.shop import Pressure, Shop
from scheduler.planning import build_day
from scheduler.planning.setups import distinct_rates, hands_on_from_none, temperature_ticks, warm_up_ticks
from tests.planning.shops import (
    MONDAY,
    line,
    order,
    press,
    print_,
    recipe,
    shop,
    with_allowances,
    with_platen,
    with_press,
)


def built(base: Shop, *orders: Order) -> DayProblem:
    return build_day(base, orders, MONDAY)


def state(problem: DayProblem, task: str, mode: str = "Main / big") -> tuple[int, ...]:
    return next(m.state for t in problem.instance.tasks if t.id == task for m in t.modes if m.id == mode)


def test_parts_in_the_order_of_the_work() -> None:
    parts = built(shop(), order("1")).instance.setup_parts
    assert [(part.name, part.hands_off, part.goes_with_platen, part.ends_when_cold) for part in parts] == [
        ("platen", False, True, False),
        ("pressure", False, False, False),
        ("artwork", False, True, False),
        ("temperature", True, False, True),
    ]


def test_swap_counts_the_platen_that_comes_on() -> None:
    base = with_platen(shop(), "sleeve", swap_min=3.0, pre_heat_min=0.25)
    part = built(base, order("1")).instance.setup_parts[0].tables[0]
    # 6 min for big and double; 3.25 min for the sleeve platen: 32.5 ticks, 33
    assert part.from_none == part.by_target == (60, 33, 60)
    assert part.change(0, 1) == 33
    assert part.change(1, 0) == 60
    assert part.change(1, 1) == 0
    assert part.change(None, 1) == 33


def test_pressure_and_artwork() -> None:
    base = replace(shop(), recipes=(recipe(), recipe("firm film", pressure=Pressure.FIRM)))
    base = with_allowances(base, pressure_min=0.5, line_up_min=2.0)
    problem = built(
        base,
        order("1", line(print_(artwork="a"))),
        order("2", line(print_(artwork="b"))),
        order("3", line(print_(artwork="a"))),
        order("4", line(print_("front", "firm film", "a"))),
        order("5", line(print_("back", artwork="a"))),
    )
    _, pressure, artwork, _ = problem.instance.setup_parts
    states = {name: state(problem, name) for name in ("1-front", "2-front", "3-front", "4-front", "5-back")}
    assert [states[name][1] for name in states] == [0, 0, 0, 1, 0]
    # The same artwork of another order is the same; another transfer or placement is lined up anew.
    assert [states[name][2] for name in states] == [0, 1, 0, 2, 3]
    assert pressure.tables[0].change(0, 1) == pressure.tables[0].change(None, 0) == 5
    assert artwork.tables[0].change(0, 1) == artwork.tables[0].change(None, 0) == 20
    assert artwork.tables[0].change(3, 3) == 0


def test_the_artwork_of_a_pair_is_one_value() -> None:
    problem = built(shop(), order("1", line(print_("front"), print_("sleeve"))))
    pair = state(problem, "1-front+sleeve", "Main / double")
    assert pair[2] not in (state(problem, "1-front")[2], state(problem, "1-sleeve", "Main / sleeve")[2])


# 10 °C up takes 1 min, 10 °C down 4 min: cooling is slower. 7 °C up: 0.7 min, 7 ticks.
@pytest.mark.parametrize(
    ("before", "after", "ticks"),
    [(150, 160, 10), (160, 150, 40), (150, 150, 0), (150, 157, 7), (151, 150, 4)],
)
def test_temperature(before: int, after: int, ticks: int) -> None:
    assert temperature_ticks(press(), before, after, 6) == ticks


def test_temperature_is_rounded_up_once() -> None:
    # 10 / 3 min = 200 s: 33.3 ticks
    assert temperature_ticks(press(heat_c_per_min=3.0), 150, 160, 6) == 34
    # 0.1 in decimal: 10 / 0.1 = 100 min exactly
    assert temperature_ticks(press(heat_c_per_min=0.1), 150, 160, 6) == 1000


def test_one_table_for_each_pair_of_rates() -> None:
    base = replace(
        shop(),
        presses=(
            press(),
            press("Twin", mounted=None),
            press("Slow", mounted=None, cool_c_per_min=2.0),
        ),
    )
    problem = built(base, order("1", line(print_(), print_("back", "cold film"))))
    part = problem.instance.setup_parts[3]
    assert len(part.tables) == len(distinct_rates(base)) == 2
    assert [machine.tables for machine in problem.instance.machines] == [
        (0, 0, 0, 0),
        (0, 0, 0, 0),
        (0, 0, 0, 1),
    ]
    assert part.tables[0].ticks == ((0, 10), (40, 0))
    assert part.tables[1].ticks == ((0, 10), (50, 0))


def test_at_day_start_only_the_platen_is_known() -> None:
    base = replace(shop(), presses=(press(mounted="sleeve"), press("Bare", mounted=None)))
    machines = built(base, order("1")).instance.machines
    assert [machine.initial for machine in machines] == [(1, None, None, None), (None, None, None, None)]
    assert [machine.mounted for machine in machines] == ["sleeve", None]


def test_circuit_and_watts() -> None:
    machine = built(with_press(shop(), watts=1400), order("1")).instance.machines[0]
    assert (machine.circuit, machine.watts) == (None, 1400)


def test_warm_up() -> None:
    base = shop()
    assert warm_up_ticks(base, press(warm_up_min=12.5), 150, 6) == 125
    # from 20 °C at 10 °C a minute: 13 min; 15.5 °C of room heat would do the same by its own rise
    assert warm_up_ticks(base, press(warm_up_min=None), 150, 6) == 130
    assert warm_up_ticks(with_allowances(base, room_c=25), press(warm_up_min=None), 150, 6) == 125
    assert warm_up_ticks(with_allowances(base, room_c=160), press(warm_up_min=None), 150, 6) == 0


def test_each_mode_has_the_warm_up_of_its_temperature() -> None:
    problem = built(
        with_press(shop(), warm_up_min=None), order("1", line(print_(), print_("back", "cold film")))
    )
    warm = {task.id: task.modes[0].warm_up for task in problem.instance.tasks}
    assert warm == {"1-front": 130, "1-back": 140}


def test_most_hands_on_time() -> None:
    # swap 4, pre-heat 2, pressure 0.5, line-up 1 min
    assert hands_on_from_none(shop(), "big", 6) == 75
    with pytest.raises(KeyError, match="none"):
        hands_on_from_none(shop(), "none", 6)
