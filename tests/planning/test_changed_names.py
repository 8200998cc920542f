"""Names and numbers on pieces of orders that are changed after the day was planned."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from scheduler.daybook.state import state_at
from scheduler.domain.disruptions import OrderChange
from scheduler.domain.orders import Named, Order, Sized
from scheduler.domain.plan import Plan
from scheduler.engine.solve import solve
from scheduler.planning import assemble_plan
from scheduler.planning.again import merged, plan_again
from scheduler.planning.build import build_day
from scheduler.planning.changed import as_it_is, same_order
from scheduler.planning.fewer import with_fewer
from scheduler.planning.rest import plan_rest
from scheduler.verify import check
from tests.planning.shops import MONDAY, line, print_, shop
from tests.planning.shops import order as an_order

TEAM = tuple(
    Named(size=size, name=name, number=number, placement="back")
    for size, name, number in (("M", "Anna", "9"), ("M", "Bo", "7"), ("L", "Cleo", "4"), ("L", "Dan", "1"))
)
EARLY = datetime.combine(MONDAY, datetime.min.time()) + timedelta(hours=6)


def team(*names: Named, **sizes: int) -> Order:
    """Order 5001, names on the back: a piece for each name unless said, and 40 in S without."""
    counts = {**dict(Counter(one.size for one in names)), **sizes, "S": 40}
    garments = line(print_("front"), print_("back"), sizes=counts, names=names)
    return replace(an_order("5001", garments), id="5001", customer="Team")


def planned(*orders: Order) -> Plan:
    problem = build_day(shop(), orders, MONDAY)
    result = solve(problem.instance, effort="quick", seconds=0.0)
    assert result.schedule is not None
    return assemble_plan(problem, result, check(problem.instance, result.schedule), ())


def again(plan: Plan, *changed: Order, at: datetime) -> Plan:
    rest = plan_rest(plan, (), state_at(plan, (), at), changed=changed)
    result = solve(rest.instance, effort="quick", seconds=0.0, near=rest.kept)
    assert result.schedule is not None
    verdict = check(rest.instance, result.schedule)
    assert verdict.passed
    whole = check(rest.problem.instance, merged(rest, result.schedule))
    return replace(plan_again(rest, result, verdict, whole, (), version=plan.version + 1), at=at)


def named(plan: Plan, order: str = "5001", placement: str = "back") -> list[str]:
    """The names that are pressed for an order."""
    return [
        f"{one.size} {one.name} {one.number}"
        for run in plan.runs
        if run.content.order == order and placement in run.content.placements
        for one in run.content.names
    ]


def pieces(plan: Plan, order: str, placement: str = "back") -> int:
    return sum(
        run.content.quantity
        for run in plan.runs
        if run.content.order == order and placement in run.content.placements
    )


def begins(plan: Plan, placement: str) -> datetime:
    return next(run.pressing_start for run in plan.runs if placement in run.content.placements)


def on_top(plan: Plan) -> Order:
    (order,) = [one for one in plan.given if one.on_top_of]
    return order


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Fronts first, then backs."""
    return planned(team(*TEAM))


ANNIKA = (Named(size="M", name="Annika", number="99", placement="back"), *TEAM[1:])
EVE = Named(size="L", name="Eve", number="13", placement="back")


def test_another_name_makes_another_order_and_another_turn_does_not() -> None:
    assert not same_order(team(*TEAM), team(*ANNIKA))
    assert same_order(team(*TEAM), team(*TEAM[::-1], M=2, L=2))


@pytest.mark.parametrize("begun", [False, True])
def test_a_name_is_corrected_in_its_place_as_long_as_it_is_not_begun(plan: Plan, begun: bool) -> None:
    new = again(plan, team(*ANNIKA), at=begins(plan, "front") if begun else EARLY)
    assert named(new) == ["M Annika 99", "M Bo 7", "L Cleo 4", "L Dan 1"]
    assert new.fingerprint != plan.fingerprint
    assert [one.id for one in new.given] == ["5001"] and not new.between.fewer
    assert as_it_is(new, "5001").lines[0].names == ANNIKA


def test_a_name_that_is_begun_is_pressed_and_the_right_one_on_a_further_piece(plan: Plan) -> None:
    at = begins(plan, "back")
    new = again(plan, team(*ANNIKA), at=at)
    assert named(new) == named(plan)
    more = on_top(new)
    assert (named(new, more.id), pieces(new, more.id), pieces(new, more.id, "front")) == (
        ["M Annika 99"],
        1,
        1,
    )
    assert pieces(new, "5001") == 44
    (change,) = new.between.fewer
    assert [one.name for line in change.unwanted for one in line.names] == ["Anna"]
    assert same_order(as_it_is(new, "5001"), team(*ANNIKA)), "said again it is as it is"
    once_more = again(new, team(*ANNIKA, EVE), at=at + timedelta(minutes=1))
    assert [one.on_top_of for one in once_more.given] == ["", "5001", "5001"]
    assert named(once_more, once_more.given[2].id) == ["L Eve 13"]


@pytest.mark.parametrize("placement", ["front", "back"])
def test_a_further_piece_has_its_name(plan: Plan, placement: str) -> None:
    new = again(plan, team(*TEAM, EVE), at=begins(plan, placement))
    assert named(new) == named(plan)
    assert named(new, on_top(new).id) == ["L Eve 13"]
    assert on_top(new).quantity == 1


def test_a_piece_that_goes_takes_its_name_along(plan: Plan) -> None:
    new = again(plan, team(TEAM[0], *TEAM[2:]), at=begins(plan, "front"))
    assert named(new) == ["M Anna 9", "L Cleo 4", "L Dan 1"]
    assert (pieces(new, "5001"), pieces(new, "5001", "front")) == (43, 44)
    assert same_order(as_it_is(new, "5001"), team(TEAM[0], *TEAM[2:]))
    back = again(new, team(*TEAM), at=begins(plan, "front") + timedelta(minutes=1))
    assert (named(back), named(back, on_top(back).id)) == (named(new), ["M Bo 7"])


def test_a_name_that_came_on_top_is_corrected_there(plan: Plan) -> None:
    at = begins(plan, "back")
    more = again(plan, team(*TEAM, EVE), at=at)
    new = again(more, team(*TEAM, replace(EVE, number="3")), at=at + timedelta(minutes=1))
    assert named(new, on_top(new).id) == ["L Eve 3"]
    none = again(new, team(*TEAM), at=at + timedelta(minutes=2))
    assert [one.id for one in none.given] == ["5001"] and not none.between.fewer


def test_pieces_without_a_name_get_one_where_nothing_of_it_is_begun(plan: Plan) -> None:
    bare = planned(team(M=2, L=2))
    new = again(bare, team(*TEAM), at=begins(bare, "front"))
    assert sorted(named(new)) == sorted(named(plan)) and not [one for one in new.given if one.on_top_of]
    late = again(bare, team(*TEAM), at=begins(bare, "back"))
    assert sorted(named(late, on_top(late).id)) == sorted(named(plan))


def test_names_and_pieces_of_lots_stay_together() -> None:
    lots = shop()
    lots = replace(lots, allowances=replace(lots.allowances, lot_above_min=20.0))
    squad = tuple(Named(size="M", name=f"P{n}", number=str(n), placement="back") for n in range(60))
    garments = line(print_("back"), sizes={"M": 60}, names=squad)
    order = replace(an_order("5001", garments), id="5001")
    problem = build_day(lots, (order,), MONDAY)
    runs = ("5001-back lot 1 of 2", "5001-back lot 2 of 2")
    left = replace(garments, sizes=(Sized(size="M", quantity=58),), names=(*squad[2:],))
    less = with_fewer(problem, [OrderChange(order=replace(order, lines=(left,)), begun=())])
    contents = [less.contents[run] for run in runs]
    assert [content.quantity for content in contents] == [30, 28]
    assert [len(content.names) for content in contents] == [30, 28]
    assert {one.name for content in contents for one in content.names} == {one.name for one in squad[2:]}


def test_fewer_and_then_fewer_still() -> None:
    """What fell away the first time doesn't come back the second."""
    plan = planned(team(*TEAM))
    at = begins(plan, "front")
    fewer = again(plan, team(*TEAM[:3]), at=at)
    new = again(fewer, team(*TEAM[:2]), at=at + timedelta(minutes=1))
    assert (named(new), pieces(new, "5001")) == (["M Anna 9", "M Bo 7"], 42)
    assert as_it_is(new, "5001").quantity == 42
