"""From a file to its sheets: guard first, then the reader that fits the kind of file."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from scheduler.intake.child import decode
from scheduler.intake.grid import Book, Grid, Unread, Value
from scheduler.intake.guard import Kind, Refused, Sheet, kind_of, look_through, refuse
from scheduler.intake.text_table import read_text_table

_TIMEOUT_S = 60


def open_book(path: Path | str, *, timeout_s: float = _TIMEOUT_S, label: str = "") -> Book:
    """Read a workbook or text table.

    Parameters
    ----------
    path
        The file; its kind is told by its content, not by its name.
    timeout_s
        Seconds after which reading is given up.
    label
        What the file is called in faults; its name without folders when it is empty.

    Raises
    ------
    scheduler.intake.guard.Refused
        When there is no such file, or it is not to be read; carries the one fault.
    """
    path = Path(path)
    file = label or path.name
    data = _bytes(path, file)
    if kind_of(file, data) is Kind.TEXT:
        grid, doubts = read_text_table(file, data)
        return Book(file=file, grids=(grid,), doubts=doubts)
    looks = look_through(file, data)
    return Book(file=file, grids=_read_in_child(file, data, looks, timeout_s))


def _bytes(path: Path, file: str) -> bytes:
    expected = "a workbook (.xlsx) or a text table (.csv)"
    try:
        return path.read_bytes()
    except FileNotFoundError:
        mend = f"Check the name and the folder: {path.parent or '.'}."
        raise refuse(file, "file-missing", "there is no such file", expected, mend) from None
    except IsADirectoryError:
        raise refuse(file, "not-a-workbook", "it is a folder", expected, "Name the file in it.") from None
    except OSError as error:
        mend = "Close it in other programs and check that you may read it."
        reason = error.strerror or "unknown reason"
        raise refuse(file, "file-locked", f"it can't be read ({reason})", expected, mend) from None


def _read_in_child(file: str, data: bytes, looks: tuple[Sheet, ...], timeout_s: float) -> tuple[Grid, ...]:
    mend = "Save it again in the spreadsheet program; if that does not help, save it as .csv."
    # the child finds the package where this process found it, whatever folder it is started in
    root = str(Path(__file__).resolve().parents[2])
    paths = [root, *filter(None, [os.environ.get("PYTHONPATH")])]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(paths), "PYTHONIOENCODING": "utf-8"}
    try:
        done = subprocess.run(
            [sys.executable, "-m", "scheduler.intake.child"],
            input=data,
            capture_output=True,
            timeout=timeout_s,
            env=environment,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise refuse(
            file,
            "file-unreadable",
            f"reading took longer than {timeout_s:g} s",
            "a workbook of usual size",
            mend,
        ) from None
    try:
        answer = json.loads(done.stdout)
        if done.returncode not in (0, 3):
            raise ValueError(f"exit code {done.returncode}")
    except ValueError:
        raise refuse(
            file, "file-unreadable", "the workbook can't be read", "a sound workbook", mend
        ) from None
    if answer.get("refused") == "password":
        raise refuse(
            file,
            "file-encrypted",
            "the workbook is locked with a password",
            "an open workbook",
            "Save a copy without a password.",
        )
    if "refused" in answer:
        raise refuse(
            file,
            "file-damaged",
            f"the workbook can't be read ({answer['refused']})",
            "a sound workbook",
            mend,
        )
    by_name = {look.name: look for look in looks}
    return tuple(_grid(file, sheet, by_name.get(sheet["name"])) for sheet in answer["sheets"])


def _grid(file: str, sheet: dict[str, Any], look: Sheet | None) -> Grid:
    rows: list[list[Value]] = [[_value(value) for value in row] for row in sheet["rows"]]
    for (row, column), unread in sorted(look.unread.items()) if look else ():
        _put(rows, row, column, unread)
    return Grid(
        file=file,
        sheet=sheet["name"],
        rows=tuple(tuple(row) for row in rows),
        hidden=bool(look and look.hidden),
    )


def _value(raw: object) -> Value:
    value = decode(raw)
    return None if isinstance(value, str) and not value.strip() else value


def _put(rows: list[list[Value]], row: int, column: int, unread: Unread) -> None:
    while len(rows) <= row:
        rows.append([])
    rows[row].extend([None] * (column + 1 - len(rows[row])))
    rows[row][column] = unread


__all__ = ["Refused", "open_book"]
