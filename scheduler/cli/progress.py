"""What the owner sees while the search runs: a live table on a terminal, sparse lines elsewhere."""

from __future__ import annotations

import signal
import sys
import threading
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING, Protocol

from scheduler.cli.ends import say

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from types import FrameType

    from rich.table import Table

    from scheduler.domain.instance import Instance, Level
    from scheduler.domain.schedule import Result
    from scheduler.engine.solve import Progress

STOP_HINT = "Ctrl-C stops and keeps the best plan so far."
REDRAW_S = 0.2


class Search(Protocol):
    """The engine's search, with everything but the reporting already given."""

    def __call__(self, *, progress: Callable[[Progress], None], stop: Callable[[], bool]) -> Result: ...


class Show(Protocol):
    """Something that shows how far the search is."""

    def draw(self, state: Progress | None, stopping: bool) -> None: ...


def watched(search: Search, show: Show) -> Result:
    """Run the search beside this thread, show its state, and let Ctrl-C stop it with its best plan.

    A second Ctrl-C gives up.

    Raises
    ------
    KeyboardInterrupt
        On the second Ctrl-C.
    """
    latest: list[Progress] = []
    outcome: list[Result] = []
    trouble: list[BaseException] = []
    stop = threading.Event()

    def keep(state: Progress) -> None:
        latest[:] = [state]

    def work() -> None:
        try:
            outcome.append(search(progress=keep, stop=stop.is_set))
        except BaseException as error:  # handed to the main thread, which raises it
            trouble.append(error)

    thread = threading.Thread(target=work, name="search", daemon=True)
    with _interrupts(stop):
        thread.start()
        while thread.is_alive():
            thread.join(REDRAW_S)
            show.draw(latest[0] if latest else None, stop.is_set())
    if trouble:
        raise trouble[0]
    return outcome[0]


@contextmanager
def _interrupts(stop: threading.Event) -> Iterator[None]:
    """The first Ctrl-C sets `stop`, the second one interrupts as usual."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def handle(number: int, frame: FrameType | None) -> None:
        if stop.is_set():
            raise KeyboardInterrupt
        stop.set()

    before = signal.signal(signal.SIGINT, handle)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def shown(instance: Instance) -> Iterator[Show]:
    """The right way to show progress on this standard error: live on a terminal, plain lines elsewhere."""
    if not sys.stderr.isatty():
        yield PlainLines(instance)
        return
    from rich.console import Console
    from rich.live import Live

    with Live(console=Console(stderr=True), auto_refresh=False, transient=True) as live:
        yield LiveTable(instance, lambda table: live.update(table, refresh=True))


class PlainLines:
    """One line at the start, one when the first plan is there, then fewer and fewer when it gets better."""

    def __init__(self, instance: Instance, write: Callable[[str], None] | None = None) -> None:
        self._instance = instance
        self._write = write or (lambda words: say(words, to_error=True))
        self._next_s = 0.0
        self._shown: dict[Level, int] = {}
        self._stopping = False
        self._write(f"Looking for a plan of {len(instance.tasks)} possible runs. {STOP_HINT}")

    def draw(self, state: Progress | None, stopping: bool) -> None:
        """Write a line when there is something new and the last line is long enough ago."""
        if stopping and not self._stopping:
            self._stopping = True
            self._write("Stopping; the best plan so far is kept.")
        if state is None or not state.values or state.elapsed_s < self._next_s:
            return
        if self._shown == state.values:
            return
        self._shown = dict(state.values)
        self._next_s = max(5.0, 2 * state.elapsed_s)
        facts = ", ".join(f"{name} {value}" for name, value, _ in facts_of(self._instance, state))
        self._write(f"{state.elapsed_s:6.1f} s: {facts}")


class LiveTable:
    """A small table that is drawn anew again and again."""

    def __init__(self, instance: Instance, update: Callable[[Table], None]) -> None:
        self._instance = instance
        self._update = update
        self._begin = time.monotonic()

    def draw(self, state: Progress | None, stopping: bool) -> None:
        """Draw the table of the state."""
        from rich.table import Table

        table = Table(title="Planning", title_justify="left", title_style="bold")
        table.add_column("", justify="left")
        table.add_column("so far", justify="right")
        table.add_column("can't be less than", justify="right")
        if state is None or not state.values:
            table.add_row("looking for a first plan", "", "")
        else:
            for name, value, bound in facts_of(self._instance, state):
                table.add_row(name, value, bound)
            table.add_row("moves tried", str(state.moves), "")
        # By a clock of its own: it must go on while the search says nothing.
        table.add_row("seconds", f"{time.monotonic() - self._begin:.0f}", "")
        table.caption = "Stopping; the best plan so far is kept." if stopping else STOP_HINT
        table.caption_justify = "left"
        self._update(table)


def facts_of(instance: Instance, state: Progress) -> list[tuple[str, str, str]]:
    """(name, value, bound) in words for the levels that an owner watches; bound empty when none is known."""
    rows = []
    names: dict[Level, str] = {
        "left_over": "pressings left over",
        "lateness": "late minutes (weighted)",
        "changeover": "changeover minutes",
        "changeovers": "changeovers",
    }
    for level, name in names.items():
        if level not in instance.levels or level not in state.values:
            continue
        value = state.values[level]
        bound = state.bounds.get(level)
        if level == "left_over" and value == 0:
            continue
        in_ticks = level in ("lateness", "changeover")
        rows.append((name, _number(value, instance, in_ticks), _number(bound, instance, in_ticks)))
    return rows


def _number(value: int | None, instance: Instance, in_ticks: bool) -> str:
    if value is None:
        return ""
    return f"{value * instance.tick_s / 60:.1f}" if in_ticks else str(value)
