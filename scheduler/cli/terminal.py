"""The terminal: words, faults and one JSON document are put there, and how wide it is."""

from __future__ import annotations

import json
import shutil
import sys
from typing import TYPE_CHECKING, Any

import typer

from scheduler.answers.columns import WIDE
from scheduler.answers.faults import fault_lines

if TYPE_CHECKING:
    from collections.abc import Iterable
    from contextlib import AbstractContextManager

    from scheduler.domain.faults import Fault
    from scheduler.domain.instance import Instance
    from scheduler.workflow.owner import Show


def say(words: str = "", *, to_error: bool = False) -> None:
    """Print words, with a stand-in for letters that the terminal can't show."""
    stream = sys.stderr if to_error else sys.stdout
    encoding = getattr(stream, "encoding", None) or "utf-8"
    typer.echo(words.encode(encoding, "replace").decode(encoding), err=to_error)


def say_lines(lines: Iterable[str], *, to_error: bool = False) -> None:
    """Print lines of words."""
    for line in lines:
        say(line, to_error=to_error)


def say_faults(findings: Iterable[Fault], nothing: str = "", *, to_error: bool) -> None:
    """Print faults, then doubts, grouped by file, one line each, and what was not done (empty: no word)."""
    say_lines(fault_lines(findings, nothing), to_error=to_error)


def put_json(document: Any) -> None:
    """Write one JSON document to standard output, in plain ASCII so that any terminal takes it."""
    typer.echo(json.dumps(document, ensure_ascii=True, indent=2))


def columns_here() -> int:
    """Columns of the terminal that standard output is; `WIDE` when it is none."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else WIDE


class AtTheTerminal:
    """Who a command works for: told on standard error what is going on, and shown how far a search is."""

    def tell(self, words: str) -> None:
        """Say a line."""
        say(words, to_error=True)

    def tell_faults(self, findings: Iterable[Fault]) -> None:
        """Say faults or doubts."""
        say_faults(findings, to_error=True)

    def watch(
        self, instance: Instance, *, effort: str, seconds: float | None
    ) -> AbstractContextManager[Show]:
        """Show a search of some effort, which ends after so many seconds at the latest."""
        from scheduler.cli.live_search import how_long, shown

        return shown(instance, how_long(effort, seconds))


OWNER = AtTheTerminal()
"""The one at the terminal."""
