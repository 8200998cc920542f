"""What keeps a shop or orders from being planned: each fault beside its nearest sound neighbour."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

import pytest

from scheduler.domain.faults import Source
from scheduler.domain.orders import Order
from scheduler.domain.shop import Circuit, Element, Setup, Shop
from scheduler.exceptions import BadInput
from scheduler.planning import build_day
from tests.planning.shops import (
    MONDAY,
    line,
    order,
    person,
    placement,
    platen,
    press,
    print_,
    shop,
    with_placement,
    with_platen,
    with_press,
)


def faults(base: Shop, *orders: Order, day: date = MONDAY) -> list[tuple[str, str]]:
    try:
        build_day(base, orders or (order("1"),), day)
    except BadInput as error:
        return [(fault.code, fault.found) for fault in error.faults]
    return []


def test_a_sound_shop_has_no_faults() -> None:
    assert faults(shop()) == []


@pytest.mark.parametrize(
    ("base", "code", "found"),
    [
        (replace(shop(), presses=()), "no-press", "no press"),
        (replace(shop(), crew=()), "no-crew", "nobody in the crew"),
        (
            replace(shop(), presses=(press(), press(mounted=None))),
            "name-twice",
            "press Main is there twice",
        ),
        (
            replace(shop(), crew=(person(), person())),
            "name-twice",
            "person Ann is there twice",
        ),
        (
            with_press(shop(), platens=("big", "tiny")),
            "platen-unknown",
            "Main names the platen tiny, which the shop does not have",
        ),
        (
            with_press(shop(), mounted="tiny"),
            "platen-unknown",
            "Main names the platen tiny, which the shop does not have",
        ),
        (
            with_press(shop(), cool_c_per_min=0.0),
            "heating-rate",
            "Main: 10.0 °C a minute up, 0.0 down",
        ),
        (
            with_press(shop(), circuit="A"),
            "circuit-unknown",
            "Main is on the circuit A, which the shop does not have",
        ),
        (
            with_platen(shop(), "big", count=0),
            "platen-count",
            "the platen big is mounted 1 times, 0 are owned",
        ),
        (
            with_placement(with_placement(shop(), "front", after=("back",)), "back", after=("front",)),
            "placement-order",
            "placements that must each come before the other: back before front before back",
        ),
        (
            with_placement(shop(), "front", after=("front",)),
            "placement-order",
            "placements that must each come before the other: front before front",
        ),
        (replace(shop(), crew=(person(pace=0.0),)), "pace", "Ann has the pace 0.0"),
    ],
)
def test_shop_faults(base: Shop, code: str, found: str) -> None:
    assert (code, found) in faults(base)


def test_order_of_placements_without_a_circle() -> None:
    chain = with_placement(
        with_placement(shop(), "back", after=("front",)), "sleeve", after=("front", "back")
    )
    assert faults(chain) == []


def test_a_missing_element_time() -> None:
    elements = dict(shop().elements)
    del elements[Element.TURN, Setup.STAND]
    assert faults(replace(shop(), elements=elements)) == []
    del elements[Element.TURN, Setup.PLAIN]
    assert faults(replace(shop(), elements=elements)) == [
        ("element-missing", "no time for 'turn inside out and back' on a press with set-up 'plain'")
    ]


# NEC 210.20(A): a continuous load takes 80 % of a usual circuit: 20 A at 120 V carry 1920 W for long.
@pytest.mark.parametrize(("watts", "carried"), [(1920, True), (1921, False)])
def test_a_press_its_circuit_cannot_carry(watts: int, carried: bool) -> None:
    wall = Circuit(name="A", volts=120, amps=20, continuous_share=0.8)
    base = replace(with_press(shop(), circuit="A", watts=watts), circuits=(wall,))
    expected = f"Main draws {watts} W, the circuit A may carry 1920 W for long"
    assert faults(base) == ([] if carried else [("circuit-too-weak", expected)])


@pytest.mark.parametrize(
    ("base", "day", "found"),
    [
        (shop(), date(2026, 3, 1), "on Sunday 2026-03-01 the shop is closed"),
        (replace(shop(), closed_days=(MONDAY,)), MONDAY, "on Monday 2026-03-02 the shop is closed"),
        (
            replace(shop(), crew=(person(weekdays=(1,)),)),
            MONDAY,
            "on Monday 2026-03-02 nobody of the crew is there",
        ),
    ],
)
def test_a_day_without_work(base: Shop, day: date, found: str) -> None:
    assert faults(base, day=day) == [("day-closed", found)]


def test_the_next_working_day_is_named() -> None:
    with pytest.raises(BadInput, match="Plan 2026-03-02, or correct"):
        build_day(shop(), (order("1"),), date(2026, 2, 28))


@pytest.mark.parametrize(
    "base", [replace(shop(), hours={}), replace(shop(), crew=(person(start=time(16), end=time(16)),))]
)
def test_no_open_hours(base: Shop) -> None:
    expected = "nobody is there in open hours in the year from 2026-03-02"
    assert faults(base) == [("no-open-hours", expected)]


@pytest.mark.parametrize(
    ("orders", "code", "found"),
    [
        ((order("1"), order("1")), "order-twice", "order 1 is there twice"),
        ((order("1", line(sizes={"M": 0})),), "nothing-to-press", "order 1 has nothing to press"),
        (
            (order("1", replace(line(), prints=())),),
            "nothing-to-press",
            "order 1 has nothing to press",
        ),
        (
            (order("1", line(print_("hem"))),),
            "placement-unknown",
            "order 1: the shop has no placement hem",
        ),
        (
            (order("1", line(fabric="silk")),),
            "recipe-missing",
            "order 1: the shop has no recipe for film on silk",
        ),
    ],
)
def test_order_faults(orders: tuple[Order, ...], code: str, found: str) -> None:
    assert faults(shop(), *orders) == [(code, found)]


def test_no_orders() -> None:
    with pytest.raises(BadInput, match=r"^orders: no orders; expected at least one order"):
        build_day(shop(), (), MONDAY)


def test_all_faults_at_once() -> None:
    base = replace(with_press(shop(), circuit="A"), crew=(person(pace=-1.0),))
    found = faults(base, order("1", line(print_("hem"), print_("knee"))), day=date(2026, 3, 1))
    assert [code for code, _ in found] == [
        "circuit-unknown",
        "pace",
        "day-closed",
        "placement-unknown",
        "placement-unknown",
    ]


def test_every_placement_that_nothing_can_press() -> None:
    base = with_press(shop(), temp_max_c=155)
    base = replace(base, placements=(*base.placements, placement("hem")))
    cell = Source(file="orders.xlsx", sheet="Orders", cell="G7")
    orders = (
        order("1", line(print_("hem"), print_("front"))),
        order("2", line(print_("sleeve", "cold film", source=cell))),
    )
    with pytest.raises(BadInput) as caught:
        build_day(base, orders, MONDAY)
    told = "; expected a press and a platen that can press it. Change artwork, transfer or sizes, "
    told += "or correct what presses, platens and crew can do."
    hot = "no press takes the sleeve platen above 155 °C, the recipe needs 160 °C"
    assert [str(fault) for fault in caught.value.faults] == [
        f"orders.xlsx, Orders!F2: order 1, hem: no platen serves the placement hem{told}",
        f"orders.xlsx, Orders!G7: order 2, sleeve: {hot}{told}",
    ]


def test_the_same_fault_of_one_cell_is_said_once() -> None:
    base = with_platen(with_platen(shop(), "big", placements=()), "double", placements=())
    one = order("1", line(print_("front"), sizes={"M": 3, "Y-S": 3}))
    assert len(faults(base, one)) == 1


def test_a_fault_without_a_cell_still_names_a_place() -> None:
    with pytest.raises(BadInput, match=r"^shop and orders: order 1 is there twice"):
        build_day(shop(), (order("1"), order("1")), MONDAY)
    assert platen("big").source.file == ""


def test_a_plan_needs_a_day() -> None:
    with pytest.raises(ValueError, match="max_days 0"):
        build_day(shop(), (order("1"),), MONDAY, max_days=0)
