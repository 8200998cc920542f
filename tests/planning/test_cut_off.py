"""Runs under way that can't go on: their press goes down, or their person leaves, at the moment itself."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from scheduler.daybook.state import state_at
from scheduler.domain.disruptions import Disruptions, PersonAway, PressDown
from scheduler.domain.idle import off_at_once
from scheduler.domain.plan import Plan
from scheduler.domain.stopping import stops
from scheduler.planning.again import merged, plan_again
from scheduler.planning.rest import plan_rest
from scheduler.sheets.changes import came_in_between
from scheduler.sheets.dayview import sheet_days
from scheduler.sheets.lines import stop_notes
from scheduler.sheets.paper import compare
from scheduler.sheets.run_sheets import sheets_data
from scheduler.verify import check
from tests.planning.shops import person
from tests.planning.test_again import solved
from tests.planning.test_idle import at, day, planned_again
from tests.support.presses_on import follow

AT = at(8, 15)
"""The first run is pressed from 8:10 to 8:18."""


def printed() -> Plan:
    return day(person(), person("Bo"), garments_in=at(9))


def boxes(plan: Plan, old: Plan, side: str) -> dict[str, list[str]]:
    """The STOP boxes of the new sheets, by whose they are."""
    change = compare(old, plan, AT)
    found = {}
    for swap in change.swaps:
        if swap.new is not None and swap.new.side == side:
            days = [one for one in sheet_days(plan, swap.new.side, swap.new.name) if one.day == AT.date()]
            data = sheets_data(plan, days, since=AT)
            found[swap.new.name] = [str(box) for part in data["sections"] for box in part["stops"]]  # type: ignore[attr-defined]
    return found


@pytest.mark.parametrize("back", [None, at(8, 30)])
def test_whoever_leaves_in_the_middle_of_a_run_is_told_to_stop(back: datetime | None) -> None:
    old = printed()
    new = planned_again(old, AT, between=Disruptions(away=(PersonAway(person="Ann", start=AT, end=back),)))
    (run,) = stops(new)
    assert run.id == "1-front"
    rest = next(one for one in new.runs if one.id.startswith("1-front") and one.id != run.id)
    assert 0 < run.content.quantity < 10 and run.content.quantity + rest.content.quantity == 10
    told = f"STOP, run {run.number}: Ann leaves. At Main, finish the piece in hand and press no other."
    (note,) = stop_notes(new)
    assert note.startswith(f"Ann: {told}") and f"run {rest.number} goes on with them at Main, " in note
    # Neither her sheet nor the press's is good any more.
    assert compare(old, new, AT).kept == ()
    assert [box[0].startswith(told) for box in boxes(new, old, "operator").values() if box] == [True]
    assert [box[0].startswith(told) for box in boxes(new, old, "press").values() if box] == [True]
    assert any("Ann leaves" in line for line in came_in_between(old, new))
    follow(new, follow(old))


def test_a_run_whose_press_goes_down_stops_and_the_press_goes_off() -> None:
    old = printed()
    down = Disruptions(down=(PressDown(press="Main", until=at(10)),))
    new = planned_again(old, AT, between=down)
    (run,) = stops(new)
    (note,) = stop_notes(new)
    assert note.startswith(f"Ann: STOP, run {run.number}: Main is down. At Main, press no other.")
    assert "SWITCH MAIN OFF" in note or "switch it off" in note
    assert off_at_once(new) == ["Main"]
    assert compare(old, new, AT).kept == ()
    follow(new, follow(old))
    # Said once: five minutes later nothing stops any more.
    later = planned_again(new, at(8, 20))
    assert stops(later) == [] and off_at_once(later) == []


def test_who_leaves_later_presses_till_then() -> None:
    old = printed()
    gone = PersonAway(person="Ann", start=at(8, 16), end=at(9))
    new = planned_again(old, AT, between=Disruptions(away=(gone,)))
    assert stops(new) == [] and stop_notes(new) == ()
    run = next(one for one in new.runs if one.id == "1-front")
    assert run.end == at(8, 16) and compare(old, new, AT).kept == ()


def test_no_sheet_stays_valid_whose_run_was_cut_off_before_anybody_said_so() -> None:
    """Ann went at 8:14, which is told at 8:20; her sheet and the press's have the whole run."""
    old = printed()
    gone = PersonAway(person="Ann", start=at(8, 14), end=at(9))
    between = Disruptions(away=(gone,))
    told = at(8, 20)
    rest = plan_rest(old, (), state_at(replace(old, between=between), [], told), between=between)
    result = solved(rest.instance, rest.kept)
    whole = check(rest.problem.instance, merged(rest, result.schedule))
    made = plan_again(rest, result, check(rest.instance, result.schedule), whole, (), version=2)
    new = replace(made, at=told)
    run = next(one for one in new.runs if one.id == "1-front")
    assert run.end == at(8, 14) and 0 < run.content.quantity < 10
    change = compare(old, new, told)
    kept = [(one.side, one.name) for one in change.kept if one.day == told.date()]
    assert ("operator", "Ann") not in kept and ("press", "Main") not in kept


@pytest.mark.parametrize("moment", [at(8, 9), at(8, 10), at(8, 12)])
def test_nothing_is_pressed_while_a_run_is_being_set_up(moment: datetime) -> None:
    """Pressed from 8:10 on: whenever it is told that Ann leaves at 8:14, as much is done."""
    old = printed()
    run = next(one for one in old.runs if one.id == "1-front")
    assert run.start < at(8, 9) and run.pressing_start == at(8, 10)
    gone = PersonAway(person="Ann", start=at(8, 14), end=at(9))
    new = planned_again(old, moment, between=Disruptions(away=(gone,)))
    there = next(one for one in new.runs if one.id == "1-front")
    share = (at(8, 14) - run.pressing_start) / (run.end - run.pressing_start)
    assert there.end == at(8, 14) and there.content.quantity == int(10 * share)
    # Before its first piece is pressed nothing of it is done.
    early = PersonAway(person="Ann", start=at(8, 10), end=at(9))
    if moment < at(8, 10):
        none = planned_again(old, moment, between=Disruptions(away=(early,)))
        assert sum(one.content.quantity for one in none.runs if one.id == "1-front") == 0
