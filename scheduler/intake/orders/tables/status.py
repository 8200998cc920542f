"""Rows that are not to be pressed, by a status column or a plain note, and notes that change the work."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from scheduler.domain.faults import Source
from scheduler.intake.cells.date_readings import is_dated
from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.values import DASHES, text
from scheduler.intake.files.grid import Grid, Unread
from scheduler.intake.words import clean, heading_key, name_key, words

_FLAGS = ("done", "cancelled", "on_hold")
_WORDS = {"done": "done", "cancelled": "cancelled", "on_hold": "on hold"}
UNCLEAR = "unclear"
"""A status that leaves open whether the row is to be pressed, or how much of it."""
_COUNT = re.compile(r"(?!1\Z|0\Z)\d+(?:\s*(?:of|/|von|de|sur)\s*\d+)?\Z")
_DATED = re.compile(r"\D*(?:\d{1,2}[/.-]\d{1,2}\.?(?:[/.-]?\d{2,4})?|\d{4}-\d\d-\d\d)\W*")
_SOME = re.compile(r"\d|\b(?:left|not|but|except|only|rest|part|some|to do|noch|sauf|reste|falta|menos)\b")
LEAVING_OUT = frozenset(_WORDS)
"""What a status means by which a row is not to be pressed."""
_FIRST_PART = re.compile(r"[^.,:;!()\n–—-]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A row that is not to be pressed: where it says so, and why ("done", "cancelled", "on hold")."""

    order: str
    source: Source
    why: str


def left_out(row: Row) -> LeftOut | None:
    """Why a row is not to be pressed, with a doubt that says so; None when it is.

    A status that speaks of a part of the row only, or isn't sure, is a fault.
    """
    for key in _FLAGS:
        value = row.value(key)
        if value is None or isinstance(value, Unread):
            continue
        said = name_key(text(value))
        meaning = status_of(said)
        if said in words().yes or meaning == key or is_dated(value):
            return _said(row, key, key)
        if meaning == UNCLEAR or _COUNT.match(said):
            _ask(row, key)
        elif said not in words().no and said not in ("0", "none"):
            mend = f"The row is pressed; write yes if it is {_WORDS[key]}, or clear the cell."
            row.doubt("status-unclear", key, f"{_WORDS[key]} {shown(value)}", "yes, no or blank", mend)
    status = row.value("status")
    if status is not None and not isinstance(status, Unread) and clean(text(status)) not in DASHES:
        meaning = status_of(text(status))
        if meaning in _WORDS:
            return _said(row, "status", meaning)
        if meaning == UNCLEAR:
            _ask(row, "status")
        elif meaning is None:
            known = ", ".join(_WORDS.values())
            mend = f"The row is pressed; if it is not to be, write one of: {known}."
            expected = "a status that Pressday knows"
            row.doubt("status-unclear", "status", f"status {shown(status)}", expected, mend)
    note = row.value("notes")
    if isinstance(note, str):
        first = _FIRST_PART.match(note.strip())
        meaning = words().statuses.get(heading_key(first[0] if first else ""))
        if meaning in _WORDS:
            return _said(row, "notes", meaning)
    return None


def _ask(row: Row, key: str) -> None:
    found = f"{key.replace('_', ' ')} {shown(row.value(key))}"
    expected = "one word for the whole row"
    known = ", ".join(_WORDS.values())
    mend = (
        f"If the whole row is not to be pressed, write one of: {known}. Otherwise clear the cell, and leave "
        "in the row only the pieces that are still to be pressed."
    )
    row.fault("status-unclear", key, found, expected, mend)


@lru_cache(maxsize=4096)
def status_of(written: str) -> str | None:
    """What a status means: "done", "cancelled", "on_hold", "to_press", or `UNCLEAR`; None: it isn't known.

    A word behind which a date or, after a mark, a reason stands is that word; with anything else behind it,
    or a question mark, it is not clear.
    """
    parts = heading_key(written).split()
    meaning = words().statuses.get(" ".join(parts))
    if meaning is not None:
        return UNCLEAR if "?" in written and meaning in _WORDS else meaning
    for count in range(len(parts) - 1, 0, -1):
        meaning = words().statuses.get(" ".join(parts[:count]))
        if meaning is None:
            continue
        if meaning not in _WORDS:
            return None
        first = _FIRST_PART.match(written.strip())
        alone = words().statuses.get(heading_key(first[0] if first else "")) == meaning
        rest = parts[count:]
        if "?" not in written and (_is_day(rest, written) or (alone and not _SOME.search(" ".join(rest)))):
            return meaning
        return UNCLEAR
    return None


def _is_day(rest: list[str], written: str) -> bool:
    """Whether nothing but a day stands behind a status, such as 5/3 or "Tue 9 March"."""
    known = words()
    named = [part for part in rest if not part.isdigit()]
    if not all(part in known.months or part in known.weekdays or part in known.filler for part in named):
        return False
    return bool(_DATED.fullmatch(written)) or any(part in known.months for part in named)


def doubt_sheet_name(grid: Grid, findings: Findings) -> None:
    """Doubt orders on a sheet that is called "Cancelled", "Archive" or the like; they are read."""
    name = heading_key(grid.sheet)
    parts = f" {name} "
    aside = words().statuses.get(name) in _WORDS or any(f" {word} " in parts for word in words().sheets_aside)
    if not aside:
        return
    mend = "They are planned like all others; hide the sheet, or delete it, if they are not meant."
    source = Source(file=grid.file, sheet=grid.sheet)
    found = f"orders on a sheet called {shown(grid.sheet)}"
    findings.doubt("sheet-name", source, found, "sheets of orders that are to be pressed", mend)


def _said(row: Row, key: str, why: str) -> LeftOut:
    order = row.value("order")
    number = "" if order is None or isinstance(order, Unread) else text(order)
    found = f"{key.replace('_', ' ')} {shown(row.value(key))}"
    named = f"this row of order {shown(number)}" if number else "the row"
    mend = f"Taken as {_WORDS[why]}: {named} is left out; change the cell if it is to be pressed."
    row.doubt("row-left-out", key, found, "rows that are to be pressed", mend)
    return LeftOut(order=number, source=row.source(key), why=_WORDS[why])


@lru_cache(maxsize=4096)
def _says(note: str) -> frozenset[str]:
    """What a note says: "rush", "wait", "change", several of them or nothing."""
    said = f" {heading_key(note)} "
    return frozenset(
        what for what, known in words().note_words.items() if any(f" {word} " in said for word in known)
    )


def doubt_note(row: Row, *, weight: int | None, waits: bool) -> None:
    """Say what a note asks for that the row's own columns don't.

    Parameters
    ----------
    weight
        Of the row's priority; None when it gives none.
    waits
        The row says already when its garments or transfers arrive.
    """
    note = row.value("notes")
    if not isinstance(note, str):
        return
    says = _says(note)
    if weight in (None, 1) and "rush" in says:
        mend = "Planned as a normal order; give it the priority rush if it is one."
        row.doubt("note-says-rush", "notes", f"note {shown(note)}", "rush as the order's priority", mend)
    if not waits and "wait" in says:
        mend = "Planned as if all of it were here; say when it arrives, or put the row on hold by its status."
        expected = "the hour of arrival under Garments in or Transfers in"
        row.doubt("note-says-wait", "notes", f"note {shown(note)}", expected, mend)
    if "change" in says:
        mend = (
            "The row is pressed as it stands; change its pieces, or give it a status, if the note means that."
        )
        expected = "pieces and status in their own columns"
        row.doubt("note-says-change", "notes", f"note {shown(note)}", expected, mend)
