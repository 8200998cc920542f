"""The child process that turns a workbook's bytes into values; run as a file, without its package.

It reads the workbook from standard input and writes one JSON document to standard output. It is a process of
its own because one odd cell can end the process of a workbook reader, and that must not end the program.
"""

from __future__ import annotations

import contextlib
import io
import json
import sys
from datetime import date, datetime, time, timedelta
from typing import Any

_MOST_MEMORY = 1024 * 2**20


def encode(value: object) -> object:
    """A cell's value as JSON: times and dates as a list of a mark and a text."""
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, str):
        return value or None
    if isinstance(value, int | float):
        return value
    if isinstance(value, datetime):
        return ["m", value.isoformat()]
    if isinstance(value, date):
        return ["d", value.isoformat()]
    if isinstance(value, time):
        return ["t", value.isoformat()]
    if isinstance(value, timedelta):
        return ["s", value.total_seconds()]
    return str(value)


def decode(value: object) -> str | int | float | bool | datetime | date | time | timedelta | None:
    """The value that `encode` wrote.

    Raises
    ------
    ValueError
        When it is none of `encode`'s.
    """
    if value is None or isinstance(value, str | int | float | bool):
        return value
    if isinstance(value, list) and len(value) == 2:
        mark, content = value
        if mark == "m":
            return datetime.fromisoformat(content)
        if mark == "d":
            return date.fromisoformat(content)
        if mark == "t":
            return time.fromisoformat(content)
        if mark == "s":
            return timedelta(seconds=content)
    raise ValueError(f"{value!r} is no value of a cell")


def _row(row: list[Any]) -> list[object]:
    end = len(row)
    while end and row[end - 1] == "":
        end -= 1
    return [encode(value) for value in row[:end]]


def _limit_memory() -> None:
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (_MOST_MEMORY, _MOST_MEMORY))


def main() -> int:
    """Read standard input; 0 when it was a workbook, 3 when it was refused, with the reason as JSON."""
    _limit_memory()
    from python_calamine import CalamineError, CalamineWorkbook, PasswordError

    data = sys.stdin.buffer.read()
    try:
        with CalamineWorkbook.from_filelike(io.BytesIO(data)) as book:
            sheets = []
            for index, name in enumerate(book.sheet_names):
                # leading blank rows and columns count: without them no cell would keep its address
                rows = book.get_sheet_by_index(index).to_python(skip_empty_area=False)
                sheets.append({"name": name, "rows": [_row(row) for row in rows]})
    except PasswordError:
        json.dump({"refused": "password"}, sys.stdout)
        return 3
    except (CalamineError, ValueError, OSError) as error:
        json.dump({"refused": str(error)[:200]}, sys.stdout)
        return 3
    json.dump({"sheets": sheets}, sys.stdout)
    return 0


if __name__ == "__main__":
    sys.exit(main())
