"""Text tables: csv, tsv and what other programs export under those names."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter

from scheduler.domain.faults import Fault, Severity, Source
from scheduler.intake.files import guard
from scheduler.intake.files.grid import (
    NO_ERRORS,
    NO_FORMULAS,
    NO_HIDDEN,
    NO_MERGED,
    Grid,
    TextForm,
    Value,
    address,
)
from scheduler.intake.files.guard import refuse
from scheduler.intake.files.text_letters import decoded, letters_doubt
from scheduler.intake.words import clean

_DELIMITERS = ",;\t|"
_SAMPLE_ROWS = 60
_SAMPLE_LETTERS = 40_000
_SEP_LINE = re.compile(r"sep=(.)\r?\n", re.IGNORECASE)
_COMMA = re.compile(r"-?\d+,\d{1,2}\Z|-?\d+,\d{4,}\Z")
_POINT = re.compile(r"-?\d+\.\d{1,2}\Z|-?\d+\.\d{4,}\Z")
_CLOSE = 0.7
"""A second delimiter that splits the table nearly as well, by this share, makes the first a doubt."""


def read_text_table(file: str, data: bytes, form: TextForm) -> tuple[Grid, TextForm, tuple[Fault, ...]]:
    """Read a text table whose bytes the guard has passed.

    Every cell is text; blanks are None. A first line such as `sep=;` names the delimiter and counts as a row,
    so that addresses stay those of the file.

    Parameters
    ----------
    form
        What is known of how it is written; what is blank is judged.

    Returns
    -------
    Grid
        The table.
    TextForm
        How it was read.
    tuple of Fault
        A doubt for each thing that had to be judged by looks and could be otherwise.

    Raises
    ------
    scheduler.intake.files.guard.Refused
        When the letters can't be made out, or the table is larger than the limits.
    """
    letters = decoded(file, data, form.encoding)
    first = _SEP_LINE.match(letters.text)
    doubts: list[Fault] = []
    if first:
        delimiter = first[1]
    elif form.delimiter:
        delimiter = form.delimiter
    else:
        delimiter, other = _delimiter(letters.text)
        if other:
            doubts.append(_delimiter_doubt(file, letters.text, delimiter, other))
    rows = _rows(file, letters.text, delimiter, skip=bool(first))
    doubts = [*letters_doubt(file, letters, rows), *doubts, *_cut_doubt(file, letters.text, rows)]
    decimal = form.decimal or _decimal(rows)
    grid = Grid(
        file=file,
        sheet="",
        rows=tuple(rows),
        decimal=decimal,
        untold=(NO_MERGED, NO_HIDDEN, NO_FORMULAS, NO_ERRORS),
    )
    read_as = TextForm(encoding=letters.encoding, delimiter=delimiter, decimal=decimal)
    return grid, read_as, tuple(doubts)


def _rows(file: str, text: str, delimiter: str, *, skip: bool) -> list[tuple[Value, ...]]:
    rows: list[tuple[Value, ...]] = []
    try:
        for number, fields in enumerate(
            csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
        ):
            if number == 0 and skip:
                rows.append(())
                continue
            if number >= guard.MOST_ROWS or len(fields) > guard.MOST_COLUMNS:
                expected = f"at most {guard.MOST_ROWS:,} rows and {guard.MOST_COLUMNS} columns"
                found = f"row {number + 1} is beyond that"
                raise refuse(file, "table-too-large", found, expected, "Split the file.")
            rows.append(tuple([clean(field) or None for field in fields]))
    except csv.Error as error:
        mend = "Mend the quotation marks there, or save the table as .xlsx."
        found = f"row {len(rows) + 1} can't be split into cells ({error})"
        raise refuse(file, "table-damaged", found, "cells with a delimiter between", mend) from None
    return rows


def _delimiter(text: str) -> tuple[str, str]:
    """The delimiter that splits the first rows most evenly, and another that does so nearly as well."""
    sample = text[:_SAMPLE_LETTERS].splitlines(keepends=True)
    if len(text) > _SAMPLE_LETTERS and len(sample) > 1:
        sample.pop()
    scores = {mark: _evenness(sample, mark) for mark in _DELIMITERS}
    best, second, *_ = sorted(_DELIMITERS, key=lambda mark: -scores[mark])
    return best, second if scores[second] > _CLOSE * scores[best] > 0 else ""


def _evenness(sample: list[str], delimiter: str) -> float:
    """How well a delimiter splits rows: their usual number of cells, and how many of them have it.

    The share of rows counts twice: a mark inside of cells can be more frequent than the delimiter, but not
    in every row, and seldom in the headings.
    """
    widths: Counter[int] = Counter()
    try:
        for number, fields in enumerate(csv.reader(sample, delimiter=delimiter)):
            if number >= _SAMPLE_ROWS:
                break
            if any(field.strip() for field in fields):
                widths[len(fields)] += 1
    except csv.Error:
        return 0.0
    if not widths:
        return 0.0
    usual, often = max(widths.items(), key=lambda item: (item[1] * (item[0] - 1), item[0]))
    return (usual - 1) * (often / widths.total()) ** 2


def _delimiter_doubt(file: str, text: str, delimiter: str, other: str) -> Fault:
    names = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
    line = next((line for line in text.splitlines() if delimiter in line and other in line), "")
    return Fault(
        code="delimiter-judged",
        source=Source(file=file),
        found=f'cells split at {names[delimiter]}, though {names[other]} would do too: "{clean(line)[:60]}"',
        expected="one mark between all cells",
        mend=f'If {names[other]} are meant, write "sep={other}" as the first line.',
        severity=Severity.DOUBT,
    )


def _cut_doubt(file: str, text: str, rows: list[tuple[Value, ...]]) -> list[Fault]:
    """A doubt when the last line is short and has no end: a file that was cut off looks like that."""
    filled = [row for row in rows if any(value is not None for value in row)]
    if len(filled) < 2 or text.endswith(("\n", "\r")) or filled[-1] is not rows[-1]:
        return []
    widths = Counter(len(row) for row in filled[:-1])
    usual = min(width for width, often in widths.items() if often == max(widths.values()))
    if len(rows[-1]) >= usual:
        return []
    found = f"a last line of {len(rows[-1])} cells without an end, where others have {usual}"
    source = Source(file=file, cell=address(len(rows) - 1, max(0, len(rows[-1]) - 1)))
    return [
        Fault(
            code="last-line-short",
            source=source,
            found=found,
            expected="a whole file",
            mend="If the file was cut off when it was sent or copied, fetch it anew.",
            severity=Severity.DOUBT,
        )
    ]


def _decimal(rows: list[tuple[Value, ...]]) -> str:
    """The mark before decimals, where the figures know only one that can't be a mark of thousands."""
    comma = point = False
    for row in rows:
        for value in row:
            if isinstance(value, str) and value[-1].isdigit():
                comma = comma or bool(_COMMA.match(value))
                point = point or bool(_POINT.match(value))
    return "" if comma == point else "," if comma else "."
