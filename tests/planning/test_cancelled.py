"""A cancelled order that is under way: it stops at once, and press and person are free from then on."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta
from html import unescape

import pytest

from scheduler.answers.progress import standing_lines
from scheduler.daybook.entries import entries_of, faults_of
from scheduler.daybook.state import state_at
from scheduler.domain.clock import clock
from scheduler.domain.day_state import RunStatus
from scheduler.domain.disruptions import NOTHING, Disruptions, PressDown
from scheduler.domain.faults import Source
from scheduler.domain.idle import NOTICE_MIN
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.progress import RunLine
from scheduler.domain.stopping import stops
from scheduler.exceptions import BrokenPlan
from scheduler.planning.again import plan_again
from scheduler.planning.asked import doubts_of_fewer, doubts_of_stopped
from scheduler.planning.differences import differences
from scheduler.planning.rest import Rest, plan_rest
from scheduler.sheets.changes import came_in_between, told
from scheduler.sheets.lines import after_words, soft, stop_line, stop_notes
from scheduler.sheets.new_sheets import NewPaper, new_sheets_data
from scheduler.sheets.page import day_page
from scheduler.sheets.paper import Swap, compare, sheets_of
from scheduler.sheets.stopped import stop_words
from scheduler.sheets.summary import summary_data
from scheduler.sheets.tally import counts
from scheduler.sheets.under_way import over_words
from scheduler.verify import check
from tests.planning.test_again import again, counted_at, printed, rest_with, solved, under_way

__all__ = ["printed"]


def cancel(run: PlannedRun) -> Disruptions:
    return Disruptions(cancelled=(run.content.order,))


def papers(old: Plan, new: Plan) -> NewPaper:
    assert new.at is not None
    return NewPaper(old=old, new=new, found=differences(old, new), change=compare(old, new, new.at))


def stopped(printed: Plan, pieces: int | None = None) -> tuple[Plan, PlannedRun, Plan]:
    """The plan, a run under way in it, and the plan after its order was cancelled."""
    run, at = under_way(printed)
    at = at.replace(second=0)
    events = () if pieces is None else (counted_at(printed, run, at, pieces),)
    new = again(printed, at=at, between=cancel(run), events=events)
    return printed, run, replace(new, at=at)


def test_the_run_under_way_of_a_cancelled_order_ends_at_once(printed: Plan) -> None:
    _, run, new = stopped(printed, pieces=3)
    there = next(one for one in new.runs if one.id == run.id)
    assert there.end == new.at < run.end
    assert there.content.quantity == 3
    assert new.at is not None
    notice = new.at + timedelta(minutes=NOTICE_MIN)
    assert all(one.end <= new.at for one in new.runs if one.content.order == run.content.order)
    # Who was at it, and its press, are there for others from the notice on.
    rest = rest_with(printed, at=new.at, between=cancel(run))
    person = next(one for one in rest.instance.operators if one.id == run.operator)
    machine = next(one for one in rest.instance.machines if one.id == run.press)
    assert min(shift.start for shift in person.shifts) == rest.moment.now
    assert machine.free_from <= rest.moment.now
    assert notice > new.at


def test_what_was_to_begin_within_the_notice_is_not_begun_for_a_cancelled_order(printed: Plan) -> None:
    run = next(one for one in printed.runs if one.start.hour >= 10 and one.content.quantity > 5)
    at = run.start.replace(second=0) - timedelta(minutes=NOTICE_MIN // 2)
    assert run.id in {one.id for one in again(printed, at=at).runs}
    assert run.id not in {one.id for one in again(printed, at=at, between=cancel(run)).runs}


def test_a_press_being_set_up_for_a_cancelled_order_presses_nothing_of_it(printed: Plan) -> None:
    run = max(printed.runs, key=lambda one: one.pressing_start - one.start)
    at = run.start + (run.pressing_start - run.start) / 2
    new = again(printed, at=at, between=cancel(run))
    there = next(one for one in new.runs if one.id == run.id)
    assert there.content.quantity == 0 and there.end == at
    assert all(one.end <= at for one in new.runs if one.content.order == run.content.order)
    words = stop_words(replace(new, at=at), there)
    assert "none of its " in words and "count" not in words
    # Also at the very minute at which it was to begin.
    first = replace(again(printed, at=run.start, between=cancel(run)), at=run.start)
    assert [one.id for one in stops(first)] == [run.id]


def test_a_cancelled_order_is_not_late_whatever_was_pressed_of_it(printed: Plan) -> None:
    run, at = under_way(printed)
    given = tuple(
        replace(one, cut_off=at - timedelta(minutes=30)) if one.id == run.content.order else one
        for one in printed.given
    )
    late = replace(printed, given=given)
    rest = rest_with(late, at=at, between=cancel(run))
    job = next(one for one in rest.problem.instance.jobs if one.id == run.content.order)
    assert job.due is None and job.packing == 0
    other = next(one for one in rest_with(late, at=at).problem.instance.jobs if one.id == run.content.order)
    assert other.due is not None and other.packing > 0


def test_a_plan_that_goes_on_with_a_cancelled_order_is_refused(printed: Plan) -> None:
    run, at = under_way(printed)
    rest = rest_with(printed, at=at, between=cancel(run))
    result = solved(rest.instance, rest.kept)
    verdict = check(rest.instance, result.schedule)
    assert plan_again(rest, result, verdict, verdict_of(rest, result), (), version=2)
    task = next(done for done in rest.moment.begun if done.task == run.id)
    longer = replace(task, end=task.end + 10)
    begun = tuple(longer if done is task else done for done in rest.moment.begun)
    worse = replace(rest, moment=replace(rest.moment, begun=begun))
    with pytest.raises(BrokenPlan, match=f"run .* of order {run.content.order} goes on"):
        plan_again(worse, result, verdict, verdict_of(worse, result), (), version=2)


def verdict_of(rest, result):
    from scheduler.planning.again import merged

    return check(rest.problem.instance, merged(rest, result.schedule))


def test_sheets_page_and_terminal_say_stop(printed: Plan) -> None:
    old, run, new = stopped(printed)
    there = next(one for one in new.runs if one.id == run.id)
    assert stops(new) == [there]
    words = stop_words(new, there)
    done, whole, at = there.content.quantity, run.content.quantity, clock(there.end)
    assert words.startswith(f"STOP, run {run.number}: order {run.content.order} ")
    assert f"about {done} of {whole} pieces are pressed" in words and f"lie at {run.press}" in words
    assert f"pressday done {run.number} --pieces N --at {at}" in words
    on_paper = stop_words(new, there, on_paper=True)
    assert "write the number here" in on_paper and "pressday" not in on_paper
    paper = papers(old, new)
    for side, name in (("operator", run.operator), ("press", run.press)):
        data = new_sheets_data(paper, by=side)  # type: ignore[arg-type]
        (section,) = [one for one in data["sections"] if one["name"] == name]  # type: ignore[attr-defined]
        assert (
            section["stops"]
            == [f"{on_paper} {after_words(new, there, run.press)}"]
            == [stop_line(new, there)]
        )
        assert "When done: " in section["stops"][0]
        assert not any(one.get("number") == str(run.number) for one in section["entries"])
        assert all(one["stops"] == [] for one in data["sections"] if one["name"] != name)  # type: ignore[attr-defined]
    front = new_sheets_data(paper)["front"]
    assert any(f"STOP run {run.number} ({run.operator}, {run.press})" in line for line in front["between"])  # type: ignore[index]
    (mine,) = [
        one for one in told(old, new, paper.found, paper.change, "operator") if one.name == run.operator
    ]
    assert any(line.startswith(f"run {run.number}, ") and f"STOP at {at}" in line for line in mine.moved)
    assert "1 run is stopped for good" in counts(old, new, paper.found)
    assert came_in_between(old, new) == tuple(front["between"])  # type: ignore[index]


def test_whoever_sits_at_a_computer_reads_what_becomes_of_the_press(printed: Plan) -> None:
    _, run, new = stopped(printed)
    there = next(one for one in new.runs if one.id == run.id)
    others = tuple(one for one in new.runs if one is there or run.press not in one.presses)
    for plan, then in (
        (new, after_words(new, there, run.press, named=True)),
        (replace(new, runs=others), f"When done: last run on {run.press} today, switch it off."),
    ):
        (note,) = stop_notes(plan)
        assert note == f"{run.operator}: {stop_words(plan, there)} {then}" and run.press in then
        assert summary_data(plan)["stops"] == [soft(note)]
        assert note in unescape(day_page(plan).decode())
    assert stop_notes(printed) == () and summary_data(printed)["stops"] == []


def test_a_stopped_run_that_nobody_counted_is_asked_for(printed: Plan) -> None:
    _, run, new = stopped(printed)
    assert new.at is not None
    there = next(one for one in new.runs if one.id == run.id)
    lines = standing_lines(new, state_at(new, (), new.at + timedelta(minutes=1)))
    (line_of,) = [line for line in lines if f"run {run.number} " in line]
    assert f"about {there.content.quantity} of {run.content.quantity} pieces done" in line_of
    assert f"pressday done {run.number} --pieces N --at {clock(there.end)}" in line_of
    (silent,) = [line for line in lines if line.startswith("Nobody said")]
    assert str(run.number) not in re.findall(r"\d+", silent)


def test_a_sheet_with_nothing_else_left_on_it_is_handed_out_to_say_stop(printed: Plan) -> None:
    old, run, new = stopped(printed)
    mine = [one for one in (*old.runs,) if one.operator != run.operator or one.end <= run.end]
    old = replace(old, runs=tuple(mine))
    keep = {one.id for one in mine}
    new = replace(new, runs=tuple(one for one in new.runs if one.id in keep))
    (swap,) = [
        one
        for one in papers(old, new).change.swaps
        if one.one.side == "operator" and one.one.name == run.operator
    ]
    assert swap.new is not None


def test_later_versions_say_that_it_was_stopped_and_not_stop_once_more(printed: Plan) -> None:
    _, run, new = stopped(printed)
    assert new.at is not None
    later = new.at + timedelta(minutes=15)
    after = replace(again(new, at=later), at=later)
    there = next(one for one in after.runs if one.id == run.id)
    assert there.end == new.at and stops(after) == []
    words = over_words(after, [there])
    assert words.startswith(f"Run {run.number} was stopped after about {there.content.quantity} of ")
    assert words.endswith(f": order {run.content.order} is cancelled.")


@pytest.mark.parametrize("more", [-2, 2])
def test_a_count_entered_after_the_stop_counts(printed: Plan, more: int) -> None:
    _, run, new = stopped(printed)
    assert new.at is not None
    there = next(one for one in new.runs if one.id == run.id)
    pieces = there.content.quantity + more
    line = RunLine(run=run.id, pieces=pieces, source=Source(file="x"))
    assert faults_of(line, there, new) == []
    (event,) = entries_of(line, there, new, (), counted_at=there.end, entered=there.end)
    events = (replace(event, number=1),)
    later = new.at + timedelta(minutes=5)
    state = state_at(new, events, later)
    told_of = state.of_run(run.id)
    assert (told_of.status, told_of.good, told_of.remaining) == (RunStatus.FINISHED, pieces, 0)
    # The count tells how it ended: it didn't go on at the planned pace.
    assert not told_of.assumed
    whole, at = run.content.quantity, clock(there.end)
    (line_of,) = [line for line in standing_lines(new, state) if f"run {run.number} " in line]
    assert line_of.endswith(f"cancelled) stopped at {at}: {pieces} of {whole} pieces done, as counted")
    once_more = again(new, at=later, events=events)
    assert next(one for one in once_more.runs if one.id == run.id).content.quantity == pieces
    # Taken back, the order is pressed to its end: the rest is a run of its own.
    back = again(replace(new, between=NOTHING), at=later, events=events)
    rest = next(one for one in back.runs if one.id == f"{run.id} rest")
    assert rest.content.quantity == run.content.quantity - pieces


@pytest.mark.parametrize("more", [None, -2])
def test_later_on_a_stop_is_no_change_any_more_whatever_was_counted(printed: Plan, more: int | None) -> None:
    """Whoever stopped it has a new sheet hours later: the run is over, and nothing of it is told again."""
    _, run, new = stopped(printed)
    assert new.at is not None
    there = next(one for one in new.runs if one.id == run.id)
    pieces = there.content.quantity + (more or 0)
    events = ()
    if more is not None:
        (event,) = entries_of(
            RunLine(run=run.id, pieces=pieces, source=Source(file="x")),
            there,
            new,
            (),
            counted_at=there.end,
            entered=there.end,
        )
        events = (replace(event, number=1),)
    later = new.at + timedelta(hours=2)
    after = replace(again(new, at=later, events=events), at=later)
    assert next(one for one in after.runs if one.id == run.id).content.quantity == pieces
    others = [one for one in differences(new, after) if one.run != run.id]
    # As if that run were no part of either.
    assert counts(new, after, differences(new, after)) == counts(new, after, others)
    swap = compare(new, after, later)
    owner = [one for one in sheets_of(after) if (one.side, one.name) == ("operator", run.operator)]
    change = replace(swap, swaps=tuple(Swap(old=None, new=one) for one in owner))
    said = told(new, after, differences(new, after), change, "operator")
    assert not any(f"run {run.number}" in line for one in said for line in one.moved)


def test_spoiled_pieces_of_a_cancelled_order_are_not_pressed_again(printed: Plan) -> None:
    run, at = under_way(printed)
    both = replace(cancel(run), press_again=True)
    line = RunLine(
        run=run.id, pieces=run.content.quantity - 2, spoiled=2, ended=True, source=Source(file="x")
    )
    (event,) = entries_of(line, run, printed, (), counted_at=at, entered=at)
    events = (replace(event, number=1),)
    wanted = again(
        printed, at=at + timedelta(minutes=1), between=Disruptions(press_again=True), events=events
    )
    assert [part.run for part in wanted.parts] == [run.id]
    assert again(printed, at=at + timedelta(minutes=1), between=both, events=events).parts == ()


def test_the_call_to_count_says_that_nothing_more_is_pressed(printed: Plan) -> None:
    run, at = under_way(printed)
    between = cancel(run)
    rest = rest_with(printed, at=at, between=between)
    state = state_at(printed, (), at)
    (doubt,) = doubts_of_stopped(
        printed, state, rest.problem.parts, rest.moment.begun, cancelled=between.cancelled
    )
    assert "is cancelled: nothing more of it is pressed" in doubt.mend and "the rest" not in doubt.mend
    down = Disruptions(down=(PressDown(press=run.press),))
    rest = rest_with(printed, at=at, between=down)
    (doubt,) = doubts_of_stopped(printed, state, rest.problem.parts, rest.moment.begun)
    assert "gives the rest the right number" in doubt.mend


def with_fewer_pieces(printed: Plan) -> tuple[PlannedRun, datetime, Rest, int]:
    """A run under way of one size, and the rest of the day with its order cut down to what is said."""
    run = next(
        run
        for run in printed.runs
        if run.content.quantity >= 12
        and len(run.content.pieces) == 1
        and run.content.lots == 1
        and not run.content.names
        and all(one.id == run.id or one.content.order != run.content.order for one in printed.runs)
    )
    at = (run.pressing_start + (run.end - run.pressing_start) / 4).replace(second=0)
    order = next(one for one in printed.given if one.id == run.content.order)
    (line,) = order.lines
    (sized,) = [one for one in line.sizes if one.quantity]
    wanted = run.content.quantity - 5
    less = replace(order, lines=(replace(line, sizes=(replace(sized, quantity=wanted),)),))
    return run, at, plan_rest(printed, (), state_at(printed, (), at), changed=(less,)), wanted


def test_a_run_under_way_that_keeps_pieces_nobody_wants_is_said_with_what_to_do(printed: Plan) -> None:
    run, at, rest, wanted = with_fewer_pieces(printed)
    state = state_at(printed, (), at)
    (doubt,) = doubts_of_fewer(printed, state, rest.problem.between.fewer, rest.problem.parts)
    assert f"goes on to {run.content.quantity} pieces, 5 more than are wanted" in doubt.found
    assert f"pressday done {run.number} --pieces {wanted} --finished HH:MM" in doubt.mend
    # Said once: the next version has the change already.
    known = replace(printed, between=rest.problem.between)
    assert doubts_of_fewer(known, state, rest.problem.between.fewer, rest.problem.parts) == []
    early = state_at(printed, (), run.start - timedelta(hours=1))
    assert doubts_of_fewer(printed, early, (), ()) == []


@pytest.mark.parametrize("short", [0, 2])
def test_pieces_that_nobody_wants_any_more_are_not_missing(printed: Plan, short: int) -> None:
    run, at, rest, wanted = with_fewer_pieces(printed)
    result = solved(rest.instance, rest.kept)
    verdict = check(rest.instance, result.schedule)
    new = replace(plan_again(rest, result, verdict, verdict_of(rest, result), (), version=2), at=at)
    over = run.end - timedelta(minutes=1)
    line = RunLine(run=run.id, pieces=wanted - short, finished=over, source=Source(file="x"))
    (event,) = entries_of(line, run, new, (), counted_at=over, entered=over)
    state = state_at(new, (replace(event, number=1),), over)
    assert state.of_run(run.id).owed == short
    (order,) = [one for one in state.orders if one.order == run.content.order]
    assert order.missing == short
