"""Text tables: csv, tsv and what other programs export under those names."""

from __future__ import annotations

import csv
import io
import re

from scheduler.domain.faults import Fault, Severity, Source
from scheduler.intake.grid import Grid, Value
from scheduler.intake.guard import MOST_COLUMNS, MOST_ROWS, refuse
from scheduler.intake.words import clean

_DELIMITERS = ",;\t|"
_SEP_LINE = re.compile(r"sep=(.)\r?\n", re.IGNORECASE)


def read_text_table(file: str, data: bytes) -> tuple[Grid, tuple[Fault, ...]]:
    """Read a text table whose bytes the guard has passed.

    Returns the table, and a doubt when the encoding of its letters had to be judged by their look. Every cell
    is text; blanks are None. A first line such as `sep=;` names the delimiter and counts as a row, so
    that addresses stay those of the file.

    Raises
    ------
    scheduler.intake.guard.Refused
        When the letters can't be made out, or the table is larger than the limits.
    """
    text, doubts = _decoded(file, data)
    first = _SEP_LINE.match(text)
    delimiter = first[1] if first else _delimiter(text)
    rows: list[tuple[Value, ...]] = []
    try:
        for number, fields in enumerate(
            csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
        ):
            if number == 0 and first:
                rows.append(())
                continue
            if number >= MOST_ROWS or len(fields) > MOST_COLUMNS:
                expected = f"at most {MOST_ROWS:,} rows and {MOST_COLUMNS} columns"
                raise refuse(
                    file, "table-too-large", f"row {number + 1} is beyond that", expected, "Split the file."
                )
            rows.append(tuple(clean(field) or None for field in fields))
    except csv.Error as error:
        mend = "Mend the quotation marks there, or save the table as .xlsx."
        found = f"row {len(rows) + 1} can't be split into cells ({error})"
        raise refuse(file, "table-damaged", found, "cells with a delimiter between", mend) from None
    return Grid(file=file, sheet="", rows=tuple(rows)), doubts


def _decoded(file: str, data: bytes) -> tuple[str, tuple[Fault, ...]]:
    for mark, encoding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            return _strictly(file, data, encoding), ()
    try:
        return data.decode("utf-8"), ()
    except UnicodeDecodeError:
        pass
    from charset_normalizer import from_bytes

    best = from_bytes(data).best()
    if best is None:
        mend = 'Save it as "CSV UTF-8" or as .xlsx.'
        raise refuse(file, "letters-unclear", "the letters can't be made out", "a text table in UTF-8", mend)
    doubt = Fault(
        code="letters-judged",
        source=Source(file=file),
        found=f"letters that are not UTF-8, read as {best.encoding}",
        expected="a text table in UTF-8",
        mend='Check names with accents; if they are wrong, save the table as "CSV UTF-8" or as .xlsx.',
        severity=Severity.DOUBT,
    )
    return _strictly(file, data, best.encoding), (doubt,)


def _strictly(file: str, data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except (UnicodeDecodeError, LookupError):
        mend = 'Save it as "CSV UTF-8" or as .xlsx.'
        raise refuse(
            file, "letters-unclear", "the letters can't be made out", "a text table in UTF-8", mend
        ) from None


def _delimiter(text: str) -> str:
    """The delimiter, by the csv module's own judgement; a table of one column has none and gets a comma."""
    sample = "".join(text.splitlines(keepends=True)[:50])[:20_000]
    try:
        return csv.Sniffer().sniff(sample, delimiters=_DELIMITERS).delimiter
    except csv.Error:
        return (
            max(_DELIMITERS, key=lambda mark: sample.count(mark))
            if any(m in sample for m in _DELIMITERS)
            else ","
        )
