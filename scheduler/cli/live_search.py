"""What the owner sees while the search runs: a live table on a terminal, a line now and then elsewhere."""

from __future__ import annotations

import os
import sys
import time
from contextlib import contextmanager
from fractions import Fraction
from typing import TYPE_CHECKING, Protocol

from scheduler.cli.terminal import say
from scheduler.domain.figures import counted, fixed
from scheduler.workflow.owner import LINE_S, QUIET_S

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from rich.table import Table

    from scheduler.domain.instance import Instance, Level
    from scheduler.engine.solve import Progress

STOP_HINT = "Ctrl-C stops and keeps the best plan so far."
PREPARING = "Preparing the fast search, once on this machine: until it is there, the search is slower."

LOOK_S = 2.0
"""Seconds between two looks whether the fast search is there."""

USUALLY = {
    "quick": "usually a few seconds",
    "normal": "usually about a minute",
    "thorough": "usually some minutes, on a large day up to half an hour",
}
"""How long the search takes, by effort."""

USUAL_S = {"quick": 10, "normal": 60, "thorough": 600}
"""Seconds that are no less than usual: so short a limit is all that there is to say."""

FIRST_TIME = "and about a minute more this first time"
"""Until the fast search is there, the other one gets through a small part of its moves only."""


class Show(Protocol):
    """Something that shows how far the search is."""

    def draw(self, state: Progress | None, stopping: bool) -> None: ...


def how_long(effort: str, seconds: float | None) -> str:
    """How long the search may take, in words: all of it true at once, on a machine's first plan too."""
    if seconds == 0:
        return "a first plan only, as 0 s are given"
    if seconds is not None and seconds <= USUAL_S[effort]:
        return f"{seconds:g} s at the most"
    words = f"{USUALLY[effort]}, {FIRST_TIME}" if preparing() else USUALLY[effort]
    return words if seconds is None else f"{words}, {seconds:g} s at the most"


def preparing() -> bool:
    """Whether this machine is still without the fast search and is to have it."""
    from scheduler.engine.backend import SWITCH, cached

    return os.environ.get(SWITCH, "") != "0" and not cached()


@contextmanager
def shown(instance: Instance, takes: str) -> Iterator[Show]:
    """The right way to show progress on this standard error: live on a terminal, plain lines elsewhere.

    Parameters
    ----------
    takes
        How long the search may take, from `how_long`.
    """
    if not sys.stderr.isatty():
        lines = PlainLines(instance, takes)
        yield lines
        lines.end()
        return
    from rich.console import Console
    from rich.live import Live

    with Live(console=Console(stderr=True), auto_refresh=False, transient=True) as live:
        yield LiveTable(instance, takes, lambda table: live.update(table, refresh=True))


class PlainLines:
    """Lines at the start, with the first plan, then with news every few seconds, and the result's.

    Without news there is one now and then, so that a watcher sees that it is still at work.
    """

    def __init__(
        self,
        instance: Instance,
        takes: str,
        write: Callable[[str], None] | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._instance = instance
        self._write = write or (lambda words: say(words, to_error=True))
        self._clock = clock
        self._begin = clock()
        self._next_s = LINE_S
        self._first = True
        self._stopping = False
        self._written = ""
        self._newest = ""
        runs = counted(len(instance.tasks), "possible run")
        self._write(f"Looking for a plan of {runs}, {takes}. {STOP_HINT}")
        if preparing():
            self._write(PREPARING)

    def draw(self, state: Progress | None, stopping: bool) -> None:
        """Write a line when the first plan is there, with news, or when the last line is long ago."""
        if stopping and not self._stopping:
            self._stopping = True
            self._write("Stopping; the best plan so far is kept.")
        there = state is not None and bool(state.values)
        self._newest = "looking for a first plan"
        if state is not None and there:
            self._newest = ", ".join(f"{name} {value}" for name, value, _ in facts_of(self._instance, state))
        news = self._newest != self._written
        due_s = self._next_s if news else self._next_s - LINE_S + QUIET_S
        if self._clock() - self._begin >= due_s or (self._first and there):
            self._first = self._first and not there
            self._say()

    def end(self) -> None:
        """Write what was drawn last, unless the last line says the same: a short search has no other."""
        if self._newest != self._written:
            self._say()

    def _say(self) -> None:
        elapsed_s = self._clock() - self._begin
        self._next_s = elapsed_s + LINE_S
        self._written = self._newest
        self._write(f"{elapsed_s:6.1f} s: {self._newest}")


class LiveTable:
    """A small table that is drawn anew again and again."""

    def __init__(self, instance: Instance, takes: str, update: Callable[[Table], None]) -> None:
        self._instance = instance
        self._takes = takes
        self._update = update
        self._begin = time.monotonic()
        self._preparing = preparing()
        self._looked = self._begin

    def draw(self, state: Progress | None, stopping: bool) -> None:
        """Draw the table of the state."""
        from rich.table import Table

        table = Table(title=f"Planning, {self._takes}", title_justify="left", title_style="bold")
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
        now = time.monotonic()
        table.add_row("seconds", f"{now - self._begin:.0f}", "")
        table.caption = "Stopping; the best plan so far is kept." if stopping else STOP_HINT
        if self._still_preparing(now):
            table.caption += f"\n{PREPARING}"
        table.caption_justify = "left"
        self._update(table)

    def _still_preparing(self, now: float) -> bool:
        if self._preparing and now - self._looked >= LOOK_S:
            self._looked = now
            self._preparing = preparing()
        return self._preparing


def facts_of(instance: Instance, state: Progress) -> list[tuple[str, str, str]]:
    """(name, value, bound) in words for the levels that an owner watches; bound empty when none is known."""
    rows = []
    names: dict[Level, str] = {
        "left_over": "pressings left over",
        "lateness": "late minutes (weighted)",
        "moved": "moves off the printed sheets, in points",
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
    return fixed(Fraction(value * instance.tick_s, 60), 1) if in_ticks else str(value)
