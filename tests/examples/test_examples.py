"""The example workbooks: read without a doubt, as large as promised, tight but plannable."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from example_orders.make_examples import HERE, make, orders_in, scenarios
from example_orders.shop_data import DAY, example_shop
from scheduler.domain.day_problem import DayProblem
from scheduler.domain.orders import Order
from scheduler.domain.schedule import Verdict
from scheduler.domain.shop import NOWHERE, Peel, Shop
from scheduler.engine.backend import plain
from scheduler.engine.baseline import as_they_come, as_they_come_line
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.local_search import Chain
from scheduler.intake import scan_orders, scan_shop
from scheduler.planning.build import build_day
from scheduler.planning.merge import merge_sizes
from scheduler.planning.placements import split_order
from scheduler.verify.check import check

BOOKS = tuple(scenarios())


def bare(thing: Any) -> Any:
    """The same thing with no sources in it, at any depth."""
    if isinstance(thing, tuple):
        return tuple(bare(part) for part in thing)
    if is_dataclass(thing) and not isinstance(thing, type):
        return replace(
            thing,
            **{
                one.name: NOWHERE if one.name == "source" else bare(getattr(thing, one.name))
                for one in fields(thing)
            },
        )
    return thing


@cache
def read_shop() -> Shop:
    shop, found = scan_shop(HERE / "shop.xlsx")
    assert found == ()
    assert shop is not None
    return shop


@cache
def read(name: str) -> tuple[Order, ...]:
    orders, found = scan_orders([HERE / name], read_shop(), DAY)
    assert found == ()
    return orders


@cache
def problem(name: str) -> DayProblem:
    return build_day(read_shop(), read(name), DAY)


def late_minutes(name: str, verdict: Verdict) -> float:
    return sum(verdict.late_ticks.values()) * problem(name).instance.tick_s / 60


def late_orders(verdict: Verdict) -> list[str]:
    return [job for job, ticks in verdict.late_ticks.items() if ticks > 0]


def runs(name: str) -> int:
    opens = datetime.combine(DAY, read_shop().hours[DAY.weekday()].open)
    return sum(len(merge_sizes(read_shop(), split_order(read_shop(), order, opens))) for order in read(name))


def garments(name: str) -> int:
    return sum(order.quantity for order in read(name))


def test_the_planned_day_is_a_tuesday_of_its_own() -> None:
    assert f"{DAY:%A %Y-%m-%d}" == "Tuesday 2027-03-09"
    assert all(order.cut_off.date() >= DAY for name in BOOKS for order in read(name))


def test_the_shop_reads_back_as_it_was_stated() -> None:
    assert bare(read_shop()) == bare(example_shop())


@pytest.mark.parametrize("name", BOOKS)
def test_orders_read_back_as_they_were_stated(name: str) -> None:
    assert bare(read(name)) == bare(orders_in(name))


@pytest.mark.parametrize(
    ("name", "in_orders", "in_garments", "in_runs"),
    [
        ("orders.xlsx", range(36, 45), range(850, 1000), range(75, 86)),
        ("rush.xlsx", range(1, 3), range(10, 30), range(2, 8)),
        ("small.xlsx", range(3, 7), range(50, 100), range(8, 11)),
        ("peak.xlsx", range(100, 150), range(2000, 3000), range(240, 261)),
    ],
)
def test_sizes_are_as_promised(name: str, in_orders: range, in_garments: range, in_runs: range) -> None:
    assert len(read(name)) in in_orders
    assert garments(name) in in_garments
    assert runs(name) in in_runs


@pytest.mark.parametrize("name", BOOKS)
def test_the_readme_states_the_sizes(name: str) -> None:
    row = f"| `{name}` | {len(read(name))} | {garments(name)} | {runs(name)} |"
    assert row in (HERE / "README.md").read_text(encoding="utf-8")


def test_the_shop_is_as_promised() -> None:
    shop = read_shop()
    assert (len(shop.presses), len(shop.platens), len(shop.crew), len(shop.couriers)) == (6, 9, 4, 3)
    assert len({(one.start, one.end) for person in shop.crew for one in person.hours.values()}) == 4
    assert len({courier.cut_offs[DAY.weekday()] for courier in shop.couriers}) == 3
    assert sum(platen.takes_two for platen in shop.platens) == 2
    assert any(press.self_opening and press.on_stand and press.platen_cover for press in shop.presses)


def test_some_circuit_can_not_heat_all_its_presses_at_once() -> None:
    shop = read_shop()
    drawn = {
        circuit.name: sum(press.watts for press in shop.presses if press.circuit == circuit.name)
        for circuit in shop.circuits
    }
    assert sum(drawn[circuit.name] > circuit.limit_w for circuit in shop.circuits) == 2


def _prints(orders: tuple[Order, ...]) -> list[tuple[str, str, str]]:
    return [
        (one.placement, one.transfer, line.fabric)
        for order in orders
        for line in order.lines
        for one in line.prints
    ]


HOLDS: dict[str, Callable[[tuple[Order, ...]], bool]] = {
    "youth and adult sizes in one line": lambda orders: any(
        {"youth", "adult"} <= {read_shop().size_groups[sized.size] for sized in line.sizes}
        for order in orders
        for line in order.lines
    ),
    "caps": lambda orders: any(place == "cap front" for place, _, _ in _prints(orders)),
    "bags": lambda orders: any(place == "bag front" for place, _, _ in _prints(orders)),
    "neck labels": lambda orders: any(place == "neck label" for place, _, _ in _prints(orders)),
    "sleeves": lambda orders: any("sleeve" in place for place, _, _ in _prints(orders)),
    "something that must come first": lambda orders: any(
        {"front panel", "badge on panel"} <= {one.placement for one in line.prints}
        for order in orders
        for line in order.lines
    ),
    "a cold peel with cooling": lambda orders: any(
        recipe.peel is Peel.COLD and recipe.cooling_s > 0
        for _, transfer, fabric in _prints(orders)
        if (recipe := read_shop().recipe(transfer, fabric)) is not None
    ),
    "a box at ten": lambda orders: any(
        line.garments_in is not None and line.garments_in.hour == 10
        for order in orders
        for line in order.lines
    ),
    "transfers at eleven": lambda orders: any(
        one.transfers_in is not None and one.transfers_in.hour == 11
        for order in orders
        for line in order.lines
        for one in line.prints
    ),
    "three weights": lambda orders: {order.weight for order in orders} == {1, 3, 10},
    "all three couriers": lambda orders: (
        len({order.cut_off for order in orders if order.cut_off.date() == DAY}) == 3
    ),
    "Polish, Greek, Cyrillic and Japanese names": lambda orders: all(
        any(letter in order.customer for order in orders) for letter in "ąΓПあ"
    ),
    "pairs": lambda orders: len(problem("orders.xlsx").instance.choices) >= 4,
}


@pytest.mark.parametrize("what", HOLDS)
def test_the_day_holds(what: str) -> None:
    assert HOLDS[what](read("orders.xlsx"))


@pytest.mark.parametrize("name", BOOKS)
def test_as_they_come_passes_the_check(name: str) -> None:
    verdict = check(problem(name).instance, as_they_come(problem(name).instance))
    assert verdict.breaks == ()
    assert verdict.values["left_over"] == 0


def test_the_rush_can_be_planned_with_the_day() -> None:
    both = build_day(read_shop(), read("orders.xlsx") + read("rush.xlsx"), DAY)
    assert len(both.instance.jobs) == len(read("orders.xlsx")) + len(read("rush.xlsx"))
    opens = datetime.combine(DAY, read_shop().hours[DAY.weekday()].open)
    arrivals = [line.garments_in for order in read("rush.xlsx") for line in order.lines if line.garments_in]
    assert arrivals and all(opens < at < order.cut_off for order in read("rush.xlsx") for at in arrivals)


@pytest.mark.parametrize("name", ["rush.xlsx", "small.xlsx"])
def test_small_books_are_on_time_even_as_they_come(name: str) -> None:
    verdict = check(problem(name).instance, as_they_come(problem(name).instance))
    assert late_orders(verdict) == []


def test_the_day_taken_as_it_comes_is_clearly_late() -> None:
    name = "orders.xlsx"
    verdict = check(problem(name).instance, as_they_come(problem(name).instance))
    assert len(late_orders(verdict)) >= 3
    assert late_minutes(name, verdict) >= 60


def test_a_short_search_is_less_late_than_as_they_come() -> None:
    name = "orders.xlsx"
    instance = problem(name).instance
    before = check(instance, as_they_come(instance))
    flattened = flatten(instance)
    chain = Chain(flattened, as_they_come_line(flattened), seed=2, backend=plain())
    late = instance.levels.index("lateness")
    # At most 6000 moves; a few hundred are enough as a rule.
    for _ in range(12):
        chain.run(500)
        if chain.cost[late] < before.values["lateness"]:
            break
    after = check(instance, to_schedule(flattened, chain.best.tasks, chain.best.options))
    assert after.breaks == ()
    assert after.values["left_over"] == 0
    assert late_minutes(name, after) < late_minutes(name, before)


def test_the_workbooks_are_what_the_script_makes(tmp_path: Path) -> None:
    # When this fails after a change of the layout: write them anew, `python -m example_orders.make_examples`.
    made = make(tmp_path)
    assert sorted(path.name for path in made) == sorted(path.name for path in HERE.glob("*.xlsx"))
    for path in made:
        assert _cells(path) == _cells(HERE / path.name), path.name


def test_made_twice_the_workbooks_are_the_same_to_the_byte(tmp_path: Path) -> None:
    (tmp_path / "again").mkdir()
    for first, second in zip(make(tmp_path), make(tmp_path / "again"), strict=True):
        assert first.read_bytes() == second.read_bytes(), first.name


def _cells(path: Path) -> dict[tuple[str, str], object]:
    book = load_workbook(path)
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }
