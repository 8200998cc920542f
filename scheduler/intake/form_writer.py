"""A table to fill in, as workbook or text table; a file that is there already is never overwritten."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time
from pathlib import Path

from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput
from scheduler.intake.layout import Table
from scheduler.intake.sheet_writer import Written, add_lists, new_workbook, save, write_table


def write_form(
    table: Table,
    rows: Iterable[Mapping[str, Written]],
    path: Path,
    *,
    lists: Mapping[str, Sequence[str]],
) -> None:
    """Write the table; a name that ends in .csv gets a text table, any other a workbook.

    Parameters
    ----------
    lists
        By name of a column's choices: what may be taken there.

    Raises
    ------
    scheduler.exceptions.BadInput
        When there is a file of that name, or it can't be written.
    """
    check_free(path)
    try:
        if path.suffix.casefold() == ".csv":
            _write_text(table, rows, path)
        else:
            book = new_workbook()
            write_table(book, table, rows, lists={key: f"list_{key}" for key in lists})
            add_lists(book, lists)
            save(book, path)
    except OSError as error:
        raise not_writable(path, error) from None


def check_free(path: Path) -> None:
    """See that there is no file of that name.

    Raises
    ------
    scheduler.exceptions.BadInput
        When there is one.
    """
    if path.exists():
        found = "there is a file of that name, and it may be filled in"
        raise BadInput([_fault(path, "file-present", found, "a name that is free", "Choose another name.")])


def not_writable(path: Path, error: OSError) -> BadInput:
    """What to say when a file can't be written."""
    found = f"can't be written ({error.strerror or error})"
    mend = "Choose another folder."
    return BadInput([_fault(path, "file-not-writable", found, "a folder that may be written", mend)])


def _write_text(table: Table, rows: Iterable[Mapping[str, Written]], path: Path) -> None:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(column.label for column in table.columns)
    for row in rows:
        writer.writerow(_as_text(row.get(column.key)) for column in table.columns)
    aside = path.with_name(f".{path.name}.part")
    try:
        # The mark at the start tells spreadsheet programs that the letters are UTF-8.
        aside.write_text("\ufeff" + text.getvalue(), encoding="utf-8", newline="")
        aside.replace(path)
    finally:
        aside.unlink(missing_ok=True)


def _as_text(value: Written) -> str:
    if value is None:
        return ""
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, date | datetime):
        return value.isoformat()
    text = str(value)
    # A spreadsheet program would take it for a formula.
    return f"'{text}" if isinstance(value, str) and text.lstrip().startswith(("=", "+", "-", "@")) else text


def _fault(path: Path, code: str, found: str, expected: str, mend: str) -> Fault:
    return Fault(code=code, source=Source(file=str(path)), found=found, expected=expected, mend=mend)
