"""A day planned again: what is begun stays, what is new comes in, and what is printed hardly moves."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from scheduler.answers.progress import standing_lines
from scheduler.daybook.entries import entries_of, faults_of
from scheduler.daybook.facts import spoiled_data
from scheduler.daybook.plan_text import PLAN_FORM, plan_of_data, plan_text
from scheduler.daybook.state import state_at
from scheduler.domain.clock import clock
from scheduler.domain.day_state import RunStatus
from scheduler.domain.disruptions import (
    NOTHING,
    BoxLate,
    Disruptions,
    PartKind,
    PersonAway,
    PressDown,
    RunPart,
)
from scheduler.domain.faults import Source
from scheduler.domain.idle import NOTICE_MIN
from scheduler.domain.pieces import SIZE_AS_SPOILED, Pieces, same_kind
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.progress import Event, EventKind, RunLine
from scheduler.domain.schedule import LevelValue, Status
from scheduler.engine.baseline import as_they_come
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.insert import _places, inserted
from scheduler.engine.line import line_cost, line_of
from scheduler.engine.local_search import Line
from scheduler.engine.solve import solve
from scheduler.exceptions import BadInput, BrokenPlan
from scheduler.planning import assemble_plan
from scheduler.planning.again import merged, plan_again
from scheduler.planning.asked import doubts_of_asked, doubts_of_stopped
from scheduler.planning.build import build_day
from scheduler.planning.counted import check_pieces
from scheduler.planning.differences import Kind, differences
from scheduler.planning.lot_numbers import lot_numbers
from scheduler.planning.rest import Rest, plan_rest
from scheduler.sheets.day_lists import list_data
from scheduler.sheets.dayview import Stretch, place, sheet_days
from scheduler.sheets.follow import then_words
from scheduler.sheets.lines import notes
from scheduler.sheets.pull import garments
from scheduler.sheets.replaced import garments_from, replaced_words, source_words
from scheduler.sheets.run_sheets import section
from scheduler.sheets.summary import search_words
from scheduler.sheets.under_way import lot_words, shown_pieces, stopped_words
from scheduler.verify import check
from tests.examples.test_examples import DAY, read, read_shop


def solved(instance, near=None):
    return solve(instance, effort="quick", seconds=0.0, near=near)


@pytest.fixture(scope="module")
def printed() -> Plan:
    problem = build_day(read_shop(), read("orders.xlsx"), DAY)
    result = solved(problem.instance)
    levels = tuple(
        LevelValue(name=name, value=value)
        for name, value in check(problem.instance, as_they_come(problem.instance)).values.items()
    )
    return assemble_plan(problem, result, check(problem.instance, result.schedule), levels)


AT = datetime.combine(DAY, datetime.min.time()) + timedelta(hours=9, minutes=40)
DAY_START = datetime.combine(DAY, datetime.min.time())
FROM = AT + timedelta(minutes=NOTICE_MIN)


def rest_with(printed: Plan, orders=(), at: datetime = AT, between=NOTHING, events=()):
    return plan_rest(printed, tuple(orders), state_at(printed, events, at), between=between)


def again(printed: Plan, orders=(), at: datetime = AT, between=NOTHING, events=()) -> Plan:
    return planned_of(rest_with(printed, orders, at, between, events), printed)


def planned_of(rest: Rest, printed: Plan) -> Plan:
    result = solved(rest.instance, rest.kept)
    verdict = check(rest.instance, result.schedule)
    assert verdict.passed
    whole = check(rest.problem.instance, merged(rest, result.schedule))
    return plan_again(rest, result, verdict, whole, printed.as_they_come, version=2)


def test_planned_again_without_a_change_nothing_moves(printed: Plan) -> None:
    rest = rest_with(printed)
    flattened = flatten(rest.instance)
    line = inserted(flattened, rest.kept)
    moved = rest.instance.levels.index("moved")
    assert line_cost(flattened, line)[moved] == 0
    later = [one for one in differences(printed, again(printed)) if one.kind is not Kind.EARLIER]
    assert later == []


def test_what_is_begun_or_begins_within_the_notice_is_as_it_was(printed: Plan) -> None:
    new = again(printed, read("rush.xlsx"))
    was = {run.id: run for run in printed.runs}
    for run in new.runs:
        if run.id in was and was[run.id].start < FROM:
            assert (run.start, run.end, run.press, run.operator, run.number) == (
                was[run.id].start,
                was[run.id].end,
                was[run.id].press,
                was[run.id].operator,
                was[run.id].number,
            )
        else:
            assert run.start >= FROM


def test_the_new_orders_are_in_and_the_whole_day_passes_the_check(printed: Plan) -> None:
    orders = read("rush.xlsx")
    new = again(printed, orders)
    assert check(new.instance, new.schedule).passed
    assert {order.id for order in orders} <= {order.id for order in new.orders}
    found = differences(printed, new)
    assert {new.given[0].id, *(one.id for one in orders)} <= {order.id for order in new.given}
    fresh = [one for one in found if one.kind is Kind.NEW]
    assert fresh and all(one.after is not None and one.after.number > len(printed.runs) for one in fresh)
    assert {person for one in found for person in one.people} <= {person.name for person in new.shop.crew}


def test_inserting_costs_no_more_than_putting_the_new_orders_last(printed: Plan) -> None:
    rest = rest_with(printed, read("rush.xlsx"))
    flattened = flatten(rest.instance)
    best = line_cost(flattened, inserted(flattened, rest.kept))
    last = line_cost(flattened, inserted(flattened, rest.kept, over=lambda: True))
    assert best <= last
    schedule = to_schedule(
        flattened, *(getattr(inserted(flattened, rest.kept), name) for name in ("tasks", "options"))
    )
    assert check(rest.instance, schedule).passed


def test_a_new_run_goes_where_it_costs_least_of_all_places_tried(printed: Plan) -> None:
    rest = rest_with(printed)
    flattened = flatten(rest.instance)
    number = {task: k for k, task in enumerate(flattened.tasks)}
    for missing in (rest.kept.tasks[3], rest.kept.tasks[-1]):
        kept = replace(rest.kept, tasks=tuple(done for done in rest.kept.tasks if done != missing))
        task = number[missing.task]
        without = line_of(flattened, kept)
        costs = [
            line_cost(
                flattened,
                Line(
                    (*without.tasks[:at], task, *without.tasks[at:]),
                    (*without.options[:at], option, *without.options[at:]),
                ),
            )
            for option, at in _places(flattened, without, task, last_only=False)
        ]
        assert line_cost(flattened, inserted(flattened, kept)) == min(costs) < max(costs)


def test_an_order_that_is_planned_already_is_refused(printed: Plan) -> None:
    with pytest.raises(BadInput, match="which the plan has already"):
        rest_with(printed, printed.given[:1])


def test_after_the_last_day_nothing_can_be_planned(printed: Plan) -> None:
    with pytest.raises(BadInput, match="the last planned day is over"):
        rest_with(printed, (), AT + timedelta(days=len(printed.dates) + 4))


def test_differences_name_the_kind_that_counts_most(printed: Plan) -> None:
    first, second = printed.runs[0], printed.runs[1]
    other = next(run.operator for run in printed.runs if run.operator != first.operator)
    changed = replace(
        printed,
        runs=(
            replace(first, operator=other),
            replace(second, pressing_start=second.pressing_start + timedelta(minutes=7)),
            *printed.runs[3:],
        ),
    )
    found = {one.run: one for one in differences(printed, changed)}
    assert found[first.id].kind is Kind.OTHER_PLACE
    assert found[first.id].people == (first.operator, other)
    assert found[second.id].kind is Kind.LATER and found[second.id].minutes == 7
    assert found[printed.runs[2].id].kind is Kind.DROPPED
    assert differences(printed, printed) == ()


def under_way(printed: Plan):
    """A run in the middle of which a moment lies, and that moment."""
    run = next(run for run in printed.runs if run.content.quantity >= 12 and run.start.hour >= 9)
    return run, run.pressing_start + (run.end - run.pressing_start) / 2


def pieces_of(plan: Plan, order: str) -> int:
    """Pieces x placements of an order in a plan."""
    return sum(
        run.content.quantity * len(run.content.laid) for run in plan.runs if run.content.order == order
    )


def test_a_run_at_a_press_that_goes_down_is_cut_off_and_its_rest_pressed_elsewhere(printed: Plan) -> None:
    run, at = under_way(printed)
    until = at + timedelta(hours=2)
    new = again(printed, at=at, between=Disruptions(down=(PressDown(press=run.press, until=until),)))
    begun, rest = (next(one for one in new.runs if one.id == name) for name in (run.id, f"{run.id} rest"))
    assert begun.start == run.start and begun.end <= at + timedelta(minutes=1)
    assert begun.content.quantity + rest.content.quantity == run.content.quantity
    assert rest.start >= at and (rest.press != run.press or rest.start >= until)
    for one in new.runs:
        if one.press == run.press and one.id != run.id and one.end > at:
            assert one.start >= until
    assert pieces_of(new, run.content.order) == pieces_of(printed, run.content.order)


@pytest.mark.parametrize("pressed", [0, 1])
def test_a_run_cut_off_at_its_first_piece_counts_that_piece_once(printed: Plan, pressed: int) -> None:
    run, _ = under_way(printed)
    each = (run.end - run.pressing_start) / run.content.quantity
    at = run.pressing_start + each * (pressed + 0.5)
    new = again(printed, at=at, between=Disruptions(down=(PressDown(press=run.press),)))
    there = {one.id: one for one in new.runs}
    assert there[run.id].content.quantity == pressed
    assert there[f"{run.id} rest"].content.quantity == run.content.quantity - pressed
    assert pieces_of(new, run.content.order) == pieces_of(printed, run.content.order)
    # The day after that counts on: nothing of the run that was stopped is owed.
    state = state_at(new, (), at + timedelta(minutes=30))
    assert state.of_run(run.id).owed == 0 and state.of_run(run.id).remaining == 0


def counted_at(plan: Plan, run: PlannedRun, at: datetime, pieces: int) -> Event:
    return Event(
        id=f"count {pieces}",
        day=plan.day,
        version=plan.version,
        kind=EventKind.PIECES,
        run=run.id,
        at=at,
        pieces=pieces,
        entered=at,
        number=1,
    )


def test_what_nobody_counted_when_a_run_was_stopped_is_said_as_about(printed: Plan) -> None:
    """And how to enter a count; what was counted just then is a fact."""
    run, at = under_way(printed)
    at = at.replace(second=0)
    down = Disruptions(down=(PressDown(press=run.press),))
    rest = rest_with(printed, at=at, between=down)
    (doubt,) = doubts_of_stopped(printed, state_at(printed, (), at), rest.problem.parts, rest.moment.begun)
    assert doubt.source.file == f"run {run.number}" and doubt.found.startswith("about ")
    assert f"pressday done {run.number} --pieces N --at {at:%H:%M}" in doubt.mend
    new = again(printed, at=at, between=down)
    there = {one.id: one for one in new.runs}
    words = stopped_words(new, run, there[run.id])
    assert f"after about {there[run.id].content.quantity} of {run.content.quantity} (by the planned" in words
    left = there[f"{run.id} rest"]
    assert lot_words(new, left) == "the rest, not counted"
    assert f"About {left.content.quantity} pieces, by the planned pace: count them" in notes(new, left)[0]

    event = counted_at(printed, run, at, 5)
    rest = rest_with(printed, at=at, between=down, events=(event,))
    assert (
        doubts_of_stopped(printed, state_at(printed, (event,), at), rest.problem.parts, rest.moment.begun)
        == []
    )
    told = again(printed, at=at, between=down, events=(event,))
    there = {one.id: one for one in told.runs}
    assert "after 5 of" in stopped_words(told, run, there[run.id])
    assert lot_words(told, there[f"{run.id} rest"]) == "the rest"


def test_nothing_is_pressed_in_a_break_before_a_run_is_stopped(printed: Plan) -> None:
    """Screen, sheet and `pressday progress` say the same number by then."""
    run = next(run for run in printed.runs if run.pauses and run.start < run.pauses[0][0])
    first, last = run.pauses[0]
    at, stop = first - timedelta(minutes=1), last + timedelta(minutes=2)
    away = Disruptions(away=(PersonAway(person=run.operator, start=stop),))
    rest = rest_with(printed, at=at, between=away)
    before, by_then = (state_at(printed, (), when).of_run(run.id) for when in (at, stop))
    done = next(part.done for part in rest.problem.parts if part.run == run.id)
    each = (run.end - run.pressing_start - (last - first)) / run.content.quantity
    # Of both numbers only whole pieces are told.
    assert abs(done - by_then.good) <= 1 and (done - before.good) * each <= timedelta(minutes=3) + each


def test_who_had_gone_before_it_was_said_has_left_the_rest_of_a_run_to_be_pressed(printed: Plan) -> None:
    """A run ends where its person went, and nobody pressed what was missing then: not counted as done."""
    run = next(one for one in printed.runs if one.end - one.start > timedelta(minutes=12) and one.start > AT)
    left = run.end.replace(second=0, microsecond=0) - timedelta(minutes=5)
    between = Disruptions(away=(PersonAway(person=run.operator, start=left),))
    at = run.end + timedelta(minutes=30)
    count = counted_at(printed, run, left, 3)
    state = state_at(replace(printed, between=between), (count,), at)
    rest = plan_rest(printed, (), state, between=between)
    (part,) = [one for one in rest.problem.parts if one.run == run.id]
    assert (part.done, part.pieces, part.assumed) == (3, run.content.quantity - 3, False)
    (begun,) = [one for one in rest.moment.begun if one.task == run.id]
    assert DAY_START + timedelta(seconds=begun.end * printed.instance.tick_s) == left
    new = planned_of(rest, printed)
    today = [one for one in new.runs if one.start >= left and one.start.date() == DAY]
    assert all(one.operator != run.operator for one in today)
    stopped = state_at(new, (count,), at).of_run(run.id)
    assert (stopped.status, stopped.good, stopped.assumed) == (RunStatus.FINISHED, 3, False)
    assert sum(one.content.quantity for one in new.runs if one.id.startswith(run.id)) == run.content.quantity


def test_who_is_said_to_have_gone_at_the_end_of_the_shift_is_not_doubted_with_a_run_not_done(
    printed: Plan,
) -> None:
    """By a count the last run of a shift goes on beyond it; going home then is no slip of the pen."""
    run = max((one for one in printed.runs if one.start.date() == DAY), key=lambda one: one.end)
    person = next(one for one in printed.instance.operators if one.id == run.operator)
    ticks = max(one.overtime_end for one in person.shifts if one.start * printed.instance.tick_s < 86400)
    home = DAY_START + timedelta(seconds=ticks * printed.instance.tick_s)
    between = Disruptions(away=(PersonAway(person=run.operator, start=home),))
    at, gone = home + timedelta(minutes=5), replace(printed, between=between)
    assert [one.code for one in doubts_of_asked(printed, state_at(gone, (), at), between)] == [
        "away-when-not-in"
    ]
    begun = replace(counted_at(printed, run, home - timedelta(minutes=2), 0), pieces=0)
    state = state_at(gone, (begun,), at)
    assert state.of_run(run.id).status is RunStatus.UNDER_WAY
    assert doubts_of_asked(printed, state, between) == []


def test_a_break_is_said_only_as_far_as_its_person_is_there(printed: Plan) -> None:
    """Who goes in the middle of a break has nothing to go on with afterwards, and no break while away."""
    run = next(run for run in printed.runs if run.pauses and run.start < run.pauses[0][0])
    (first, last), who = run.pauses[0], run.operator
    left = first + timedelta(minutes=5)
    away = PersonAway(person=who, start=left, end=last + timedelta(hours=1))
    new = again(printed, at=first - timedelta(minutes=1), between=Disruptions(away=(away,)))
    (stopped,) = [one for one in new.runs if one.id == run.id]
    assert (stopped.end, stopped.pauses) == (left, ((first, left),))
    (said,) = [note for note in notes(new, stopped) if note.startswith("BREAK")]
    assert said == f"BREAK {clock(first)}–{clock(left)} falls in this run: stop."
    sheet = next(one for one in sheet_days(new, "operator", who) if one.day == DAY)
    assert f" · breaks {clock(first)}–{clock(left)}" in str(section(new, sheet)["facts"])
    kinds = [item.kind for item in sheet.items if isinstance(item, Stretch) and item.start < away.end]
    assert "break" not in kinds and "away" in kinds
    assert "go on with it afterwards" in " ".join(notes(printed, run))


def test_spoiled_pieces_are_told_apart_from_those_done_when_a_run_is_stopped(printed: Plan) -> None:
    run, at = under_way(printed)
    at = at.replace(second=0)
    early = at - timedelta(minutes=1)
    event = replace(counted_at(printed, run, early, 1), spoiled=2)
    rest = rest_with(printed, at=at, between=Disruptions(down=(PressDown(press=run.press),)), events=(event,))
    state = state_at(printed, (event,), at)
    (doubt,) = doubts_of_stopped(printed, state, rest.problem.parts, rest.moment.begun)
    good = state.of_run(run.id).good
    assert doubt.found.startswith(
        f"about {good} of {run.content.quantity} pieces done, 2 spoiled when it stops"
    )
    said = next(line for line in standing_lines(printed, state) if f"run {run.number} " in line)
    assert f": about {good} of {run.content.quantity} pieces done, 2 spoiled, " in said


@pytest.mark.parametrize("more", [-2, 3])
def test_a_count_that_comes_after_a_run_was_stopped_puts_its_rest_right(printed: Plan, more: int) -> None:
    run, at = under_way(printed)
    at = at.replace(second=0)
    new = again(printed, at=at, between=Disruptions(down=(PressDown(press=run.press),)))
    stopped = next(one for one in new.runs if one.id == run.id)
    pieces = stopped.content.quantity + more
    line = RunLine(run=run.id, pieces=pieces, source=Source(file="x"))
    assert faults_of(line, stopped, new) == []
    (event,) = entries_of(line, stopped, new, (), counted_at=stopped.end, entered=at)
    later = at + timedelta(minutes=5)
    assert state_at(new, (replace(event, number=1),), later).of_run(run.id).remaining == 0
    told = again(new, at=later, events=(replace(event, number=1),))
    there = {one.id: one for one in told.runs}
    assert there[run.id].content.quantity == pieces
    assert there[f"{run.id} rest"].content.quantity == run.content.quantity - pieces
    assert pieces_of(told, run.content.order) == pieces_of(printed, run.content.order)
    words = stopped_words(told, stopped, there[run.id])
    assert words.startswith(f"counted: {pieces} of {run.content.quantity} done; the rest is run ")


def test_a_plan_that_would_press_a_piece_twice_or_lose_one_is_refused(printed: Plan) -> None:
    problem = rest_with(printed).problem
    check_pieces(problem, printed.schedule)
    first, *others = printed.schedule.tasks
    with pytest.raises(BrokenPlan, match=r"0 pieces planned, \d+ ordered"):
        check_pieces(problem, replace(printed.schedule, tasks=tuple(others)))
    content = problem.contents[first.task]
    more = tuple(replace(one, quantity=one.quantity + 1) for one in content.pieces)
    twice = {**problem.contents, first.task: replace(content, pieces=more)}
    with pytest.raises(BrokenPlan, match=r"pieces planned, \d+ ordered"):
        check_pieces(replace(problem, contents=twice), printed.schedule)


def test_what_came_in_between_is_the_reason_and_stays_it(printed: Plan) -> None:
    """A press down: whatever was printed there and is late for it says so, also in the version after that."""
    run, at = under_way(printed)
    until = at + timedelta(hours=6)
    once = again(printed, at=at, between=Disruptions(down=(PressDown(press=run.press, until=until),)))
    was = {order.id: order.late_minutes for order in printed.orders}
    there = {one.content.order for one in printed.runs if one.press == run.press and one.start >= at}
    later = [one for one in once.orders if one.late_minutes > was[one.id] and one.id in there]
    clause = f"{run.press} is down until {until:%H:%M}; "
    assert any(one.reason.startswith(clause) for one in later)
    assert not any(one.reason.startswith(clause) for one in once.orders if one.late_minutes <= was[one.id])
    for one in once.orders:
        if one.late_minutes > was[one.id] and not one.reason.startswith(clause):
            assert one.reason.startswith("on the sheets before it was earlier, but ")
            assert clause.removesuffix("; ") in one.reason
    twice = {one.id: one for one in again(once, at=at + timedelta(minutes=5)).orders}
    for one in later:
        if one.reason.startswith(clause) and twice[one.id].late_minutes == one.late_minutes:
            assert twice[one.id].reason == one.reason
    reworded = replace(once, orders=tuple(replace(one, reason="in other words") for one in once.orders))
    twice = {one.id: one for one in again(reworded, at=at + timedelta(minutes=5)).orders}
    for known in ("because", "made_way"):
        same = [
            one
            for one in once.orders
            if getattr(one, known) and twice[one.id].late_minutes == one.late_minutes > 0
        ]
        kept = [one for one in same if twice[one.id].reason == "in other words"]
        assert kept == same, "what was the reason isn't read out of its words"
    assert any(one.because == PressDown(press=run.press, until=until) for one in later)


def test_an_order_that_came_in_too_late_says_when(printed: Plan) -> None:
    at = AT + timedelta(hours=3)
    (order, *_) = read("rush.xlsx")
    late = replace(order, cut_off=at + timedelta(minutes=12))
    once = again(printed, (late,), at=at)
    (planned,) = [one for one in once.orders if one.id == order.id]
    assert planned.late_minutes > 0 and planned.reason.startswith(f"it came in at {at:%H:%M}; ")
    assert [(one.order, one.at) for one in once.between.came] == [(order.id, at)]
    (again_planned,) = [one for one in again(once, at=at + timedelta(minutes=2)).orders if one.id == order.id]
    assert again_planned.reason.startswith(f"it came in at {at:%H:%M}; ")


def test_what_came_in_between_holds_when_the_day_is_planned_once_more(printed: Plan) -> None:
    run, at = under_way(printed)
    until = at + timedelta(hours=2)
    down = Disruptions(down=(PressDown(press=run.press, until=until),))
    once = again(printed, at=at, between=down)
    twice = again(once, at=at + timedelta(minutes=30))
    assert twice.between.down == down.down and twice.parts == once.parts
    for one in twice.runs:
        if one.press == run.press and one.id != run.id and one.end > at:
            assert one.start >= until
    assert pieces_of(twice, run.content.order) == pieces_of(printed, run.content.order)


def test_a_press_that_is_up_again_stops_no_run_at_it(printed: Plan) -> None:
    run, at = under_way(printed)
    until = at + timedelta(minutes=30)
    once = again(printed, at=at, between=Disruptions(down=(PressDown(press=run.press, until=until),)))
    since = (one for one in once.runs if one.press == run.press and one.pressing_start >= until)
    later = max(since, key=lambda one: one.end - one.pressing_start)
    half = (later.pressing_start + (later.end - later.pressing_start) / 2).replace(second=0)
    assert until < half
    twice = again(once, at=half)
    assert twice.parts == once.parts
    assert next(one for one in twice.runs if one.id == later.id) == later
    # Its nearest neighbour: down once more at that very moment.
    more = Disruptions(down=(PressDown(press=run.press, until=half + timedelta(hours=1)),))
    assert later.id in {part.run for part in again(once, at=half, between=more).parts}


def test_somebody_who_is_away_has_nothing_to_do_then(printed: Plan) -> None:
    person = printed.runs[0].operator
    away = PersonAway(person=person, start=AT + timedelta(hours=2), end=AT + timedelta(hours=4))
    new = again(printed, between=Disruptions(away=(away,)))
    assert any(run.operator == person and run.start > AT for run in new.runs)
    for run in new.runs:
        if run.operator == person and run.end > FROM:
            assert run.end <= away.start or run.start >= away.end


def test_a_cancelled_order_is_pressed_no_further(printed: Plan) -> None:
    order = next(run.content.order for run in reversed(printed.runs) if run.start > AT + timedelta(hours=3))
    new = again(printed, between=Disruptions(cancelled=(order,)))
    assert order not in [one.id for one in new.orders]
    assert all(run.start < FROM for run in new.runs if run.content.order == order)
    assert not any(left.order == order for left in new.left_over)


def test_a_late_box_is_waited_for(printed: Plan) -> None:
    order = next(run.content.order for run in printed.runs if run.start > AT + timedelta(hours=1))
    come = AT + timedelta(hours=4)
    new = again(printed, between=Disruptions(late_boxes=(BoxLate(order=order, at=come),)))
    open_runs = [run for run in new.runs if run.content.order == order and run.start >= FROM]
    assert open_runs and all(run.pressing_start >= come for run in open_runs)


def test_a_run_within_the_notice_waits_for_its_late_box_too(printed: Plan) -> None:
    """Nobody can press what isn't there, however soon it would begin by the sheets."""
    run = next(run for run in printed.runs if AT < run.start < FROM)
    come = AT + timedelta(hours=2)
    new = again(printed, between=Disruptions(late_boxes=(BoxLate(order=run.content.order, at=come),)))
    waiting = [one for one in new.runs if one.content.order == run.content.order and one.pressing_start >= AT]
    assert waiting and all(one.pressing_start >= come for one in waiting)
    assert check(new.instance, new.schedule).passed


def run_of_sizes(printed: Plan) -> PlannedRun:
    return next(
        run
        for run in printed.runs
        if run.end < AT and run.content.quantity > 5
        if len(run.content.pieces) > 1 and len({one.garment + one.colour for one in run.content.pieces}) == 1
    )


def spoiled(printed: Plan, run: PlannedRun, known: tuple[Pieces, ...] = ()) -> Event:
    return Event(
        id="e1",
        day=printed.day,
        version=1,
        kind=EventKind.FINISHED,
        run=run.id,
        at=run.end,
        pieces=run.content.quantity - 3,
        spoiled=3,
        data=spoiled_data(known),
        entered=AT,
        number=1,
    )


Fits = Callable[[PlannedRun, PlannedRun], bool]


def one_after_another(printed: Plan, fits: Fits) -> tuple[PlannedRun, PlannedRun]:
    """Two runs of the day on the same garments, the second begun when the first is over."""
    bundles = {task.id: set(task.bundles) for task in printed.instance.tasks}
    return next(
        (one, other)
        for other in printed.runs
        for one in printed.runs
        if one.end <= other.start
        and bundles[one.id] & bundles[other.id]
        and one.start.date() == other.start.date() == DAY
        and fits(one, other)
    )


def with_spoiled(printed: Plan, run: PlannedRun, kind: Pieces, at: datetime) -> Plan:
    """The plan from a moment on, after so many pieces of a kind were spoiled in a run."""
    event = replace(
        spoiled(printed, run, (kind,)),
        pieces=run.content.quantity - kind.quantity,
        spoiled=kind.quantity,
        entered=at,
    )
    return replace(again(printed, at=at, events=(event,), between=Disruptions(press_again=True)), at=at)


def test_sizes_that_are_said_are_pressed_again_and_of_the_others_none_is_invented(printed: Plan) -> None:
    """Two of the three are named; sheet, list of garments and day page say so of the third."""
    run = run_of_sizes(printed)
    first = next(one for one in run.content.pieces if one.quantity > 1)
    event = spoiled(printed, run, (replace(first, quantity=2),))
    new = again(printed, events=(event,), between=Disruptions(press_again=True))
    (part,) = [one for one in new.runs if one.id == f"{run.id} again"]
    told = [(one.size, one.quantity) for one in part.content.pieces]
    assert told == [(first.size, 2), (SIZE_AS_SPOILED, 1)]
    new = replace(new, at=AT)
    (pulled,) = [one for one in garments(new) if SIZE_AS_SPOILED in dict(one.sizes)]
    before = garments_from(new, part)
    assert [one.id for one in before] == ["4103-left chest again"], "a new garment gets that first"
    assert pulled.first is before[0]
    assert notes(new, before[0])[0].endswith(" Take new garments for those that were spoiled.")
    assert pulled.sizes == ((first.size, 2), (SIZE_AS_SPOILED, 1))
    (words,) = [note for note in notes(new, part) if note.startswith("Pressed again")]
    assert "Nobody entered which: take the same size as the one that is spoiled." in words
    assert words.endswith(
        f"Take those garments from run {before[-1].number}; new ones only for others that were spoiled."
    )
    assert lot_words(new, part) == f"again, for run {run.number}"
    kept = plan_of_data(json.loads(plan_text(new)), PLAN_FORM)
    assert kept.parts == new.parts and kept.parts[-1].known == (replace(first, quantity=2),)


def test_what_is_cut_off_or_pressed_again_is_not_mistaken_for_another_lot(printed: Plan) -> None:
    """Two lots, the second cut off and pieces of the first spoiled: "lot 1 of 2" stands on one sheet only."""
    first, second = (
        replace(run.content, task=f"X-front lot {lot} of 2", lot=lot, lots=2)
        for lot, run in enumerate(printed.runs[:2], start=1)
    )
    parts = (
        RunPart(run=first.task, done=9, pieces=3, name=PartKind.AGAIN, from_tick=0),
        RunPart(run=second.task, done=1, pieces=2, name=PartKind.REST, from_tick=0),
    )
    contents = {one.task: one for one in (first, second)}
    contents[parts[0].task] = replace(first, task=parts[0].task, lot=1, lots=1)
    contents[parts[1].task] = replace(second, task=parts[1].task)
    numbers = lot_numbers(contents, (), parts)
    assert numbers == {first.task: 1, second.task: 2, parts[1].task: 2}


def test_spoiled_pieces_are_pressed_again_once_when_told(printed: Plan) -> None:
    run = run_of_sizes(printed)
    event = spoiled(printed, run)
    assert f"{run.id} again" not in [one.id for one in again(printed, events=(event,)).runs]
    new = again(printed, events=(event,), between=Disruptions(press_again=True))
    (part,) = [one for one in new.runs if one.id == f"{run.id} again"]
    assert part.content.quantity == 3 and part.start >= AT
    assert [one.size for one in part.content.pieces] == [SIZE_AS_SPOILED], "no size is invented"
    assert (part.content.lot, part.content.lots) == (1, 1)
    for plan, missing in ((printed, 3), (new, 0)):
        stands = {one.order: one for one in state_at(plan, (event,), AT).orders}[run.content.order]
        assert stands.missing == missing and (stands.finished is None) == bool(missing)
    once_more = again(
        new, at=AT + timedelta(minutes=20), events=(event,), between=Disruptions(press_again=True)
    )
    assert [one.id for one in once_more.runs].count(part.id) == 1


def test_a_new_garment_gets_what_the_spoiled_one_had_on_it(printed: Plan) -> None:
    """A later placement spoils one: the placements before it are pressed again as well, in the same size."""
    earlier, later = one_after_another(
        printed,
        lambda one, other: one.content.order == other.content.order and len(other.content.pieces) > 1,
    )
    at = later.end + timedelta(minutes=1)
    spoilt = replace(later.content.pieces[-1], quantity=1)
    event = Event(
        id="e1",
        day=printed.day,
        version=1,
        kind=EventKind.FINISHED,
        run=later.id,
        at=later.end,
        pieces=later.content.quantity - 1,
        spoiled=1,
        data=spoiled_data((spoilt,)),
        entered=at,
        number=1,
    )
    new = again(printed, at=at, events=(event,), between=Disruptions(press_again=True))
    made = {one.id: one.content.pieces for one in new.runs if one.id.endswith(" again")}
    assert made[f"{later.id} again"] == made[f"{earlier.id} again"] == (spoilt,)
    stands = {one.order: one for one in state_at(new, (event,), at).orders}[later.content.order]
    assert stands.missing == 0
    told, runs = replace(new, at=at), {one.id: one for one in new.runs}
    first, last = (runs[f"{one.id} again"] for one in (earlier, later))
    assert source_words(told, first) == "Take a new garment for the one that was spoiled."
    words = f"Take that garment from run {first.number}; a new one only if another was spoiled."
    assert source_words(told, last) == words
    missing = replace(told, parts=tuple(replace(one, spoiled=0, known=()) for one in new.parts))
    alone = replace(missing, runs=tuple(one for one in new.runs if one is not first))
    assert source_words(alone, last) == "Its garment is there: take the one on which it is missing."
    once_more = again(
        new, at=at + timedelta(minutes=20), events=(event,), between=Disruptions(press_again=True)
    )
    assert {one.id for one in once_more.runs if one.id.endswith(" again")} == set(made)


def test_new_garments_are_asked_for_at_the_first_run_that_needs_them(printed: Plan) -> None:
    """Spoiled at the first placement: the run of the next one, not begun yet, has all pieces of the order."""
    notice = timedelta(minutes=2 * NOTICE_MIN)
    earlier, later = one_after_another(
        printed, lambda one, other: one.end + notice < other.start and len(one.content.pieces) > 1
    )
    at = earlier.end + timedelta(minutes=1)
    new = with_spoiled(printed, earlier, replace(earlier.content.pieces[0], quantity=3), at)
    runs = {one.id: one for one in new.runs}
    last, first = runs[f"{earlier.id} again"], garments_from(new, runs[f"{earlier.id} again"])[0]
    size = earlier.content.pieces[0].size
    (words,) = replaced_words(new, first)
    assert words == (
        f"Among them 3 pieces spoiled in run {earlier.number} ({size} 3): take new garments for them."
    )
    assert words in notes(new, first) and first.id == later.id
    assert f"Take those garments from run {first.number}; new ones only" in notes(new, last)[0]
    assert f"run {last.number} at {place(last)}, {clock(last.pressing_start)} (3 pieces)" in then_words(
        new, first
    )
    assert then_words(new, first).endswith("; the rest to packing"), "not all of them go to be pressed again"
    assert [one.first.id for one in garments(new) if one.sizes == ((size, 3),)] == [first.id]
    # the same when that run is the rest of a stopped one
    part = RunPart(run="cut", done=1, pieces=first.content.quantity, name=PartKind.REST, from_tick=0)
    cut, rest = replace(first, id="cut", number=99, end=at), replace(first, id=part.task)
    task = next(one for one in new.instance.tasks if one.id == first.id)
    stopped = replace(
        new,
        runs=(*(one for one in new.runs if one is not first), cut, rest),
        parts=(*new.parts, part),
        instance=replace(new.instance, tasks=(*new.instance.tasks, replace(task, id=rest.id))),
    )
    assert garments_from(stopped, last)[0] is rest and words in notes(stopped, rest)


def test_a_run_under_way_is_told_of_new_garments_too(printed: Plan) -> None:
    """Spoiled at the first placement, and entered when the run of the next one is being pressed."""
    earlier, later = one_after_another(
        printed,
        lambda one, other: (
            one.content.placements != other.content.placements
            and one.content.pieces[0] in other.content.pieces
            and one.content.quantity > 5
            and other.end - other.pressing_start > timedelta(minutes=4)
        ),
    )
    at = (later.pressing_start + (later.end - later.pressing_start) / 2).replace(second=0, microsecond=0)
    kind = replace(earlier.content.pieces[0], quantity=1)
    new = with_spoiled(printed, earlier, kind, at)
    runs = {one.id: one for one in new.runs}
    begun, last = runs[later.id], runs[f"{earlier.id} again"]
    assert begun.start < at < begun.end
    words = f"Among them 1 piece spoiled in run {earlier.number} ({kind.size} 1): take a new garment for it"
    assert f"{words}, unless that is done." in notes(new, begun)
    assert f"Take that garment from run {begun.number}; a new one only" in notes(new, last)[0]
    (pulled,) = [one for one in garments(new) if one.sizes == ((kind.size, 1),)]
    assert (pulled.first, pulled.have_by, pulled.under_way) == (begun, at, True)
    over = replace(new, at=begun.end)
    assert replaced_words(over, begun) == [] and garments_from(over, last) == []
    # none is said to be spoiled where one merely wasn't done
    missing = replace(new, parts=tuple(replace(one, spoiled=0, known=()) for one in new.parts))
    assert replaced_words(missing, begun) == []


@pytest.mark.parametrize("count", [1, 2])
@pytest.mark.parametrize("said", ["nothing", "missing", "whole"])
def test_a_new_garment_needs_what_a_run_that_is_over_by_now_had_to_press_too(
    printed: Plan, count: int, said: str
) -> None:
    """Spoiled at the first placement; the run of the next one hadn't got the garment unless it is said to."""
    earlier, later = one_after_another(
        printed,
        lambda one, other: (
            one.content.placements != other.content.placements
            and one.content.pieces == other.content.pieces
            and one.content.pieces[0].quantity > count
        ),
    )
    kind = replace(earlier.content.pieces[0], quantity=count)
    at = later.end + timedelta(minutes=1)
    first = replace(
        spoiled(printed, earlier, (kind,)),
        at=earlier.end,
        pieces=earlier.content.quantity - count,
        spoiled=count,
        entered=at,
    )
    pieces = later.content.quantity - (count if said == "missing" else 0)
    other = replace(first, id="e2", number=2, run=later.id, at=later.end, pieces=pieces, spoiled=0, data="")
    events = (first,) if said == "nothing" else (first, other)
    new = again(printed, at=at, events=events, between=Disruptions(press_again=True))
    new = replace(new, at=at)
    runs = {one.id: one for one in new.runs}
    one = runs[f"{earlier.id} again"]
    words = source_words(new, one)
    if said == "whole":
        # Nothing is asked for that no time is planned for.
        assert f"{later.id} again" not in runs and "press it too" not in words
        what = f"{' + '.join(later.content.placements)} (run {later.number})"
        assert f"with {what} on {'it' if count == 1 else 'them'}; if there" in words
        assert words.endswith(
            f"have run {later.number} entered with fewer pieces done and the day planned again."
        )
        return
    both = sorted((one, runs[f"{later.id} again"]), key=lambda run: run.pressing_start)
    assert [run.content.quantity for run in both] == [count, count]
    assert later.content.placements != earlier.content.placements and "if there" not in words
    assert f"from run {both[0].number}" in source_words(new, both[1])
    if said == "nothing":
        assert source_words(new, both[0]).startswith(
            "Take a new garment" if count == 1 else "Take new garments"
        )
    pulled = [line for line in garments(new) if line.first in both]
    assert sum(number for line in pulled for _, number in line.sizes) == count, "one garment is new, not two"


def test_a_run_that_has_not_got_the_spoiled_garment_is_not_told_of_it(printed: Plan) -> None:
    """It takes others of the pieces of the run that spoiled one."""

    def lacking(one: PlannedRun, other: PlannedRun) -> list[Pieces]:
        theirs = other.content.pieces
        return [piece for piece in one.content.pieces if not any(same_kind(piece, each) for each in theirs)]

    notice = timedelta(minutes=2 * NOTICE_MIN)
    earlier, later = one_after_another(
        printed,
        lambda one, other: (
            one.end + notice < other.start and one.content.quantity > 5 and bool(lacking(one, other))
        ),
    )
    kind = lacking(earlier, later)[0]
    at = earlier.end + timedelta(minutes=1)
    new = with_spoiled(printed, earlier, replace(kind, quantity=1), at)
    runs = {one.id: one for one in new.runs}
    last = runs[f"{earlier.id} again"]
    assert [(one.size, one.quantity) for one in last.content.pieces] == [(kind.size, 1)]
    assert later.id not in [one.id for one in garments_from(new, last)]
    assert replaced_words(new, runs[later.id]) == []


def test_a_garment_that_is_pressed_again_at_several_placements_is_asked_for_once(printed: Plan) -> None:
    """Spoiled at the second placement: the first is pressed again too, and a third has all pieces."""
    new = replace(printed, at=AT)
    bundles = {task.id: set(task.bundles) for task in printed.instance.tasks}
    first, third = next(
        (one, other)
        for other in printed.runs
        for one in printed.runs
        if one.end < AT < other.start and bundles[one.id] & bundles[other.id] and one.content.quantity > 5
    )
    placed = replace(
        first.content, laid=tuple(replace(one, placement="another") for one in first.content.laid)
    )
    second = replace(first, id="second", number=98, content=placed, end=first.end + timedelta(minutes=1))
    kind = replace(first.content.pieces[0], quantity=2)
    start = max(run.end for run in printed.runs)
    parts = tuple(
        RunPart(
            run=run.id, done=9, pieces=count, name=PartKind.AGAIN, from_tick=0, known=(known,), spoiled=count
        )
        for run, known in ((first, replace(kind, quantity=3)), (second, kind))
        for count in (known.quantity,)
    )
    made = [
        replace(
            run,
            id=part.task,
            number=number,
            content=replace(run.content, pieces=part.known),
            start=start,
            pressing_start=start,
            end=start + timedelta(minutes=2),
        )
        for part, run, number in zip(parts, (first, second), (101, 102), strict=True)
    ]
    task = next(one for one in printed.instance.tasks if one.id == first.id)
    tasks = (replace(task, id=run.id) for run in (second, *made))
    new = replace(
        new,
        runs=(*printed.runs, second, *made),
        parts=parts,
        instance=replace(printed.instance, tasks=(*printed.instance.tasks, *tasks)),
    )
    before = garments_from(new, made[0])[0]
    assert bundles[before.id] & bundles[third.id]
    assert replaced_words(new, before) == [
        f"Among them 2 pieces spoiled in run 98 ({kind.size} 2): take new garments for them.",
        f"Among them 1 piece spoiled in run {first.number} ({kind.size} 1): take a new garment for it.",
    ]
    # Where the first spoiled them and the second merely hadn't got them, it is the first that is named.
    there = replace(new, parts=(parts[0], replace(parts[1], elsewhere=2)))
    assert replaced_words(there, before) == [
        f"Among them 3 pieces spoiled in run {first.number} ({kind.size} 3): take new garments for them."
    ]


@pytest.mark.parametrize("gone", [0, 1, 2])
def test_new_garments_are_asked_for_only_in_place_of_spoiled_ones(printed: Plan, gone: int) -> None:
    """Three pieces less than planned: as many as are said were spoiled, the others merely weren't done."""
    run = run_of_sizes(printed)
    first = next(one for one in run.content.pieces if one.quantity > 1)
    known = (replace(first, quantity=gone),) if gone else ()
    event = replace(spoiled(printed, run, known), spoiled=gone)
    new = replace(again(printed, events=(event,), between=Disruptions(press_again=True)), at=AT)
    (part,) = [one for one in new.parts if one.run == run.id]
    assert (part.pieces, part.spoiled, part.known) == (3, gone, known)
    made = next(one for one in new.runs if one.id == part.task)
    assert made.content.quantity == 3, "all three are pressed again"
    own = set(next(task for task in new.instance.tasks if task.id == run.id).bundles)
    shares = {task.id for task in new.instance.tasks if own & set(task.bundles)}
    pulled = [one.sizes for one in garments(new) if one.first.id in shares]
    assert pulled == ([((first.size, gone),)] if gone else [])
    (words,) = [note for note in notes(new, made) if note.startswith("Pressed again")]
    before = garments_from(new, made)
    if not gone:
        assert "Nobody entered which: take the same sizes as those that are missing." in words
        assert before == [] and words.endswith("Their garments are there: take those on which it is missing.")
        assert not any("new garment" in note for one in new.runs for note in notes(new, one))
    else:
        # the placement that the spoiled ones had on them before is pressed on the new garments first
        assert [one.id for one in before] == ["4103-left chest again"]
        other = notes(new, before[0])[0]
        which = "a new garment for the one that was" if gone == 1 else "new garments for those that were"
        assert other.endswith(f" Take {which} spoiled.")
        assert next(one for one in new.parts if one.task == before[0].id).spoiled == gone
    what = {0: ["size as missing"]}.get(gone, [first.size, "size as spoiled or missing"])
    assert [one.size for one in made.content.pieces][-1:] == [SIZE_AS_SPOILED]
    assert [one.size for one in shown_pieces(new, made)] == what
    alone = replace(new, runs=tuple(one for one in new.runs if one not in before))
    told = {
        1: "Take a new garment for the 1 that was spoiled; 2 garments on which it is missing are there.",
        2: "Take new garments for the 2 that were spoiled; 1 garment on which it is missing is there.",
    }
    assert gone not in told or notes(alone, made)[0].endswith(told[gone])


def again_of(plan: Plan, run: PlannedRun) -> list[RunPart]:
    return [one for one in plan.parts if one.run == run.id and one.name is PartKind.AGAIN]


def test_pieces_more_that_are_spoiled_by_a_later_count_are_pressed_again_too(printed: Plan) -> None:
    """First two, by a correction five: in the same run while it isn't begun, else in one of their own."""
    run = run_of_sizes(printed)
    asked = Disruptions(press_again=True)
    kind = next(one for one in run.content.pieces if one.quantity > 2)
    whole = run.content.quantity

    def event(count: int, known: int, gone: int) -> Event:
        pieces = (replace(kind, quantity=known),)
        return replace(spoiled(printed, run, pieces), pieces=whole - count, spoiled=gone)

    once = replace(again(printed, events=(event(2, 1, 1),), between=asked), at=AT)
    (first,) = again_of(once, run)
    assert (first.task, first.pieces, first.spoiled) == (f"{run.id} again", 2, 1)
    later = (event(5, 3, 4),)

    # asked for by this plan's list; by the next one it is said since when, for nobody enters what was fetched
    soon = AT + timedelta(minutes=1)

    def noted(plan: Plan) -> list[object]:
        return [row["note"] for each in list_data(plan)["dates"] for row in each["garments"]]  # type: ignore[attr-defined]

    words = f"on the list since {clock(AT)}: only what is not there yet"
    assert first.asked == AT and words not in noted(once)
    carried = replace(again(once, at=soon, events=(event(2, 1, 1),)), at=soon)
    assert again_of(carried, run) == [first] and noted(carried).count(words) == 1
    assert plan_of_data(json.loads(plan_text(carried)), PLAN_FORM).parts == carried.parts

    assert {one.id: one for one in once.runs}[first.task].start > soon + timedelta(minutes=NOTICE_MIN)
    unasked = again(once, at=soon, events=later)
    (part,) = again_of(unasked, run)
    assert (part.pieces, part.spoiled) == (2, 2), "which of them are spoiled is known better now"
    more = again(once, at=soon, events=later, between=asked)
    (part,) = again_of(more, run)
    assert (part.task, part.pieces, part.spoiled) == (first.task, 5, 4)
    assert part.known == (replace(kind, quantity=3),)
    (made,) = [one for one in more.runs if one.id == part.task]
    assert made.content.quantity == 5
    stands = {one.order: one for one in state_at(more, later, soon).orders}[run.content.order]
    assert stands.missing == 0

    begun = {one.id: one for one in once.runs}[first.task]
    during = (begun.start + (begun.end - begun.start) / 2).replace(second=0, microsecond=0)
    during += timedelta(minutes=1)
    second = again(once, at=during, events=later, between=asked)
    parts = again_of(second, run)
    assert [(one.task, one.pieces, one.spoiled) for one in parts] == [
        (f"{run.id} again", 2, 1),
        (f"{run.id} again 2", 3, 3),
    ]
    assert parts[1].known == (replace(kind, quantity=2),), "one of them is in the first already"
    quantities = {one.id: one.content.quantity for one in second.runs}
    assert [quantities[one.task] for one in parts] == [2, 3]
    stands = {one.order: one for one in state_at(second, later, during).orders}[run.content.order]
    assert stands.missing == 0
    # the second presses others than the first: neither gets its garments from the other, nor hands them on
    told = replace(second, at=during)
    runs = {one.id: one for one in second.runs}
    first_again, second_again = (runs[one.task] for one in parts)
    assert first_again.pressing_start < second_again.pressing_start
    assert first_again not in garments_from(told, second_again)
    alone = replace(told, runs=(runs[run.id], first_again, second_again))
    assert f"run {second_again.number} " not in then_words(alone, first_again)
    assert f"run {first_again.number} " in then_words(alone, runs[run.id])
    # asked once more, nothing more is pressed again
    third = again(second, at=during + timedelta(minutes=1), events=later, between=asked)
    assert again_of(third, run) == parts


def test_a_plan_of_form_3_asks_for_new_garments_for_all_that_is_pressed_again(printed: Plan) -> None:
    """It doesn't say which of them are spoiled; rests have none in any form."""
    parts = (
        RunPart(run="X", done=9, pieces=3, name=PartKind.AGAIN, from_tick=0, spoiled=1),
        RunPart(run="Y", done=1, pieces=2, name=PartKind.REST, from_tick=0),
    )
    plan = replace(printed, parts=parts)
    document = json.loads(plan_text(plan))
    assert plan_of_data(document, PLAN_FORM) == plan
    for part in document["parts"]:
        del part["spoiled"]
    older = plan_of_data(document, 3)
    assert [part.spoiled for part in older.parts] == [3, 0]
    with pytest.raises(ValueError, match="part X again: 4 spoiled of 3 pieces"):
        replace(parts[0], spoiled=4)


def test_what_names_nothing_in_the_plan_is_refused_all_at_once(printed: Plan) -> None:
    between = Disruptions(
        down=(PressDown(press="Bench 9"),),
        away=(PersonAway(person="Nobody", start=AT),),
        cancelled=("0",),
    )
    with pytest.raises(BadInput) as caught:
        rest_with(printed, between=between)
    assert [fault.code for fault in caught.value.faults] == [
        "no-such-press",
        "no-such-person",
        "no-such-order",
    ]


def test_planned_again_a_plan_is_best_only_where_every_level_of_the_whole_day_is_shown(
    printed: Plan,
) -> None:
    """The rest was searched among plans that keep to the sheets in hand: little is shown of the whole day."""
    rest = rest_with(printed)
    found = solved(rest.instance, rest.kept)
    whole = check(rest.problem.instance, merged(rest, found.schedule))
    verdict = check(rest.instance, found.schedule)

    def said(proven: tuple[str, ...]) -> Plan:
        levels = tuple(replace(one, proven=one.name in proven) for one in found.levels)
        told = replace(found, status=Status.PROVEN, levels=levels)
        return plan_again(rest, told, verdict, whole, printed.as_they_come, version=2)

    every = said(rest.instance.levels)
    shown = {one.name for one in every.levels if one.proven}
    assert {"left_over", "lateness"} <= shown != {one.name for one in every.levels}
    assert all(one.bound == one.value for one in every.levels if one.proven)
    assert every.status == Status.FEASIBLE
    assert "cannot be better at any level" not in search_words(every)
    late = replace(whole, values={**whole.values, "lateness": 7})
    again = plan_again(
        rest,
        replace(found, levels=tuple(replace(one, proven=one.name == "left_over") for one in found.levels)),
        verdict,
        late,
        printed.as_they_come,
        version=2,
    )
    (lateness,) = (one for one in again.levels if one.name == "lateness")
    assert (lateness.proven, lateness.bound) == (False, 0)


def test_a_press_that_comes_back_is_switched_on_once_and_for_the_run_that_is_next(printed: Plan) -> None:
    """Not at the temperature of the morning's first run, nor again at every version of the plan."""
    at = AT + timedelta(minutes=30)
    until = at + timedelta(minutes=60)
    press = max(
        {run.press for run in printed.runs},
        key=lambda name: sum(run.press == name and run.start > until for run in printed.runs),
    )

    def on_again(plan: Plan):
        today = [warm for warm in plan.warm_ups if warm.start.date() == DAY]
        return [warm for warm in today if warm.press == press and warm.start >= until]

    plan = again(printed, at=at, between=Disruptions(down=(PressDown(press=press, until=until),)))
    (warm,) = on_again(plan)
    after = [run for run in plan.runs if press in run.presses and run.pressing_start >= warm.ready]
    following = min(after, key=lambda run: run.pressing_start)
    assert warm.temp_c == following.temp_c
    first = min((run for run in plan.runs if press in run.presses), key=lambda run: run.pressing_start)
    assert next(one.temp_c for one in plan.warm_ups if one.press == press) == first.temp_c
    # Cold, it is heated up to what that run needs: there is no change from the one before the standstill.
    steps = [part.name for one in plan.changeovers if one.before == following.id for part in one.parts]
    assert "set the temperature" not in steps
    # Before it is on, while it heats up, and when it has pressed again.
    for moment in (
        at + timedelta(minutes=20),
        warm.start + (warm.ready - warm.start) / 2,
        following.pressing_start + timedelta(minutes=10),
    ):
        plan = again(plan, at=moment.replace(second=0))
        assert [(one.start, one.ready) for one in on_again(plan)] == [(warm.start, warm.ready)], moment
