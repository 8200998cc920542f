"""Progress and Ctrl-C: what is shown, and that the best plan is kept."""

from __future__ import annotations

import io
import re
import signal
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import pytest

from scheduler.cli.progress import LiveTable, PlainLines, watched
from scheduler.domain.instance import Instance, Job, Machine, Mode, Task
from scheduler.domain.schedule import Result, Schedule, Status

INSTANCE = Instance(
    name="one run",
    horizon=100,
    machines=(Machine(id="A"),),
    jobs=(Job(id="1"),),
    tasks=(Task(id="1-a", job="1", modes=(Mode(id="A", machine="A", work=5),)),),
)
RESULT = Result(status=Status.FEASIBLE, schedule=Schedule(tasks=()))


@dataclass
class State:
    """What the engine reports."""

    elapsed_s: float
    values: dict[str, int]
    bounds: dict[str, int] = field(default_factory=dict)
    moves: int = 0
    note: str = ""


class Silent:
    def __init__(self) -> None:
        self.stopping: list[bool] = []

    def draw(self, state: Any, stopping: bool) -> None:
        self.stopping.append(stopping)


def wait_for(condition: Callable[[], bool]) -> None:
    until = time.monotonic() + 60
    while not condition():
        assert time.monotonic() < until, "waited for a minute"
        time.sleep(0.002)


def test_the_first_interrupt_stops_the_search_and_keeps_its_plan() -> None:
    asked = []

    def search(*, progress: Callable[[Any], None], stop: Callable[[], bool]) -> Result:
        asked.append(stop())
        signal.raise_signal(signal.SIGINT)
        wait_for(stop)
        return RESULT

    before = signal.getsignal(signal.SIGINT)
    assert watched(search, Silent()) is RESULT
    assert asked == [False]
    assert signal.getsignal(signal.SIGINT) is before


def test_the_second_interrupt_gives_up() -> None:
    over = []

    def search(*, progress: Callable[[Any], None], stop: Callable[[], bool]) -> Result:
        signal.raise_signal(signal.SIGINT)
        wait_for(stop)
        signal.raise_signal(signal.SIGINT)
        wait_for(lambda: bool(over))
        return RESULT

    with pytest.raises(KeyboardInterrupt):
        watched(search, Silent())
    over.append(True)


def test_trouble_in_the_search_comes_out_where_it_was_called() -> None:
    def search(*, progress: Callable[[Any], None], stop: Callable[[], bool]) -> Result:
        raise RuntimeError("no such press")

    with pytest.raises(RuntimeError, match="no such press"):
        watched(search, Silent())


def test_plain_lines_come_when_something_is_better_and_ever_more_rarely() -> None:
    lines: list[str] = []
    show = PlainLines(INSTANCE, lines.append)
    assert lines == ["Looking for a plan of 1 possible runs. Ctrl-C stops and keeps the best plan so far."]
    values = {"left_over": 0, "lateness": 125, "changeover": 40, "changeovers": 3}
    show.draw(None, False)
    show.draw(State(0.5, values), False)
    show.draw(State(1.0, {**values, "lateness": 100}), False)
    show.draw(State(6.0, {**values, "lateness": 60}), False)
    show.draw(State(11.0, {**values, "lateness": 0}), False)
    show.draw(State(13.0, {**values, "lateness": 0}), True)
    show.draw(State(40.0, {**values, "lateness": 0}), True)
    assert lines[1:] == [
        "   0.5 s: late minutes (weighted) 12.5, changeover minutes 4.0, changeovers 3",
        "   6.0 s: late minutes (weighted) 6.0, changeover minutes 4.0, changeovers 3",
        "Stopping; the best plan so far is kept.",
        "  13.0 s: late minutes (weighted) 0.0, changeover minutes 4.0, changeovers 3",
    ]


def test_the_live_table_shows_values_bounds_seconds_and_how_to_stop() -> None:
    from rich.console import Console

    out = io.StringIO()
    console = Console(file=out, width=80)
    show = LiveTable(INSTANCE, console.print)
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
