"""How a day stands at a moment, by cases followed with pencil and paper on the small day."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.answers.progress import standing_lines
from scheduler.daybook.facts import standing
from scheduler.daybook.state import state_at
from scheduler.domain.day_state import DayState, RunStatus
from scheduler.domain.disruptions import PartKind, RunPart
from scheduler.domain.progress import Event, EventKind
from tests.daybook.small import DAY, at, small_plan

STARTED, PIECES, FINISHED, BACK = (
    EventKind.STARTED,
    EventKind.PIECES,
    EventKind.FINISHED,
    EventKind.TAKEN_BACK,
)
NOT, ON, DONE = RunStatus.NOT_STARTED, RunStatus.UNDER_WAY, RunStatus.FINISHED
PLAN = small_plan()


def news(*said: tuple[EventKind, str, str | None, dict[str, object]]) -> list[Event]:
    """Entries in the order given, numbered from 1, with their number as id."""
    return [
        Event(
            id=str(number),
            number=number,
            day=DAY,
            version=1,
            kind=kind,
            run=run,
            at=at(clock) if clock else None,
            entered=values.pop("entered", at("18:00")),  # type: ignore[arg-type]
            **values,  # type: ignore[arg-type]
        )
        for number, (kind, run, clock, values) in enumerate(said, start=1)
    ]


def day(clock: str, *said: tuple[EventKind, str, str | None, dict[str, object]]) -> DayState:
    return state_at(PLAN, news(*said), at(clock))


def behind(state: DayState) -> dict[str, float]:
    return {person.person: person.behind_minutes for person in state.people}


def test_no_news_is_as_planned() -> None:
    """At 9:00 run 3 has pressed from 8:43, 17 of 30 pieces at one a minute, run 4 from 8:52, 8 of 60."""
    state = day("9:00")
    assert [(run.status, run.assumed) for run in state.runs] == [
        (DONE, True), (DONE, True), (ON, True), (ON, True), (NOT, False), (NOT, False),
    ]  # fmt: skip
    third, fourth = state.of_run("A-back"), state.of_run("C-front")
    assert (third.good, third.remaining, third.start, third.end) == (17, 13, at("8:43"), at("9:13"))
    assert (fourth.good, fourth.remaining) == (8, 52)
    assert behind(state) == {"Ana": 0.0, "Ben": 0.0}
    ana = state.people[0]
    assert (ana.due_minutes, ana.running, ana.free_from) == (47.0, "A-back", at("9:13"))
    assert [(order.behind_minutes, order.late_minutes) for order in state.orders] == [(0.0, 0.0)] * 5
    assert [(order.order, order.runs_done, order.runs) for order in state.orders][:2] == [
        ("A", 1, 2),
        ("B", 1, 1),
    ]
    assert len(state.assumed) == 4
    assert state.news == ()


@given(st.integers(min_value=0, max_value=24 * 60))
def test_without_news_nobody_is_behind_at_any_moment_and_all_times_are_the_plan_s(minute: int) -> None:
    moment = datetime(2027, 3, 9) + timedelta(minutes=minute)
    state = state_at(PLAN, (), moment)
    for run in state.runs:
        assert (run.start, run.end) == (run.planned_start, run.planned_end)
        expected = DONE if run.end <= moment else ON if run.start <= moment else NOT
        assert run.status is expected
        assert run.good + run.remaining == run.quantity
    assert set(behind(state).values()) == {0.0}
    assert {order.behind_minutes for order in state.orders} == {0.0}


def test_a_run_that_ends_late_puts_off_what_comes_after_it() -> None:
    """Run 1 ended at 9:00, 18 minutes late. Run 3 needs a minute of heating then: 9:01 to 9:31, and has 9
    pieces at 9:10. Ana's sheet has 30 + 27 minutes by 9:10; 30 + 9 are done. Order A: 9:31 and 5 minutes of
    packing, 6 after its cut-off. Run 5 heats for 2 minutes: 9:33, 27 minutes to the break, 33 after: 10:48.
    """
    state = day("9:10", (FINISHED, "A-front", "9:00", {"pieces": 30}))
    first, third, fifth = (state.of_run(run) for run in ("A-front", "A-back", "D-front"))
    assert (first.status, first.assumed, first.end) == (DONE, False, at("9:00"))
    assert (third.status, third.assumed) == (ON, True)
    assert (third.start, third.end, third.good, third.remaining) == (at("9:01"), at("9:31"), 9, 21)
    assert (fifth.status, fifth.start, fifth.end) == (NOT, at("9:33"), at("10:48"))
    assert behind(state) == {"Ana": 18.0, "Ben": 0.0}
    orders = {
        order.order: (order.finished, order.behind_minutes, order.late_minutes) for order in state.orders
    }
    assert orders["A"] == (at("9:36"), 18.0, 6.0)
    assert orders["B"] == (at("8:57"), 0.0, 0.0)
    assert orders["D"] == (at("10:53"), 18.0, 0.0)


def test_of_runs_whose_begin_nobody_noted_none_begins_before_the_one_before_it_ended() -> None:
    """Run 1 ended at 9:00, 18 minutes late; run 3, of the same person, at 9:31."""
    first, third = (EventKind.FINISHED, "A-front", "9:00", {}), (EventKind.FINISHED, "A-back", "9:31", {})
    for said in ((first, third), (third, first)):
        state = day("9:40", *said)
        assert state.of_run("A-front").end == state.of_run("A-back").start == at("9:00")
        assert state.of_run("A-back").end == at("9:31")
    begun = day("9:40", first, (EventKind.STARTED, "A-back", "8:58", {}), third)
    assert begun.of_run("A-back").start == at("8:58")


def test_a_run_that_ends_early_leaves_its_person_ahead_until_the_next_is_due() -> None:
    """At 8:35 the plan has 23 minutes of run 1; all 30 are done. At 8:43 there is nothing between them."""
    early = (FINISHED, "A-front", "8:30", {})
    assert behind(day("8:35", early))["Ana"] == -7.0
    state = day("8:43", early)
    assert behind(state)["Ana"] == 0.0
    assert state.of_run("A-back").start == at("8:43")
    assert day("8:29", early).of_run("A-front").assumed, "what comes later is not known yet"


def test_after_a_count_a_run_goes_on_at_the_planned_pace_and_over_the_break() -> None:
    """Run 4 had 25 good and 1 spoiled piece at 9:30: 34 are left, 30 until the break, 4 after it, 10:19. At
    9:40 Ben's sheet has 44 + 48 minutes; done are 44 + 60 less the 24 still to come. Run 6 swaps until 10:23.
    """
    count = (PIECES, "C-front", "9:30", {"pieces": 25, "spoiled": 1})
    now = day("9:30", count).of_run("C-front")
    assert (now.status, now.assumed, now.good, now.spoiled, now.remaining) == (ON, False, 25, 1, 34)
    state = day("9:40", count)
    later = state.of_run("C-front")
    assert (later.good, later.remaining, later.end) == (35, 24, at("10:19"))
    assert behind(state) == {"Ana": 0.0, "Ben": 12.0}
    sixth = state.of_run("E-front")
    assert (sixth.start, sixth.end) == (at("10:19"), at("10:43"))
    (order,) = [order for order in state.orders if order.order == "E"]
    assert (order.behind_minutes, order.late_minutes) == (12.0, 8.0)
    done = day("10:19", count).of_run("C-front")
    assert (done.status, done.assumed, done.good, done.spoiled, done.owed) == (DONE, True, 59, 1, 1)


def test_a_later_count_counts_from_there_whatever_was_entered_first() -> None:
    counts = [(PIECES, "C-front", "9:30", {"pieces": 25}), (PIECES, "C-front", "9:20", {"pieces": 10})]
    assert day("9:30", *counts).of_run("C-front").remaining == 35
    assert day("9:25", *counts).of_run("C-front").remaining == 45


def test_a_run_begun_late_ends_late() -> None:
    """Run 5, begun at 9:25 instead of 9:15: 35 minutes to the break, 25 after it."""
    state = day("9:30", (STARTED, "D-front", "9:25", {}))
    run = state.of_run("D-front")
    assert (run.status, run.assumed, run.start, run.end, run.good) == (ON, False, at("9:25"), at("10:40"), 5)
    assert behind(state)["Ana"] == 10.0
    assert day("10:40", (STARTED, "D-front", "9:25", {})).of_run("D-front").assumed


def test_started_is_the_first_pressing_with_the_set_up_before_it() -> None:
    """Run 6 has 4 minutes of swapping: started at 9:58 it was begun at 9:54, and has a piece at 9:59."""
    begun = (STARTED, "E-front", "9:58", {})
    assert day("9:58", begun).of_run("E-front").start == at("9:54")
    assert day("9:58", begun).of_run("E-front").good == 0
    assert day("9:59", begun).of_run("E-front").good == 1


def test_a_run_started_at_the_large_time_on_its_sheet_is_not_behind() -> None:
    """The sheet says 9:56 for run 6, whose changeover begins at 9:52: nobody is blamed for changing over."""
    state = day("10:00", (STARTED, "E-front", "9:56", {}))
    run = state.of_run("E-front")
    assert (run.start, run.end) == (run.planned_start, run.planned_end)
    assert behind(state)["Ben"] == 0.0


def test_a_changeover_was_shorter_when_the_run_before_it_ended_late() -> None:
    """Run 4 ended at 9:55 and run 6 was started at 9:58: its four minutes of swapping took three."""
    state = day("10:00", (FINISHED, "C-front", "9:55", {}), (STARTED, "E-front", "9:58", {}))
    assert state.of_run("E-front").start == at("9:55")
    assert state.of_run("C-front").end == at("9:55")


def test_spoiled_and_missing_pieces_of_a_finished_run_are_owed() -> None:
    state = day("9:00", (FINISHED, "A-front", "8:42", {"pieces": 28, "spoiled": 2, "reason": "scorched"}))
    run = state.of_run("A-front")
    assert (run.good, run.spoiled, run.remaining, run.owed) == (28, 2, 0, 2)
    assert [order.owed for order in state.orders] == [2, 0, 0, 0, 0]
    short = day("9:00", (FINISHED, "A-front", "8:42", {"pieces": 25, "spoiled": 2})).of_run("A-front")
    assert (short.good, short.owed) == (25, 5)
    uncounted = day(
        "9:00",
        (PIECES, "A-front", "8:30", {"pieces": 10, "spoiled": 1}),
        (FINISHED, "A-front", "8:42", {}),
    ).of_run("A-front")
    assert (uncounted.good, uncounted.spoiled, uncounted.owed) == (29, 1, 1)


def test_what_was_on_a_garment_that_a_later_run_spoils_is_owed_too() -> None:
    """A-front is pressed first, A-back after it on the same 30 garments."""
    said = (FINISHED, "A-back", "9:13", {"pieces": 27, "spoiled": 1, "reason": "crease"})
    state = day("9:20", (FINISHED, "A-front", "8:42", {}), said)
    front, back = state.of_run("A-front"), state.of_run("A-back")
    assert (front.good, front.lost, front.unpressed, front.owed) == (30, 1, 0, 1)
    assert (back.lost, back.owed) == (0, 3), "two were only not done: they still have their front"
    assert [piece.quantity for piece in front.lost_of] == [1]
    order = state.orders[0]
    assert (order.owed, order.missing) == (4, 3), "the spoiled garment is one garment"
    assert {run.lost for run in state.runs if run.order != "A"} == {0}


def test_what_comes_after_the_run_that_spoiled_a_garment_loses_nothing() -> None:
    said = (FINISHED, "A-front", "8:42", {"pieces": 28, "spoiled": 2})
    state = day("9:20", said, (FINISHED, "A-back", "9:13", {}))
    assert (state.of_run("A-front").owed, state.of_run("A-back").owed) == (2, 0)


def test_a_run_of_which_nobody_said_anything_has_not_got_what_was_spoiled_before_it() -> None:
    """Unless new garments were asked for while it could still take them."""
    said = (FINISHED, "A-front", "8:42", {"pieces": 28, "spoiled": 2})
    state = day("9:20", said)
    back = state.of_run("A-back")
    assert (back.assumed, back.good, back.lost, back.owed, back.spoiled_owed) == (True, 30, 2, 2, 2)
    assert (state.orders[0].owed, state.orders[0].missing) == (4, 2), "two garments, at two placements"
    under_way = day("9:00", said).of_run("A-back")
    assert (under_way.status, under_way.owed) == (ON, 0)

    def asked(when: str) -> int:
        part = RunPart(
            run="A-front", done=30, pieces=2, spoiled=2, name=PartKind.AGAIN, from_tick=0, asked=at(when)
        )
        events = state.news
        return state_at(replace(small_plan(), parts=(part,)), events, at("9:20")).of_run("A-back").owed

    assert (asked("9:00"), asked("9:15")) == (0, 2)


def test_no_more_is_lost_than_was_pressed() -> None:
    """Two of the front were spoiled themselves; all of the back can't spoil more than the run has pieces."""
    state = day(
        "9:20",
        (FINISHED, "A-front", "8:42", {"pieces": 28, "spoiled": 2}),
        (FINISHED, "A-back", "9:13", {"pieces": 0, "spoiled": 30}),
    )
    assert (state.of_run("A-front").owed, state.of_run("A-back").owed) == (30, 30)


def test_a_finish_without_a_time_is_the_planned_end_or_the_entry_during_the_run() -> None:
    evening = (FINISHED, "A-front", None, {"entered": at("18:00")})
    assert day("8:41", evening).of_run("A-front").status is ON
    at_its_end = day("8:42", evening).of_run("A-front")
    assert (at_its_end.status, at_its_end.end, at_its_end.assumed) == (DONE, at("8:42"), False)
    during = (FINISHED, "A-front", None, {"entered": at("8:35")})
    assert day("8:36", during).of_run("A-front").end == at("8:35")


def test_another_press_and_what_it_does_to_both() -> None:
    """Run 4 was begun at Press 1 at 9:14, with the only youth platen: Press 2 has none any more. It takes 46
    minutes to the break and 14 after it. Run 5 needs Press 1 and 2 minutes of heating then.
    """
    state = day(
        "9:20",
        (FINISHED, "A-back", "9:13", {}),
        (STARTED, "C-front", "9:14", {"press": "Press 1"}),
    )
    fourth, fifth = state.of_run("C-front"), state.of_run("D-front")
    assert (fourth.press, fourth.mode, fourth.operator) == ("Press 1", "Press 1 / youth", "Ben")
    assert (fourth.end, fifth.start) == (at("10:29"), at("10:31"))
    one, two = state.presses
    assert (one.running, one.platen, one.temp_c, one.state) == ("C-front", "youth", 160, (1, 1))
    assert (one.free_from, two.free_from) == (at("10:29"), at("9:20"))
    assert (two.running, two.last, two.platen, two.state) == ("", "B-front", "", (None, 1))


def test_another_person_did_it() -> None:
    """Ben's sheet stays his: what is done of it is done, whoever did it."""
    state = day("9:00", (STARTED, "C-front", "8:52", {"who": "Ana", "led_to": 1}))
    assert state.of_run("C-front").operator == "Ana"
    assert [(one.person, one.running) for one in state.people] == [("Ana", "C-front"), ("Ben", "")]
    assert behind(state)["Ben"] == 0.0
    third = state.of_run("A-back")
    assert (third.status, third.end) == (DONE, at("8:52")), "it was over when she began the other"


def test_a_run_known_to_have_begun_ends_the_one_before_it() -> None:
    state = day("9:00", (STARTED, "D-front", "8:50", {}))
    third = state.of_run("A-back")
    assert (third.status, third.assumed, third.end) == (DONE, True, at("8:50"))
    known = day("9:00", (STARTED, "A-back", "8:43", {}), (STARTED, "D-front", "8:50", {}))
    assert (known.of_run("A-back").status, known.of_run("A-back").end) == (DONE, at("8:50"))


def test_a_run_waits_for_a_later_one_that_was_taken_first() -> None:
    """Run 5 was taken first, 8:12 to 9:27; runs 1 and 3 come after it."""
    state = day("9:30", (STARTED, "D-front", "8:12", {}), (FINISHED, "D-front", "9:27", {}))
    first = state.of_run("A-front")
    assert (first.status, first.start) == (NOT, at("9:33")), (
        "from 180 to 150 degrees at 5 a minute: 6 minutes after 9:27"
    )
    assert state.of_run("A-back").start >= first.end


def test_presses_from_cold_over_heat_to_off() -> None:
    """Press 1 heats from 20 to 150 from 8:00 to 8:12, 160 to 180 from 9:13; off at 10:30."""
    cold, warming, hot, between, off = (
        day(clock).presses[0] for clock in ("7:00", "8:06", "8:12", "9:14", "10:40")
    )
    assert (cold.temp_c, cold.set_to_c, cold.hot, cold.platen, cold.state) == (
        20,
        None,
        False,
        "adult",
        (0, None),
    )
    assert (warming.temp_c, warming.set_to_c, warming.hot, warming.hot_from) == (85, 150, False, at("8:12"))
    assert (hot.temp_c, hot.hot, hot.running, hot.state) == (150, True, "A-front", (0, 0))
    assert (between.running, between.last, between.temp_c, between.set_to_c) == ("", "A-back", 170, 180)
    assert (off.temp_c, off.set_to_c, off.hot, off.free_from) == (130, None, False, at("10:40"))


def test_corrections_and_what_is_taken_back() -> None:
    wrong, right = (FINISHED, "A-front", "9:00", {}), (FINISHED, "A-front", "8:45", {"corrects": "1"})
    assert day("9:05", wrong).of_run("A-front").end == at("9:00")
    corrected = day("9:05", wrong, right)
    assert corrected.of_run("A-front").end == at("8:45")
    assert [event.id for event in corrected.news] == ["2"]
    again = day("9:05", wrong, right, (BACK, "A-front", None, {"corrects": "2"}))
    assert again.of_run("A-front").end == at("9:00"), "taking the correction back brings the first one back"
    nothing = day("9:05", wrong, (BACK, "A-front", None, {"corrects": "1"}))
    assert nothing.of_run("A-front").assumed


def test_what_is_entered_later_counts_whatever_the_clock_says() -> None:
    first, second = news((FINISHED, "A-front", "9:00", {}), (FINISHED, "A-front", "8:45", {}))
    for order in ([first, second], [second, first]):
        assert state_at(PLAN, order, at("9:05")).of_run("A-front").end == at("8:45")


kinds = st.sampled_from([STARTED, PIECES, FINISHED])
said = st.tuples(
    kinds,
    st.sampled_from([run.id for run in PLAN.runs]),
    st.integers(480, 660),
    st.integers(0, 20),
    st.booleans(),
)


@given(st.lists(said, max_size=8), st.integers(470, 700))
def test_whatever_is_said_the_state_holds_together(
    entries: list[tuple[EventKind, str, int, int, bool]], minute: int
) -> None:
    """Nobody is at two runs whose time is known to be apart, pieces add up, and nothing depends on order."""
    moment = datetime(2027, 3, 9) + timedelta(minutes=minute)
    events = [
        Event(
            id=str(number),
            number=number,
            day=DAY,
            version=1,
            kind=kind,
            run=run,
            at=datetime(2027, 3, 9) + timedelta(minutes=when),
            pieces=pieces,
            press="Press 1" if moved else "",
            entered=at("18:00"),
        )
        for number, (kind, run, when, pieces, moved) in enumerate(entries, start=1)
    ]
    state = state_at(PLAN, events, moment)
    assert state == state_at(PLAN, list(reversed(events)), moment)
    for run in state.runs:
        assert run.start <= run.end
        assert 0 <= run.good + run.spoiled + run.remaining <= max(run.quantity, run.good)
        if run.status is not NOT:
            assert run.start <= moment
        if run.status is DONE:
            assert (run.end <= moment, run.remaining) == (True, 0)
        if run.status is NOT:
            assert (run.good, run.remaining, run.start > moment) == (0, run.quantity, True)
    silent = {event.run for event in events if event.at is not None and event.at <= moment}
    for run in state.runs:
        if run.run not in silent and run.status is not NOT:
            assert run.assumed


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"id": ""}, "needs an id"),
        ({"version": 0}, "version 0 is less than 1"),
        ({"pieces": -1}, "a number of pieces is negative"),
        ({"run": ""}, "pieces needs a run"),
        ({"pieces": None}, "pieces without a number"),
        ({"kind": BACK, "corrects": ""}, "taken back, but not what"),
        ({"until": at("8:30")}, "until 2027-03-09 08:30:00 is not after"),
    ],
)
def test_an_entry_that_says_nothing_is_refused(values: dict[str, object], words: str) -> None:
    sound = {
        "id": "x", "day": DAY, "version": 1, "kind": PIECES, "run": "A-front", "pieces": 0, "at": at("8:30"),
        "entered": at("8:31"),
    }  # fmt: skip
    Event(**sound)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=words):
        Event(**{**sound, **values})  # type: ignore[arg-type]


def test_standing_entries_keep_their_order() -> None:
    events = news((STARTED, "A-front", "8:12", {}), (FINISHED, "B-front", "8:50", {}))
    assert standing(reversed(events)) == tuple(events)


@pytest.mark.parametrize(("pressed", "gone", "missing"), [(28, 2, 2), (29, 1, 2), (27, 2, 3), (30, 0, 2)])
def test_what_a_run_could_not_press_since_the_garment_was_spoiled_before_it_is_no_second_garment(
    pressed: int, gone: int, missing: int
) -> None:
    """A-front spoils two of 30; A-back is entered with what it pressed of the others."""
    said = (FINISHED, "A-front", "8:42", {"pieces": 28, "spoiled": 2})
    state = day("9:20", said, (FINISHED, "A-back", "9:13", {"pieces": pressed}))
    back = state.of_run("A-back")
    assert (back.gone, back.owed, back.spoiled_owed) == (gone, 30 - pressed, gone)
    assert (back.spoiled_elsewhere, state.of_run("A-front").spoiled_elsewhere) == (gone, 0)
    assert sum(piece.quantity for piece in back.gone_of) == gone
    assert state.orders[0].missing == missing
    lines = standing_lines(small_plan(), state)
    assert any(f"A Customer A: can't be packed, {missing} pieces spoiled or missing" in one for one in lines)
    (words,) = [one for one in lines if one.startswith("  run 3 (order A)")] or [""]
    assert words.endswith("spoiled at another placement)") == (gone > 0), words
    assert ("not done" in words) == (missing > 2)


def test_a_spoiled_garment_that_is_pressed_again_at_one_placement_is_missing_at_the_other() -> None:
    said = (FINISHED, "A-front", "8:42", {"pieces": 28, "spoiled": 2})
    events = day("9:20", said, (FINISHED, "A-back", "9:13", {"pieces": 28})).news

    def missing(*runs: str) -> int:
        parts = tuple(
            RunPart(run=run, done=30, pieces=2, spoiled=2, name=PartKind.AGAIN, from_tick=0, asked=at("9:20"))
            for run in runs
        )
        return state_at(replace(small_plan(), parts=parts), events, at("9:20")).orders[0].missing

    assert [missing(), missing("A-front"), missing("A-back"), missing("A-front", "A-back")] == [2, 2, 2, 0]


AWAY = EventKind.PERSON_AWAY


def test_who_went_away_has_pressed_nothing_since() -> None:
    """Ana went at 8:30 with 18 of 30 pieces of run 1 pressed, one a minute. Her sheet has 30 + 17 minutes by
    9:00, 18 are done. Back at 9:20 she has 12 minutes to go, then 1 of heating and run 3: 9:33 to 10:18 with
    the break. Ben goes on as planned."""
    gone = (AWAY, "", "8:30", {"who": "Ana", "led_to": 1, "until": at("9:20")})
    state = day("9:00", gone)
    first, third, fourth = (state.of_run(run) for run in ("A-front", "A-back", "C-front"))
    assert (first.status, first.good, first.remaining, first.end) == (ON, 18, 12, at("9:32"))
    assert (third.status, third.start, third.end) == (NOT, at("9:33"), at("10:18"))
    assert (fourth.status, fourth.good) == (ON, 8)
    assert behind(state) == {"Ana": 29.0, "Ben": 0.0}
    counted = day("9:00", gone, (PIECES, "A-front", "8:30", {"pieces": 15})).of_run("A-front")
    assert (counted.status, counted.assumed, counted.good, counted.remaining) == (ON, False, 15, 15)
    taken_back = day("9:00", gone, (BACK, "", None, {"corrects": "1"}))
    assert taken_back == replace(day("9:00"), news=taken_back.news)


def test_an_absence_to_come_is_for_the_next_plan_and_one_with_no_end_is_over_the_next_day() -> None:
    gone = (AWAY, "", "8:30", {"who": "Ana", "led_to": 1})
    assert replace(day("8:29", gone), news=()) == replace(day("8:29"), news=())
    first = day("12:00", gone).of_run("A-front")
    assert (first.status, first.good, first.end) == (ON, 18, datetime(2027, 3, 10, 0, 12))


def test_a_run_whose_person_went_away_keeps_nobody_else_from_its_press_and_is_not_ended_by_them() -> None:
    """Ben begins run 3 at Press 1, on which Ana left run 1 at 8:30; it tells nothing of hers."""
    gone = (AWAY, "", "8:30", {"who": "Ana", "led_to": 1})
    for begun in (
        (STARTED, "A-back", "8:43", {"who": "Ben"}),
        (STARTED, "D-front", "8:43", {"who": "Ben"}),
    ):
        state = day("8:50", gone, begun)
        assert state.of_run("A-front").good == 18
        assert (state.of_run("A-front").status, state.of_run(begun[1]).status) == (ON, ON)
    plan = replace(
        PLAN, runs=tuple(replace(run, operator="Ben") if run.id == "D-front" else run for run in PLAN.runs)
    )
    after = state_at(plan, news((AWAY, "", "9:00", {"who": "Ana", "led_to": 1})), at("9:40"))
    assert (after.of_run("A-back").status, after.of_run("A-back").good) == (ON, 17)
    assert after.of_run("D-front").status is NOT, "Ben is at run 4 until 9:52"
    later = state_at(plan, news((AWAY, "", "9:00", {"who": "Ana", "led_to": 1})), at("9:53"))
    assert later.of_run("D-front").start == at("9:52")
