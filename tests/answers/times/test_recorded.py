"""What `pressday times --recorded` says of standards: one line for those that can't be told apart."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from scheduler.answers.pictures import shares_of
from scheduler.answers.times.recorded import recorded_lines
from scheduler.domain.figures import figure
from scheduler.plans.recorded import Days
from scheduler.timing.judged import Judged, Kind, Rest, Share, Standard
from scheduler.timing.study import FEW
from tests.sheets.sample_plan import sample_plan


def standing(kind: Kind, name: str, best: float, *, together: tuple[tuple[Kind, str], ...] = ()) -> Standard:
    """A standard that is off, of 20 runs at 40 s."""
    share = Share(best=best, low=best - 0.1, high=best + 0.1)
    return Standard(
        kind=kind,
        name=name,
        runs=20,
        pieces=400,
        of_planned=share,
        beside_all=share if name else Share(best=1, low=1, high=1),
        chance=0.99,
        off=True,
        planned_piece_s=40.0,
        together=together,
    )


def told(*standards: Standard, **more: Any) -> list[str]:
    days = Days(days=(date(2027, 3, 9),), runs=(), unusable=(), crew=())
    made = Judged(standards=standards, odd=(), learnt=(), noise=0.1, **more)
    return recorded_lines(days, made, confidence=0.95)


@pytest.mark.parametrize(
    ("kind", "name", "best", "said"),
    [
        (Kind.ALL, "", 1.25, "the planned times are too short at all presses and for all people alike"),
        (Kind.ALL, "", 0.8, "the planned times are too long at all presses and for all people alike"),
        (Kind.PRESS, "Press 1", 1.25, "the planned times are too short here"),
    ],
)
def test_what_is_off_says_which_way_and_for_which_work(kind: Kind, name: str, best: float, said: str) -> None:
    words = " ".join(told(standing(kind, name, best), alike=True))
    assert f"{said}: 40 s a piece are planned, {40 * best:g} s would be right" in words


def test_an_excess_that_is_not_of_all_work_is_not_said_of_all() -> None:
    every = standing(Kind.ALL, "", 1.25)
    for carried_by, said in (
        ("press Cap press", "too short on average, but not without the runs of press Cap press"),
        ("", "too short on average, but these days don't show that it is so for all work alike"),
    ):
        words = " ".join(told(every, carried_by=carried_by))
        assert said in words
        assert "all presses" not in words


def test_all_work_without_what_is_off() -> None:
    rest = Rest(runs=15, of_planned=Share(best=1.02, low=0.97, high=1.07), planned_piece_s=38.0)
    words = told(replace(standing(Kind.ALL, "", 1.25), off=False), rest=rest)
    said = (
        "  1.25 (1.15 to 1.35), 20 runs; without what is called too short or too long below: "
        "1.02 (0.97 to 1.07), 15 runs; not off as far as these days tell"
    )
    assert said in words


@pytest.mark.parametrize(("runs", "few"), [(2, True), (FEW - 1, True), (FEW, False)])
def test_few_runs_are_called_few(runs: int, few: bool) -> None:
    """Of all work, of what remains of it, of a press and of a person; with the number that a study needs."""
    share = Share(best=1.25, low=1.15, high=1.35)
    lines = told(
        replace(standing(Kind.ALL, "", 1.25), runs=runs),
        replace(standing(Kind.PRESS, "Cap press", 1.25), runs=runs),
        replace(standing(Kind.PERSON, "Cleo", 1.25), runs=runs),
        rest=Rest(runs=runs, of_planned=share, planned_piece_s=38.0),
    )
    words = " ".join(lines)
    said = f"(1.15 to 1.35), {runs} runs, a first guess from so few ({FEW} are needed at least)"
    assert words.count(said) == (4 if few else 0)
    assert words.count(f"(1.15 to 1.35), {runs} runs") == 4


@pytest.mark.parametrize(("runs", "holds"), [(2, "nothing speaks against it so far"), (FEW, "which holds")])
def test_few_runs_do_not_bear_a_pace_out(runs: int, holds: str) -> None:
    person = sample_plan().shop.crew[0]
    days = Days(days=(date(2027, 3, 9),), runs=(), unusable=(), crew=(person,))
    one = replace(standing(Kind.PERSON, person.name, 1.02), runs=runs, off=False)
    lines = recorded_lines(days, Judged(standards=(one,), odd=(), learnt=(), noise=0.1), confidence=0.95)
    (line,) = [line for line in lines if line.startswith(f"  {person.name}: ")]
    assert line.endswith(f"; planned with a pace of {figure(100 * person.pace)} %, {holds}")


def test_standards_that_always_came_together_have_one_line() -> None:
    lines = told(
        standing(Kind.PRESS, "Cap press", 1.25, together=((Kind.PLACEMENT, "cap front"),)),
        standing(Kind.PLACEMENT, "cap front", 1.25, together=((Kind.PRESS, "Cap press"),)),
    )
    (press,) = [line for line in lines if line.startswith("  Cap press")]
    assert press.startswith("  Cap press with placement cap front: 1.25 (1.15 to 1.35), 20 runs; the planned")
    assert "40 s a piece are planned, 50 s would be right" in press
    assert "  cap front: has the very same 20 runs as press Cap press, see there" in lines


def test_standards_that_always_came_together_are_drawn_once_and_without_people() -> None:
    made = Judged(
        standards=(
            standing(Kind.ALL, "", 1.25),
            standing(
                Kind.PRESS, "Cap press", 1.25, together=((Kind.PLACEMENT, "cap front"), (Kind.PERSON, "Cleo"))
            ),
            standing(
                Kind.PLACEMENT, "cap front", 1.25, together=((Kind.PRESS, "Cap press"), (Kind.PERSON, "Cleo"))
            ),
            standing(
                Kind.PERSON, "Cleo", 1.25, together=((Kind.PRESS, "Cap press"), (Kind.PLACEMENT, "cap front"))
            ),
        ),
        odd=(),
        learnt=(),
        noise=0.1,
        rest=Rest(runs=15, of_planned=Share(best=1.02, low=0.97, high=1.07), planned_piece_s=38.0),
    )
    assert [line.words for line in shares_of(made)] == [
        "all work: 1.25 (1.15 to 1.35)",
        "all work without what is off: 1.02 (0.97 to 1.07)",
        "press Cap press with placement cap front: 1.25 (1.15 to 1.35)",
    ]
