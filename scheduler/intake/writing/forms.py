"""A table to fill in, as workbook or text table; a file that is there already is never overwritten."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time
from pathlib import Path

from scheduler.aside import written_aside
from scheduler.intake.layout import Table
from scheduler.intake.writing.sheets import Written, add_lists, new_workbook, save, write_table
from scheduler.safe_text import in_text_table


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
    if path.suffix.casefold() == ".csv":
        _write_text(table, rows, path)
        return
    book = new_workbook()
    write_table(book, table, rows, lists={key: f"list_{key}" for key in lists})
    add_lists(book, lists)
    save(book, path, overwrite=False)


def _write_text(table: Table, rows: Iterable[Mapping[str, Written]], path: Path) -> None:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(column.label for column in table.columns)
    for row in rows:
        writer.writerow(_as_text(row.get(column.key)) for column in table.columns)
    with written_aside(path, overwrite=False) as part:
        # The mark at the start tells spreadsheet programs that the letters are UTF-8.
        part.write_text("\ufeff" + text.getvalue(), encoding="utf-8", newline="")


def _as_text(value: Written) -> str:
    if value is None:
        return ""
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, date | datetime):
        return value.isoformat()
    return in_text_table(value) if isinstance(value, str) else str(value)
