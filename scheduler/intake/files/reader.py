"""From a file to its sheets: guard first, then the reader that fits the kind of file."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any

from scheduler.intake.files import guard
from scheduler.intake.files.child import decode
from scheduler.intake.files.grid import Book, Grid, TextForm, Value
from scheduler.intake.files.guard import (
    KINDS,
    Kind,
    Look,
    Refused,
    Sheet,
    kind_of,
    locked,
    refuse,
    too_large,
)
from scheduler.intake.files.labels import printable
from scheduler.intake.files.look_ods import is_ods, look_through_ods
from scheduler.intake.files.look_xls import look_through_xls
from scheduler.intake.files.look_xlsx import is_xlsx, look_through_xlsx
from scheduler.intake.files.text_table import read_text_table
from scheduler.intake.files.zip_parts import Parts, parts_of

_TIMEOUT_S = 60


def open_book(
    path: Path | str, *, timeout_s: float = _TIMEOUT_S, label: str = "", text_form: TextForm | None = None
) -> Book:
    """Read a workbook or text table.

    Parameters
    ----------
    path
        The file; its kind is told by its content, not by its name.
    timeout_s
        Seconds after which reading is given up.
    label
        What the file is called in faults; its name without folders when it is empty.
    text_form
        How a text table is written, as far as the owner has said it; the rest is judged.

    Raises
    ------
    scheduler.intake.files.guard.Refused
        When there is no such file, or it is not to be read; carries the one fault.
    """
    path = Path(path)
    file = label or printable(path.name)
    data = _bytes(path, file)
    kind = kind_of(file, data)
    if kind is Kind.TEXT:
        grid, form, doubts = read_text_table(file, data, text_form or TextForm())
        return Book(file=file, grids=(grid,), doubts=doubts, text_form=form)
    look = look_through(file, data, kind)
    del data
    return Book(file=file, grids=_read_in_child(file, look, timeout_s), doubts=look.doubts)


def look_through(file: str, data: bytes, kind: Kind) -> Look:
    """Look through a workbook without reading its values.

    Raises
    ------
    scheduler.intake.files.guard.Refused
        When it is cut off, locked, unpacks to too much, holds tricks, or a cell beyond the limits.
    """
    if kind is Kind.OLE:
        return look_through_xls(file, data)
    with parts_of(file, data) as parts:
        if is_xlsx(parts):
            return look_through_xlsx(parts)
        if is_ods(parts):
            return look_through_ods(parts)
        raise _no_workbook(parts)


def _no_workbook(parts: Parts) -> Refused:
    """What a zip file is that is no workbook."""
    file = parts.file
    if "mimetype" in parts or any(name.startswith(("xl/", "word/", "ppt/")) for name in parts.names):
        mend = "Save the table as .xlsx, then try again."
        return refuse(file, "other-workbook", "a file of another kind", KINDS, mend)
    mend = "Hand in the workbook itself, not a packed folder."
    inside = [
        name for name in parts.names if name.endswith((".xlsx", ".xlsm", ".xls", ".ods", ".csv", ".zip"))
    ]
    if inside:
        mend = f"Unpack it and hand in what is in it ({', '.join(inside[:3])})."
    return refuse(file, "not-a-workbook", "a packed file without a workbook", KINDS, mend)


def _bytes(path: Path, file: str) -> bytes:
    """The content of a file of bearable size; a pipe or device is not even opened."""
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            raise refuse(file, "not-a-workbook", "it is a folder", KINDS, "Name the file in it.")
        if not stat.S_ISREG(about.st_mode):
            mend = "Save it as a file and name that."
            raise refuse(file, "not-a-workbook", "it is a pipe or a device, not a file", KINDS, mend)
        if about.st_size > guard.MOST_BYTES:
            raise too_large(file, about.st_size)
        with path.open("rb") as stream:
            return stream.read(guard.MOST_BYTES + 1)
    except FileNotFoundError:
        mend = f"Check the name and the folder: {path.parent.absolute()}."
        raise refuse(file, "file-missing", "there is no such file", KINDS, mend) from None
    except (OSError, ValueError) as error:
        mend = "Close it in other programs and check that you may read it."
        reason = getattr(error, "strerror", None) or "unknown reason"
        raise refuse(file, "file-locked", f"it can't be read ({reason})", KINDS, mend) from None


def _read_in_child(file: str, look: Look, timeout_s: float) -> tuple[Grid, ...]:
    mend = "Save it again in the spreadsheet program; if that does not help, save it as .csv."
    # run as a file of its own, it imports nothing of this package and is there in no time
    command = [sys.executable, "-P", str(Path(__file__).with_name("child.py"))]
    environment = {**os.environ, "PYTHONIOENCODING": "utf-8"}
    try:
        done = subprocess.run(
            command, input=look.data, capture_output=True, timeout=timeout_s, env=environment, check=False
        )
    except subprocess.TimeoutExpired:
        found = f"reading took longer than {timeout_s:g} s"
        raise refuse(file, "file-unreadable", found, "a workbook of usual size", mend) from None
    try:
        answer = json.loads(done.stdout)
        if done.returncode not in (0, 3):
            raise ValueError(f"exit code {done.returncode}")
    except ValueError:
        found = "the workbook can't be read"
        raise refuse(file, "file-unreadable", found, "a sound workbook", mend) from None
    if answer.get("refused") == "password":
        raise locked(file)
    if "refused" in answer:
        found = f"the workbook can't be read ({answer['refused']})"
        raise refuse(file, "file-damaged", found, "a sound workbook", mend)
    by_name = {sheet.name: sheet for sheet in look.sheets}
    return tuple(_grid(file, sheet, by_name.get(sheet["name"]), look.untold) for sheet in answer["sheets"])


def _grid(file: str, sheet: dict[str, Any], seen: Sheet | None, untold: tuple[str, ...]) -> Grid:
    rows: list[list[Value]] = [[_value(value) for value in row] for row in sheet["rows"]]
    if seen is None:
        return Grid(file=file, sheet=sheet["name"], rows=tuple(map(tuple, rows)), untold=untold)
    for (row, column), value in sorted(seen.instead.items()):
        _put(rows, row, column, value)
    for (row, column), digits in seen.digits.items():
        shown = rows[row][column] if row < len(rows) and column < len(rows[row]) else None
        if isinstance(shown, int | float) and float(shown).is_integer() and shown >= 0:
            rows[row][column] = f"{int(shown):0{digits}d}"
    return Grid(
        file=file,
        sheet=sheet["name"],
        rows=tuple(map(tuple, rows)),
        hidden=seen.hidden,
        merged=tuple(sorted(seen.merged, key=lambda area: (area.top, area.left))),
        hidden_rows=frozenset(seen.hidden_rows),
        hidden_columns=frozenset(seen.hidden_columns),
        row_marks=seen.row_marks,
        struck=tuple(sorted(set(seen.struck))),
        comments=tuple(sorted(seen.comments)),
        untold=untold,
    )


def _value(raw: object) -> Value:
    value = decode(raw)
    return None if isinstance(value, str) and not value.strip() else value


def _put(rows: list[list[Value]], row: int, column: int, value: Value) -> None:
    while len(rows) <= row:
        rows.append([])
    rows[row].extend([None] * (column + 1 - len(rows[row])))
    rows[row][column] = value


__all__ = ["Refused", "open_book"]
