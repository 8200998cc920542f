"""What is shown of a search while it runs."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass, field

import pytest

from scheduler.cli.live_search import PREPARING, USUALLY, LiveTable, PlainLines, how_long, shown
from scheduler.cli.options import Effort
from scheduler.domain.instance import Instance, Job, Machine, Mode, Task
from scheduler.engine.solve import EFFORTS

INSTANCE = Instance(
    name="one run",
    horizon=100,
    machines=(Machine(id="A"),),
    jobs=(Job(id="1"),),
    tasks=(Task(id="1-a", job="1", modes=(Mode(id="A", machine="A", work=5),)),),
)


@dataclass
class State:
    """What the engine reports."""

    elapsed_s: float
    values: dict[str, int]
    bounds: dict[str, int] = field(default_factory=dict)
    moves: int = 0
    note: str = ""


def test_plain_lines_come_at_once_with_the_first_plan_then_with_news_and_now_and_then_without() -> None:
    """News no sooner than five seconds after a line; without any a line comes after half a minute."""
    lines: list[str] = []
    now = [100.0]
    show = PlainLines(INSTANCE, how_long("quick", 20), lines.append, lambda: now[0])
    assert lines == [
        "Looking for a plan of 1 possible run, usually a few seconds, 20 s at the most. "
        "Ctrl-C stops and keeps the best plan so far."
    ]
    values = {"left_over": 0, "lateness": 125, "changeover": 40, "changeovers": 3}
    better = State(7.0, {**values, "lateness": 60})
    for at, state, stopping in (
        (1.0, None, False),
        (5.5, None, False),
        (6.0, State(6.0, values), False),
        (7.0, better, False),
        (10.0, better, False),
        (11.0, better, False),
        (16.0, better, False),
        (40.9, better, False),
        (41.0, better, False),
        (46.0, better, False),
        (47.0, State(47.0, {**values, "lateness": 50}), False),
        (48.0, better, True),
        (53.0, better, True),
    ):
        now[0] = 100.0 + at
        show.draw(state, stopping)
    assert lines[1:] == [
        "   5.5 s: looking for a first plan",
        "   6.0 s: late minutes (weighted) 12.5, changeover minutes 4.0, changeovers 3",
        "  11.0 s: late minutes (weighted) 6.0, changeover minutes 4.0, changeovers 3",
        "  41.0 s: late minutes (weighted) 6.0, changeover minutes 4.0, changeovers 3",
        "  47.0 s: late minutes (weighted) 5.0, changeover minutes 4.0, changeovers 3",
        "Stopping; the best plan so far is kept.",
        "  53.0 s: late minutes (weighted) 6.0, changeover minutes 4.0, changeovers 3",
    ]


def test_how_long_it_takes_is_known_for_every_effort() -> None:
    assert list(USUALLY) == list(EFFORTS) == [effort.value for effort in Effort]
    assert how_long("normal", None) == "usually about a minute"
    assert how_long("normal", 90) == "usually about a minute, 90 s at the most"


@pytest.mark.parametrize("effort", ["quick", "normal", "thorough"])
def test_a_limit_shorter_than_usual_is_all_that_is_said(effort: str) -> None:
    """It can't usually take a minute when it takes 2 s at the most."""
    assert how_long(effort, 2.5) == "2.5 s at the most"
    assert how_long(effort, 0) == "a first plan only, as 0 s are given"
    assert how_long(effort, 5000).startswith(f"{USUALLY[effort]}, ")


def test_a_machine_s_first_plan_is_said_to_take_longer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("scheduler.cli.live_search.preparing", lambda: True)
    first = "and about a minute more this first time"
    assert how_long("normal", None) == f"usually about a minute, {first}"
    assert how_long("normal", 90) == f"usually about a minute, {first}, 90 s at the most"
    assert how_long("normal", 20) == "20 s at the most"


def test_the_last_line_is_the_result_s() -> None:
    """A search that is over before its second line is due has shown no figure but its first, worst one."""
    lines: list[str] = []
    now = [0.0]
    show = PlainLines(INSTANCE, "", lines.append, lambda: now[0])
    values = {"lateness": 1483, "changeover": 40}
    for at, late in ((0.3, 1483), (0.6, 900), (1.2, 0)):
        now[0] = at
        show.draw(State(at, {**values, "lateness": late}), False)
    assert len(lines) == 2 and "late minutes (weighted) 148.3," in lines[1]
    show.end()
    assert lines[2:] == ["   1.2 s: late minutes (weighted) 0.0, changeover minutes 4.0"]
    show.end()
    assert len(lines) == 3, "nothing is said twice"


def test_plain_lines_end_with_the_search(capsys: pytest.CaptureFixture[str]) -> None:
    with shown(INSTANCE, "usually a while") as show:
        show.draw(State(0.1, {"lateness": 90}), False)
        show.draw(State(0.2, {"lateness": 10}), False)
    assert "late minutes (weighted) 1.0" in capsys.readouterr().err.splitlines()[-1]


@pytest.mark.parametrize(
    ("switch", "there", "said"), [("", False, True), ("", True, False), ("0", False, False)]
)
def test_compiling_is_said_while_it_goes_on(
    switch: str, there: bool, said: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    from rich.console import Console

    monkeypatch.setenv("PRESSDAY_COMPILE", switch)
    monkeypatch.setattr("scheduler.engine.backend.cached", lambda: there)
    lines: list[str] = []
    PlainLines(INSTANCE, "", lines.append)
    assert (PREPARING in lines) is said
    out = io.StringIO()
    LiveTable(INSTANCE, "usually a while", Console(file=out, width=120).print).draw(None, False)
    assert ("Preparing the fast search, once on this machine" in out.getvalue()) is said
    assert "Planning, usually a while" in out.getvalue()


def test_the_live_table_shows_values_bounds_seconds_and_how_to_stop() -> None:
    from rich.console import Console

    out = io.StringIO()
    console = Console(file=out, width=80)
    show = LiveTable(INSTANCE, "usually a while", console.print)
    show.draw(None, False)
    assert "looking for a first plan" in out.getvalue()
    show.draw(
        State(3.25, {"left_over": 4, "lateness": 125, "changeover": 40}, {"lateness": 50}, moves=1234), False
    )
    text = out.getvalue()
    for row in (
        r"pressings left over\D+4\b",
        r"late minutes \(weighted\)\D+12\.5\D+5\.0",
        r"changeover minutes\D+4\.0",
        r"seconds\D+0\b",
        r"moves tried\D+1234",
        "Ctrl-C stops and keeps the best",
    ):
        assert re.search(row, text), row
    show.draw(State(3.5, {"lateness": 125}), True)
    assert "Stopping; the best plan so far is kept." in out.getvalue()
