"""A day planned again while garments lack something that no run presses: nobody is told that all is well."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta

import pytest

from scheduler.answers.summary import summary
from scheduler.chance.chances import Replays
from scheduler.chance.spread import Spread
from scheduler.daybook.plan_text import PLAN_FORM, plan_of_data, plan_of_text, plan_text
from scheduler.daybook.state import state_at
from scheduler.domain.disruptions import Disruptions
from scheduler.domain.orders import OrderLine
from scheduler.domain.plan import Plan, PlannedOrder, PlannedRun
from scheduler.domain.progress import Event
from scheduler.planning.rest import plan_rest
from scheduler.plans.files import _same
from scheduler.sheets.changes import came_in_between
from scheduler.sheets.day_lists import list_data
from scheduler.sheets.follow import done_at, then_words
from scheduler.sheets.page import day_page
from scheduler.sheets.plan_json import plan_to_data
from scheduler.sheets.summary import facts, summary_data
from scheduler.sheets.sure import sure_lead, sure_rows
from scheduler.workflow.cures import with_cures
from tests.planning.test_again import AT, again, printed, spoiled

__all__ = ["printed"]

WORDS = "3 pieces spoiled or missing, in no plan"
AGAIN = Disruptions(press_again=True)


@pytest.fixture(scope="module")
def run(printed: Plan) -> PlannedRun:
    """A run that is over at `AT`, of an order that is on time and has more runs to come."""
    on_time = {order.id for order in printed.orders if order.finished and not order.late_minutes}
    return next(
        one
        for one in printed.runs
        if one.end < AT
        and one.content.quantity > 5
        and one.content.order in on_time
        and any(other.content.order == one.content.order and other.start > AT for other in printed.runs)
    )


@pytest.fixture(scope="module")
def event(printed: Plan, run: PlannedRun) -> Event:
    return spoiled(printed, run)


@pytest.fixture(scope="module")
def lacking(printed: Plan, event: Event) -> Plan:
    return replace(again(printed, events=(event,)), at=AT)


@pytest.fixture(scope="module")
def mended(printed: Plan, event: Event) -> Plan:
    return replace(again(printed, events=(event,), between=AGAIN), at=AT)


def order_of(plan: Plan, run: PlannedRun) -> PlannedOrder:
    return next(one for one in plan.orders if one.id == run.content.order)


def last_of(plan: Plan, order: PlannedOrder) -> PlannedRun:
    own = [one for one in plan.runs if one.content.order == order.id]
    return max(own, key=lambda one: (done_at(one), one.number))


def test_the_plan_knows_which_order_can_not_be_packed(
    lacking: Plan, mended: Plan, run: PlannedRun, event: Event
) -> None:
    order = order_of(lacking, run)
    assert (order.missing, order.finished) == (3, None)
    assert order.why == f"{WORDS}: pressday replan --press-again plans them"
    assert [one.missing for one in lacking.orders if one.id != order.id] == [0] * (len(lacking.orders) - 1)
    (state,) = [one for one in state_at(lacking, (event,), AT).orders if one.order == order.id]
    assert state.missing == order.missing
    whole = order_of(mended, run)
    assert whole.missing == 0 and whole.finished is not None and "spoiled or missing" not in whole.why


def test_said_again_in_the_next_version_it_is_said_once(lacking: Plan, run: PlannedRun, event: Event) -> None:
    later = again(lacking, at=AT + timedelta(minutes=5), events=(event,))
    assert order_of(later, run).why == order_of(lacking, run).why


def test_terminal_summary_page_and_files_say_what_is_missing(
    lacking: Plan, mended: Plan, run: PlannedRun
) -> None:
    order = order_of(lacking, run)
    lines = summary(lacking)
    at = lines.index("Can't be packed, since no run presses again what is spoiled or missing: 1 order")
    assert lines[at + 1].startswith(f"  {order.id} {order.customer}: {WORDS}")
    assert "pressday replan --press-again" in lines[at + 1]
    assert not any(line == "Late orders: none." for line in lines)
    assert not any("spoiled or missing" in line for line in summary(mended))
    data = summary_data(lacking)
    (row,) = [one for one in data["late"] if one[0] == order.id]  # type: ignore[attr-defined]
    assert row[3] == "not done" and WORDS in row[5]
    assert "1 not done whole" in facts(lacking) and "not done whole" not in facts(mended)
    assert WORDS.encode() in day_page(lacking) and WORDS.encode() not in day_page(mended)
    (told,) = [one for one in plan_to_data(lacking)["orders"] if one["id"] == order.id]
    assert told["finished"] is None and WORDS in told["reason"]


def test_packing_list_and_sheet_don_t_send_an_order_off_that_is_not_whole(
    lacking: Plan, mended: Plan, run: PlannedRun
) -> None:
    order = order_of(lacking, run)

    def row(plan: Plan) -> dict[str, str]:
        every = [one for day in list_data(plan)["dates"] for one in day["packing"]]  # type: ignore[attr-defined]
        return next(one for one in every if one["order"] == order.id)

    assert (row(lacking)["packed"], row(lacking)["spare"]) == ("not whole", "3 pieces missing")
    assert row(mended)["packed"] != "not whole"
    words = then_words(lacking, last_of(lacking, order))
    assert words == f"to packing; order {order.id} is not whole: {WORDS}"
    assert "is complete after this run" in then_words(mended, last_of(mended, order))
    (said,) = [line for line in came_in_between(mended, lacking) if "can't be packed" in line]
    assert said == f"Order {order.id}, {order.customer}, can't be packed: {WORDS}"
    assert not any("can't be packed" in line for line in came_in_between(lacking, lacking))


def test_it_is_not_sure_to_be_on_time(lacking: Plan, run: PlannedRun) -> None:
    whole = replace(lacking, orders=tuple(replace(one, missing=0) for one in lacking.orders))

    def chance(plan: Plan) -> float:
        told = Replays(plan, Spread(), replays=50).told()
        return next(one.on_time.best for one in told.orders if one.id == run.content.order)

    assert chance(lacking) == 0 < chance(whole)
    told = Replays(lacking, Spread(), replays=50).told()
    assert f"{run.content.order} with 3 pieces missing" in sure_lead(told)
    (row,) = [one for one in sure_rows(lacking.day, told) if one[0] == run.content.order]
    assert row[-1] == WORDS and row[5] == "not whole"


def test_no_help_is_looked_for_where_pressing_again_is_the_help(lacking: Plan, run: PlannedRun) -> None:
    late = [one for one in lacking.orders if one.late_minutes]
    alone = replace(lacking, orders=tuple(one for one in lacking.orders if one not in late))

    def never(_: frozenset[str]):
        raise AssertionError("no search is asked for")

    assert with_cures(alone, never, None) is alone  # type: ignore[arg-type]


def test_it_is_another_plan_and_is_kept_as_that(lacking: Plan) -> None:
    as_before = replace(
        lacking, orders=tuple(replace(one, missing=0, finished=one.cut_off) for one in lacking.orders)
    )
    assert not _same(lacking, as_before) and _same(lacking, lacking)
    assert plan_of_text(plan_text(lacking), PLAN_FORM) == lacking
    older = json.loads(plan_text(lacking))
    for one in older["orders"]:
        del one["missing"]
    assert {one.missing for one in plan_of_data(older, 5).orders} == {0}


def test_an_order_that_is_late_as_well_says_both(printed: Plan, run: PlannedRun, event: Event) -> None:
    given = tuple(
        replace(one, cut_off=AT + timedelta(minutes=1)) if one.id == run.content.order else one
        for one in printed.given
    )
    order = order_of(again(replace(printed, given=given), events=(event,)), run)
    assert order.late_minutes > 0 and order.missing == 3
    first, second = order.why.split("; ", 1)
    assert first.startswith(WORDS) and second == order.reason


@pytest.mark.parametrize("asked", [False, True])
def test_what_nobody_wants_any_more_is_not_missing(printed: Plan, asked: bool) -> None:
    """Three of one size weren't done, and in the same moment the customer takes three fewer of it."""
    run = next(
        one
        for one in printed.runs
        if one.end < AT
        and sum(other.content.order == one.content.order for other in printed.runs) == 1
        and any(pieces.quantity > 5 for pieces in one.content.pieces)
    )
    kind = next(one for one in run.content.pieces if one.quantity > 5)
    event = replace(spoiled(printed, run), spoiled=0, data="")
    order = next(one for one in printed.given if one.id == run.content.order)

    def fewer(line: OrderLine) -> OrderLine:
        own = (line.garment, line.colour) == (kind.garment, kind.colour)
        sizes = tuple(
            replace(one, quantity=one.quantity - 3) if own and one.size == kind.size else one
            for one in line.sizes
        )
        return replace(line, sizes=sizes)

    changed = replace(order, lines=tuple(fewer(line) for line in order.lines))
    assert changed != order
    between = Disruptions(press_again=asked)
    rest = plan_rest(printed, (), state_at(printed, (event,), AT), between=between, changed=(changed,))
    assert (rest.missing.get(order.id, 0), rest.problem.parts) == (0, ())
    # Without the change they are missing, or pressed again.
    as_it_was = plan_rest(printed, (), state_at(printed, (event,), AT), between=between)
    assert bool(as_it_was.missing.get(order.id, 0)) is not asked
    assert sum(part.pieces for part in as_it_was.problem.parts) == (3 if asked else 0)
