"""What a run that was stopped had pressed, told before or after its rest is begun, and taken back."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from scheduler.answers.progress import standing_lines
from scheduler.daybook.forecast import Forecast
from scheduler.daybook.state import state_at
from scheduler.domain.day_state import DayState, RunStatus
from scheduler.domain.disruptions import Disruptions, PartKind, PersonAway
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.progress import Event, EventKind
from scheduler.planning.differences import differences
from scheduler.planning.stopped_runs import with_cut_off
from scheduler.sheets.changes import told
from scheduler.sheets.paper import compare
from scheduler.sheets.tally import counts
from scheduler.sheets.under_way import lot_words, stopped_words
from tests.planning.test_again import counted_at
from tests.planning.test_cut_off import AT, printed
from tests.planning.test_idle import planned_again

RUN = "1-front"
REST = "1-front rest"
AGAIN = Disruptions(press_again=True)


def stopped() -> Plan:
    """Ann leaves in the middle of her run of ten pieces, and goes on with it at half past."""
    away = PersonAway(person="Ann", start=AT, end=AT + timedelta(minutes=15))
    return planned_again(printed(), AT, between=Disruptions(away=(away,)))


def run_of(plan: Plan, name: str) -> PlannedRun:
    return next(one for one in plan.runs if one.id == name)


def count(plan: Plan, pieces: int, at: datetime = AT) -> Event:
    return counted_at(plan, run_of(plan, RUN), at, pieces)


def finished(plan: Plan, name: str, pieces: int) -> Event:
    run = run_of(plan, name)
    return Event(
        id=f"finished {name}",
        day=plan.day,
        version=plan.version,
        kind=EventKind.FINISHED,
        run=name,
        at=run.end,
        pieces=pieces,
        entered=run.end,
        number=2,
    )


def pieces(plan: Plan) -> dict[str, int]:
    return {one.id: one.content.quantity for one in plan.runs if one.id.startswith(RUN)}


def missing(state: DayState) -> int:
    return sum(order.missing for order in state.orders)


def test_a_count_at_the_stop_is_all_that_the_run_pressed() -> None:
    """Once its rest is under way, nobody else presses what it didn't: it is missing, and is pressed again."""
    plan = stopped()
    about = run_of(plan, RUN).content.quantity
    assert about > 2
    events = (count(plan, about - 2),)
    rest = run_of(plan, REST)
    state = state_at(plan, events, rest.pressing_start + timedelta(minutes=1))
    run = state.of_run(RUN)
    assert (run.status, run.good, run.owed, run.assumed) == (RunStatus.FINISHED, about - 2, 2, False)
    assert missing(state) == 2
    assert not any("counts as gone on" in line for line in standing_lines(plan, state))
    new = planned_again(plan, state.at, between=AGAIN, events=events)
    assert pieces(new) == {RUN: about, REST: 10 - about, f"{RUN} again": 2}
    (again,) = (part for part in new.parts if part.name is PartKind.AGAIN)
    assert again.spoiled == 0  # their garments are there
    over = max(one.end for one in new.runs) + timedelta(hours=1)
    assert missing(state_at(new, events, over)) == 0


@pytest.mark.parametrize("again", [False, True])
def test_while_the_rest_is_not_begun_it_gets_what_the_run_did_not_do(again: bool) -> None:
    plan = stopped()
    about = run_of(plan, RUN).content.quantity
    events = (count(plan, about - 2),)
    now = AT + timedelta(minutes=2)
    state = state_at(plan, events, now)
    assert (state.of_run(RUN).owed, missing(state)) == (0, 0)
    new = planned_again(plan, now, between=AGAIN if again else Disruptions(), events=events)
    assert pieces(new) == {RUN: about - 2, REST: 12 - about}


def test_where_the_rest_stays_as_printed_what_the_run_did_not_do_is_pressed_again_at_once() -> None:
    """It begins within the notice: no sheet can give it more."""
    plan = stopped()
    about = run_of(plan, RUN).content.quantity
    events = (count(plan, about - 2),)
    soon = run_of(plan, REST).start - timedelta(minutes=1)
    assert missing(state_at(plan, events, soon)) == 0
    new = planned_again(plan, soon, between=AGAIN, events=events)
    assert pieces(new) == {RUN: about, REST: 10 - about, f"{RUN} again": 2}


def test_a_count_that_is_taken_back_gives_the_rest_what_it_was_to_have() -> None:
    plan = stopped()
    about = run_of(plan, RUN).content.quantity
    now = AT + timedelta(minutes=2)
    counted = planned_again(plan, now, events=(count(plan, about - 2),))
    assert pieces(counted)[REST] == 12 - about
    back = planned_again(counted, now + timedelta(minutes=1))
    assert pieces(back) == pieces(plan)
    assert back.orders[0].missing == 0
    assert lot_words(back, run_of(back, REST)) == "the rest, not counted"
    words = stopped_words(back, run_of(counted, RUN), run_of(back, RUN))
    assert words.startswith(f"not counted any more: about {about} of 10 done; the rest is run ")
    # And a count that is corrected before the rest is begun counts as corrected.
    other = planned_again(counted, now + timedelta(minutes=1), events=(count(plan, about - 1),))
    assert pieces(other) == {RUN: about - 1, REST: 11 - about}


def test_a_count_that_was_there_when_the_run_was_stopped_is_a_guess_once_it_is_taken_back() -> None:
    away = PersonAway(person="Ann", start=AT, end=AT + timedelta(minutes=15))
    old = printed()
    plan = planned_again(old, AT, between=Disruptions(away=(away,)), events=(count(old, 3),))
    assert pieces(plan) == {RUN: 3, REST: 7} and not plan.parts[0].assumed
    back = planned_again(plan, AT + timedelta(minutes=2))
    assert pieces(back) == {RUN: 3, REST: 7} and back.parts[0].assumed


@pytest.mark.parametrize("again", [False, True])
def test_what_a_corrected_count_says_is_spoiled_is_owed_at_once(again: bool) -> None:
    """The rest had that garment's piece until then: it presses those of its own now."""
    plan = stopped()
    about = run_of(plan, RUN).content.quantity
    now = AT + timedelta(minutes=2)
    counted = planned_again(plan, now, events=(count(plan, about - 1),))
    events = (replace(count(plan, about - 1), spoiled=1),)
    asked = AGAIN if again else Disruptions()
    new = planned_again(counted, now + timedelta(minutes=1), between=asked, events=events)
    pressed_again = {f"{RUN} again": 1} if again else {}
    assert pieces(new) == {RUN: about, REST: 10 - about, **pressed_again}
    assert new.orders[0].missing == missing(state_at(new, events, now + timedelta(minutes=1))) == 1 - again


def test_a_run_that_was_going_to_be_stopped_and_is_stopped_before_has_one_rest() -> None:
    back = AT + timedelta(minutes=15)
    soon = PersonAway(person="Ann", start=AT, end=back)
    old = planned_again(printed(), AT - timedelta(minutes=4), between=Disruptions(away=(soon,)))
    now = PersonAway(person="Ann", start=AT - timedelta(minutes=2), end=back)
    new = planned_again(old, AT - timedelta(minutes=2), between=Disruptions(away=(now,)))
    was, has = pieces(old), pieces(new)
    assert was.keys() == has.keys() == {RUN, REST}
    assert sum(was.values()) == sum(has.values()) == 10
    assert has[RUN] < was[RUN]
    (part,) = new.parts
    assert part.assumed and (part.done, part.pieces) == (has[RUN], has[REST])


def test_a_rest_that_stays_where_it_is_printed_keeps_its_pieces_when_its_run_stops_sooner() -> None:
    plan = stopped()
    sooner = replace(plan.parts[0], done=2, pieces=plan.parts[0].done - 2)
    kept, more = with_cut_off(plan.parts, [sooner], stays={REST})
    assert kept == plan.parts[0]
    assert (more.task, more.pieces) == (f"{REST} 2", sooner.pieces)
    # Stopped sooner still, the rest that is open gets those pieces, too.
    again = replace(sooner, done=1, pieces=1)
    assert with_cut_off((kept, more), [again], stays={REST}) == (
        kept,
        replace(more, done=1, pieces=more.pieces + 1),
    )


def test_nobody_goes_on_with_a_run_after_it_was_stopped_however_late_the_one_before_was() -> None:
    plan = stopped()
    run = run_of(plan, RUN)
    course = Forecast(plan, {}).courses[RUN]
    assert (course.start, course.end) == (run.start, run.end)
    late = replace(course, start=AT + timedelta(minutes=5), end=AT + timedelta(minutes=9))
    stopped_then = Forecast(plan, {})._as_stopped(late)
    assert (stopped_then.start, stopped_then.end) == (run.end, run.end)


def test_pieces_more_than_were_thought_are_not_missing_in_the_rest() -> None:
    plan = stopped()
    about = run_of(plan, RUN).content.quantity
    left = run_of(plan, REST).content.quantity
    events = (count(plan, about + 2), finished(plan, REST, left - 2))
    over = run_of(plan, REST).end + timedelta(minutes=1)
    state = state_at(plan, events, over)
    assert (state.of_run(RUN).good, state.of_run(REST).owed, missing(state)) == (about + 2, 0, 0)
    state = state_at(plan, (count(plan, about + 2), finished(plan, REST, left - 3)), over)
    assert missing(state) == 1


def test_a_count_before_the_stop_says_nothing_of_its_end() -> None:
    """The run went on from there until its person left."""
    plan = stopped()
    about = run_of(plan, RUN).content.quantity
    early = run_of(plan, RUN).pressing_start + timedelta(minutes=1)
    state = state_at(plan, (count(plan, 1, early),), run_of(plan, REST).end)
    assert (state.of_run(RUN).good, state.of_run(RUN).assumed, missing(state)) == (about, True, 0)


def test_progress_says_how_far_a_stopped_run_came_until_its_count_is_in_the_plan() -> None:
    plan = stopped()
    number, about = run_of(plan, RUN).number, run_of(plan, RUN).content.quantity
    now, later = AT + timedelta(minutes=2), run_of(plan, REST).pressing_start + timedelta(minutes=1)

    def said(plan: Plan, at: datetime, *events: Event) -> list[str]:
        lines = standing_lines(plan, state_at(plan, events, at))
        return [line.split(" stopped at 08:15: ")[1] for line in lines if " stopped at " in line]

    call = f"count them: pressday done {number} --pieces N --at 08:15"
    assert said(plan, now) == [f"about {about} of 10 pieces done, by the planned pace; {call}"]
    told = count(plan, about - 2)
    done = f"{about - 2} of 10 pieces done, as counted"
    assert said(plan, now, told) == [f"{done}; pressday replan gives the rest of it 2 pieces more"]
    assert said(plan, later, told) == [f"{done}: 2 pieces fewer than its rest was planned with"]
    assert said(planned_again(plan, now, events=(told,)), later, told) == []
    again = planned_again(plan, later, between=AGAIN, events=(told,))
    assert said(again, later, told) == []


def test_a_count_after_the_stop_is_told_with_the_rest_and_not_as_a_change_of_what_is_over() -> None:
    """The run was stopped for good; its rest gets the other pieces, and says why."""
    plan = stopped()
    about = run_of(plan, RUN).content.quantity
    now = AT + timedelta(minutes=2)
    for done in (0, about - 2):
        new = planned_again(plan, now, events=(count(plan, done),))
        found = differences(plan, new)
        assert {one.run for one in found} >= {RUN, REST}
        assert counts(plan, new, found).startswith("1 run has other pieces or transfers")
        said = told(plan, new, found, compare(plan, new, now), "operator")
        lines = [line for one in said for line in one.moved]
        assert not any(line.startswith(f"run {run_of(plan, RUN).number},") for line in lines)
        (line,) = [line for line in lines if line.startswith(f"run {run_of(plan, REST).number},")]
        assert f"{10 - about} pieces become {10 - done}, since run 1 did {done} of 10 as counted" in line
