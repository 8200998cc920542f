"""Ends of runs that can hardly have been are doubted, with why; their neighbours that can are not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.daybook.run_times import faults_beside
from scheduler.domain.faults import Severity, Source
from scheduler.domain.progress import EventKind, RunLine
from tests.daybook.small import at, small_plan
from tests.daybook.test_state import news

PLAN = small_plan()
STARTED, FINISHED = EventKind.STARTED, EventKind.FINISHED


def doubt(line: RunLine, *said: tuple[EventKind, str, str | None, dict[str, object]], now: str = "") -> str:
    """What is doubted of a line; empty: nothing."""
    run = next(one for one in PLAN.runs if one.id == line.run)
    found = faults_beside(line, run, PLAN, news(*said), counted_at=at(now) if now else None)
    assert len(found) <= 1 and all(one.severity is Severity.DOUBT for one in found)
    return "".join(f"{one.found}; expected {one.expected}" for one in found)


def done(name: str, clock: str = "", **boxes: object) -> RunLine:
    finished = at(clock) if clock else None
    line = RunLine(run=name, source=Source(file="x"), finished=finished, ended=True)
    return replace(line, **boxes)  # type: ignore[arg-type]


ABOUT = "expected about the 30 min that are planned for so many"


@pytest.mark.parametrize(
    ("clock", "said"),
    [
        ("8:56", "run 3: 30 pieces by 08:56, 13 min after it was to begin, at 08:43; " + ABOUT),
        ("8:57", ""),
        ("8:40", "run 3: 30 pieces by 08:40, and it was to begin at 08:43; " + ABOUT),
    ],
)
def test_too_little_time_since_it_was_to_begin(clock: str, said: str) -> None:
    assert doubt(done("A-back", clock)) == said
    # By the clock of the computer it is the same.
    assert doubt(done("A-back"), now=clock) == said


def test_who_is_ahead_and_enters_it_is_not_doubted() -> None:
    """Run 1 was over at 8:25, so run 3 could begin then; with its start that alone counts."""
    before = (FINISHED, "A-front", "8:25", {"pieces": 30})
    assert doubt(done("A-back", "8:41"), before) == ""
    assert doubt(done("A-back", "8:38"), before) == (
        "run 3: 30 pieces by 08:38, 13 min after the run before it ended, at 08:25; " + ABOUT
    )
    assert doubt(done("A-back", "8:41", started=at("8:20"))) == ""
    # So few pieces are soon done.
    assert doubt(done("A-back", pieces=4, ended=False), now="8:45") == ""
    assert doubt(done("A-back", pieces=12, ended=False), now="8:45").startswith(
        "run 3: 12 pieces by 08:45, 2 min"
    )


def test_a_run_in_place_of_another_that_is_under_way() -> None:
    """Run 1 is at Press 1, by Ana, since 8:16, and goes on until about 8:46."""
    under_way = (STARTED, "A-front", "8:16", {})
    one_at_a_time = "; expected one run at a time at a press, and by a person"
    said = f"run 1 is under way at Press 1 since 08:16{one_at_a_time}"
    assert doubt(done("A-back", "8:43"), under_way) == f"run 3: finished 08:43, but {said}"
    # By then it is over.
    assert "under way" not in doubt(done("A-back", "8:47"), under_way)
    # Elsewhere and by somebody else it has nothing to do with it.
    assert doubt(done("B-front", "8:44"), under_way) == ""
    assert doubt(done("B-front", "8:44", who="Ana"), under_way) == (
        f"run 2: finished 08:44, but run 1 is under way by Ana since 08:16{one_at_a_time}"
    )
    assert doubt(done("B-front", "8:44", press="Press 1"), under_way) == f"run 2: finished 08:44, but {said}"
    few = done("D-front", pieces=4, ended=False)
    assert doubt(few, under_way, now="8:30") == f"run 5: counted 08:30, but {said}"


def test_a_run_in_the_time_of_another_that_is_over() -> None:
    over = ((STARTED, "C-front", "9:00", {}), (FINISHED, "C-front", "9:55", {"pieces": 60}))
    said = "but run 4 was pressed at Press 2 from 09:00 to 09:55"
    assert said in doubt(done("B-front", "9:20"), *over)
    assert doubt(done("B-front", "9:00"), *over) == ""
    # Noted to the minute: the one began as the other ended.
    assert doubt(done("B-front", "9:01", started=at("8:12")), *over) == ""
    assert said in doubt(done("B-front", "9:10", started=at("8:30")), *over)
    assert said in doubt(done("E-front", "10:20", started=at("9:40")), *over)
    assert doubt(done("E-front", "10:20", started=at("9:55")), *over) == ""
    # Entered in one minute, when somebody had time for it: that says nothing.
    assert doubt(done("B-front", "9:55"), *over) == ""
