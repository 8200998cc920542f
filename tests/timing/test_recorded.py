"""What entries tell of times, followed with pencil and paper on the small day.

Its runs have a fixed part of 2 minutes: fetching the box and checking the first piece.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.progress import Event
from scheduler.timing.recorded import Counted, Recorded, Unusable, Why, recorded
from tests.daybook.small import DAY, small_plan
from tests.daybook.test_state import BACK, FINISHED, PIECES, STARTED, news
from tests.planning.test_beside import both_planned
from tests.planning.test_cut_off import printed
from tests.planning.test_rests import RUN, finished, run_of, stopped

PLAN = small_plan()


def one(*events: Event) -> Recorded:
    (timed,), unusable = recorded(PLAN, events)
    assert unusable == ()
    return timed


def why(*events: Event) -> Why:
    timed, (left,) = recorded(PLAN, events)
    assert timed == ()
    return left.why


def test_a_run_with_start_and_end() -> None:
    """Run 1: 30 minutes planned; 35 from start to end, less the fixed part: 33 against 28."""
    run = one(
        *news((STARTED, "A-front", "8:12", {}), (FINISHED, "A-front", "8:47", {"pieces": 28, "spoiled": 2}))
    )
    assert (run.took_s, run.planned_s, run.pieces) == (33 * 60, 28 * 60, 30)
    assert run.ratio == pytest.approx(33 / 28)
    assert (run.day, run.number, run.press, run.person) == (DAY, 1, "Press 1", "Ana")
    assert (run.placement, run.transfer, run.fabric) == ("front", "film", "cotton")
    assert run.counts == (Counted(pieces=30, took_s=33 * 60.0),)


def test_the_changeover_is_not_in_it_and_breaks_are_taken_off() -> None:
    """Run 6, first piece at 9:56: 45 minutes to 10:41, less 15 of break and 2 fixed are 28, against 18."""
    run = one(*news((STARTED, "E-front", "9:56", {}), (FINISHED, "E-front", "10:41", {"pieces": 20})))
    assert (run.took_s, run.planned_s) == (28 * 60, 18 * 60)


def test_fewer_pieces_are_held_against_the_plan_for_so_many() -> None:
    """Half of run 1's pieces: 14 of its 28 minutes."""
    run = one(*news((STARTED, "A-front", "8:12", {}), (FINISHED, "A-front", "8:28", {"pieces": 15})))
    assert (run.pieces, run.planned_s, run.took_s) == (15, 14 * 60, 14 * 60)


def test_it_counts_for_the_press_and_person_that_really_did_it() -> None:
    end = {"pieces": 30, "press": "Press 2", "who": "Ben"}
    run = one(*news((STARTED, "A-front", "8:12", {}), (FINISHED, "A-front", "8:42", end)))
    assert (run.press, run.person, run.ratio) == ("Press 2", "Ben", 1)


def test_counts_on_the_way_start_after_the_fixed_part() -> None:
    """Run 1 begun 8:12, its first piece at 8:14: 10 pieces at 8:29 took 15 minutes, 30 at 8:49 35."""
    run = one(
        *news(
            (STARTED, "A-front", "8:12", {}),
            (PIECES, "A-front", "8:29", {"pieces": 9, "spoiled": 1}),
            (PIECES, "A-front", "8:40", {"pieces": 5}),
            (FINISHED, "A-front", "8:49", {"pieces": 30}),
        )
    )
    assert [(count.pieces, count.took_s / 60) for count in run.counts] == [(10, 15), (30, 35)]


def test_what_was_corrected_or_taken_back_is_not_counted() -> None:
    run = one(
        *news(
            (STARTED, "A-front", "7:00", {}),
            (STARTED, "A-front", "8:12", {"corrects": "1"}),
            (FINISHED, "A-front", "8:42", {"pieces": 30}),
            (FINISHED, "B-front", "8:52", {"pieces": 20}),
            (BACK, "B-front", None, {"corrects": "4"}),
        )
    )
    assert run.ratio == 1


@pytest.mark.parametrize(
    ("start", "end", "reason"),
    [
        (None, "8:42", Why.NO_TIMES),
        ("8:12", None, Why.NO_TIMES),
        ("8:12", "8:14", Why.TOO_SHORT),
    ],
)
def test_a_finished_run_that_tells_nothing_is_named(start: str | None, end: str | None, reason: Why) -> None:
    events = news((STARTED, "A-front", start, {}), (FINISHED, "A-front", end, {"pieces": 30}))
    assert why(*events) is reason
    assert recorded(PLAN, events)[1] == (Unusable(day=DAY, number=1, why=reason),)


def test_one_minute_of_pressing_is_enough() -> None:
    run = one(*news((STARTED, "A-front", "8:12", {}), (FINISHED, "A-front", "8:15", {"pieces": 30})))
    assert run.took_s == 60


def test_somebody_whom_the_plan_has_no_time_for() -> None:
    end = {"pieces": 30, "who": "Zoe"}
    assert why(*news((STARTED, "A-front", "8:12", {}), (FINISHED, "A-front", "8:42", end))) is Why.NO_STANDARD
    none = {"pieces": 0, "spoiled": 0}
    assert (
        why(*news((STARTED, "A-front", "8:12", {}), (FINISHED, "A-front", "8:42", none))) is Why.NO_STANDARD
    )


def test_a_run_that_is_not_finished_is_no_business_of_times() -> None:
    assert recorded(PLAN, news((STARTED, "A-front", "8:12", {}))) == ((), ())


def test_runs_come_by_number_with_what_a_pair_was() -> None:
    first = PLAN.runs[0]
    laid = first.content.laid[0]
    pair = replace(first.content, laid=(laid, replace(laid, placement="neck label", transfer="vinyl")))
    plan = replace(PLAN, runs=(*PLAN.runs[1:], replace(first, content=pair)))
    timed, _ = recorded(
        plan,
        news(
            (STARTED, "A-back", "8:43", {}),
            (FINISHED, "A-back", "9:13", {"pieces": 30}),
            (STARTED, "A-front", "8:12", {}),
            (FINISHED, "A-front", "8:42", {"pieces": 30}),
        ),
    )
    assert [run.number for run in timed] == [1, 3]
    assert (timed[0].placement, timed[0].transfer) == ("front + neck label", "film + vinyl")


def test_a_run_at_two_presses_is_held_against_the_two_together() -> None:
    """150 garments at Left and Right from 8:10; done to the minute, but for the fixed part at the start."""
    plan = both_planned()
    run = plan.runs[0]
    first = run.pressing_start
    said = Event(
        id="1", number=1, day=plan.day, version=1, kind=STARTED, run=run.id, at=first, entered=run.end
    )
    end = replace(said, id="2", number=2, kind=FINISHED, at=run.end, pieces=150)
    (timed,), _ = recorded(plan, (said, end))
    assert (timed.press, timed.ratio) == ("Left + Right", pytest.approx(1))
    # At one press alone the plan's standards are nearly twice as long.
    (timed,), _ = recorded(plan, (said, replace(end, press="Right")))
    assert timed.press == "Right" and timed.ratio < 0.55


def test_a_run_that_was_stopped_is_held_against_the_plan_for_what_it_pressed() -> None:
    """Its rest has the other pieces: of the time of all ten it has the share of those that it pressed."""
    plan = stopped()
    run, (part,) = run_of(plan, RUN), [one for one in plan.parts if one.run == RUN]
    assert (run.content.quantity, part.pieces) == (part.done, 10 - part.done)
    begun = replace(finished(plan, RUN, part.done), id="begun", kind=STARTED, at=run.pressing_start, number=1)
    (timed,), _ = recorded(plan, (replace(begun, pieces=None), finished(plan, RUN, part.done)))
    (whole,), _ = recorded(
        printed(), (replace(begun, pieces=None), replace(finished(plan, RUN, 10), at=run.end))
    )
    assert timed.planned_s == pytest.approx(whole.planned_s * part.done / 10)
    assert timed.ratio == pytest.approx(1, abs=0.25)
