"""How a command ends: words and JSON for what went wrong, and the exit codes."""

from __future__ import annotations

import json
import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import typer

from scheduler.exceptions import BadInput, BrokenPlan, NoPlan

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from scheduler.domain.faults import Fault

BAD_INPUT = 1
NO_PLAN = 3
DEFECT = 70
"""What nobody foresaw: a code of its own, so that who runs commands by a program can tell it apart."""
MANY, FIRST_OF_MANY, SHOWN_CELLS = 5, 3, 12
"""More findings of one kind in a column than this are shown by the first few and the cells of the others."""
ASKED_ONCE = ("date-ambiguous",)
"""Codes of questions whose answer holds for the whole file."""


@contextmanager
def told(*, as_json: bool, nothing: str) -> Iterator[None]:
    """Turn what a command raises into words, or one JSON document, and an exit code.

    Parameters
    ----------
    as_json
        Write one JSON document to standard output; the words go to standard error.
    nothing
        What has not been done because of bad input: "Nothing was planned."
    """
    try:
        yield
    except BadInput as error:
        say_faults(error.faults, nothing, to_error=as_json)
        if as_json:
            put_json(faults_json(error.faults))
        raise typer.Exit(BAD_INPUT) from None
    except NoPlan as error:
        raise _no_plan(str(error), as_json) from None
    except BrokenPlan as error:
        words = (
            "The plan that was found breaks a rule of the shop, so nothing was written. "
            f"This is a defect of Pressday, not of your files; please report it with both files.\n{error}"
        )
        raise _no_plan(words, as_json) from None
    except KeyboardInterrupt:
        raise _no_plan("Stopped; nothing was written.", as_json) from None


def _no_plan(words: str, as_json: bool) -> typer.Exit:
    say(words, to_error=True)
    if as_json:
        put_json({**faults_json(()), "no_plan": words})
    return typer.Exit(NO_PLAN)


def say(words: str = "", *, to_error: bool = False) -> None:
    """Print words, with a stand-in for letters that the terminal can't show."""
    stream = sys.stderr if to_error else sys.stdout
    encoding = getattr(stream, "encoding", None) or "utf-8"
    typer.echo(words.encode(encoding, "replace").decode(encoding), err=to_error)


def put_json(document: Any) -> None:
    """Write one JSON document to standard output, in plain ASCII so that any terminal takes it."""
    typer.echo(json.dumps(document, ensure_ascii=True, indent=2))


def fault_json(fault: Fault) -> dict[str, str]:
    """One fault or doubt as plain texts; "text" is the line that a person reads."""
    return {
        "code": fault.code,
        "severity": fault.severity.value,
        "file": fault.source.file,
        "sheet": fault.source.sheet,
        "cell": fault.source.cell,
        "found": fault.found,
        "expected": fault.expected,
        "mend": fault.mend,
        "text": str(fault),
    }


def faults_json(findings: Iterable[Fault]) -> dict[str, list[dict[str, str]]]:
    """Faults and doubts, apart, each list in reading order."""
    faults, doubts = _apart(findings)
    return {"faults": [fault_json(f) for f in faults], "doubts": [fault_json(d) for d in doubts]}


def say_faults(findings: Iterable[Fault], nothing: str = "", *, to_error: bool) -> None:
    """Print faults, then doubts, grouped by file, one line each, and what was not done (empty: no word)."""
    faults, doubts = _apart(findings)
    if faults:
        _say_group(f"{counted(len(faults), 'fault')}:", faults, to_error)
    if doubts:
        _say_group(f"{counted(len(doubts), 'doubt')} (taken as said):", doubts, to_error)
    if faults and nothing:
        say(nothing, to_error=to_error)


def _say_group(title: str, findings: list[Fault], to_error: bool) -> None:
    say(title, to_error=to_error)
    by_file: dict[str, list[Fault]] = {}
    for finding in findings:
        by_file.setdefault(finding.source.file, []).append(finding)
    for group in by_file.values():
        for line in _lines(group):
            say(f"  {line}", to_error=to_error)
        say(to_error=to_error)


def _lines(findings: list[Fault]) -> list[str]:
    """One line for each finding; where one cause makes many, the first of them and where the others are."""
    alike: dict[tuple[str, ...], list[Fault]] = {}
    for one in findings:
        alike.setdefault((one.source.sheet, one.code, one.found, one.expected, one.mend), []).append(one)
    by_column: dict[tuple[str, str, str], list[list[Fault]]] = {}
    for group in alike.values():
        first = group[0]
        column = first.source.cell.rstrip("0123456789")
        by_column.setdefault((first.source.sheet, first.code, column), []).append(group)
    lines = []
    for (_, code, _), groups in by_column.items():
        most = 1 if code in ASKED_ONCE else MANY if len(groups) <= MANY else FIRST_OF_MANY
        for group in groups[:most]:
            lines.append(_line(group[0]) + _also([one.source.cell for one in group[1:]]))
        rest = [one.source.cell for group in groups[most:] for one in group]
        if rest:
            where = f": {_cells(rest)}" if any(rest) else ""
            lines.append(f"... and {len(rest)} more of this kind{where}")
    return lines


def _line(finding: Fault) -> str:
    return " ".join(str(finding).split())


def _also(cells: list[str]) -> str:
    return f" The same in {_cells(cells)}." if any(cells) else ""


def _cells(cells: list[str]) -> str:
    cells = [cell for cell in cells if cell]
    more = f" and {len(cells) - SHOWN_CELLS} more" if len(cells) > SHOWN_CELLS else ""
    return f"{', '.join(cells[:SHOWN_CELLS])}{more}"


def _apart(findings: Iterable[Fault]) -> tuple[list[Fault], list[Fault]]:
    from scheduler.domain.faults import Severity

    every = list(findings)
    faults = [finding for finding in every if finding.severity is Severity.FAULT]
    return faults, [finding for finding in every if finding.severity is Severity.DOUBT]


def counted(number: int, what: str) -> str:
    """A number of things in words: "1 order", "2 orders"."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
