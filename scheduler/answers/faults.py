"""Faults and doubts in lines for people and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.domain.figures import counted

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.domain.faults import Fault


MANY, FIRST_OF_MANY, SHOWN_CELLS = 5, 3, 12
"""More findings of one kind in a column than this are shown by the first few and the cells of the others."""


ASKED_ONCE = ("date-ambiguous",)
"""Codes of questions whose answer holds for the whole file."""


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


def fault_lines(findings: Iterable[Fault], nothing: str = "") -> list[str]:
    """Faults, then doubts, grouped by file, one line each, and what was not done (empty: no word).

    Where a fault kept something from being done, no doubt was taken as anything.
    """
    faults, doubts = _apart(findings)
    lines: list[str] = []
    if faults:
        lines += _group(f"{counted(len(faults), 'fault')}:", faults)
    if doubts:
        taken = "would be taken as said" if faults and nothing else "taken as said"
        lines += _group(f"{counted(len(doubts), 'doubt')} ({taken}):", doubts)
    return [*lines, nothing] if faults and nothing else lines


def _group(title: str, findings: list[Fault]) -> list[str]:
    lines = [title]
    by_file: dict[str, list[Fault]] = {}
    for finding in findings:
        by_file.setdefault(finding.source.file, []).append(finding)
    for group in by_file.values():
        lines += [*(f"  {line}" for line in _lines(group)), ""]
    return lines


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
