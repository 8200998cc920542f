"""Ctrl-C while a search runs, what goes wrong in it, and that its last word is drawn."""

from __future__ import annotations

import signal
import time
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest

from scheduler.domain.schedule import Result, Schedule, Status
from scheduler.workflow.watched import watched

RESULT = Result(status=Status.FEASIBLE, schedule=Schedule(tasks=()))


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


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_the_first_interrupt_stops_the_search_and_keeps_its_plan(number: signal.Signals) -> None:
    asked = []

    def search(*, progress: Callable[[Any], None], stop: Callable[[], bool]) -> Result:
        asked.append(stop())
        signal.raise_signal(number)
        wait_for(stop)
        return RESULT

    before = signal.getsignal(number)
    if before is signal.SIG_IGN:
        pytest.skip(f"these tests were started deaf to {number.name}")
    assert watched(search, Silent()) is RESULT
    assert asked == [False]
    assert signal.getsignal(number) is before


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


def test_what_the_search_says_last_is_drawn_last() -> None:
    drawn: list[Any] = []

    class Kept:
        def draw(self, state: Any, stopping: bool) -> None:
            drawn.append(state)

    last = SimpleNamespace(elapsed_s=0.1, values={"lateness": 0})

    def search(*, progress: Callable[[Any], None], stop: Callable[[], bool]) -> Result:
        wait_for(lambda: bool(drawn))
        progress(SimpleNamespace(elapsed_s=0.0, values={"lateness": 9}))
        progress(last)
        return RESULT

    watched(search, Kept())
    assert drawn[-1] is last
