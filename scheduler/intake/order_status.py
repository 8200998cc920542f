"""Rows that are not to be pressed, by a status column or a plain note, and notes that change the work."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from scheduler.domain.faults import Source
from scheduler.intake.findings import Findings, shown
from scheduler.intake.grid import Grid, Unread
from scheduler.intake.rows import Row
from scheduler.intake.values import text
from scheduler.intake.words import heading_key, name_key, words

_FLAGS = ("done", "cancelled", "on_hold")
_WORDS = {"done": "done", "cancelled": "cancelled", "on_hold": "on hold"}
_FIRST_PART = re.compile(r"[^.,:;!()\n–—-]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A row that is not to be pressed: where it says so, and why ("done", "cancelled", "on hold")."""

    order: str
    source: Source
    why: str


def left_out(row: Row) -> LeftOut | None:
    """Why a row is not to be pressed, with a doubt that says so; None when it is."""
    for key in _FLAGS:
        value = row.value(key)
        if value is None or isinstance(value, Unread):
            continue
        said = name_key(text(value))
        if said in words().yes or words().statuses.get(heading_key(said)) == key:
            return _said(row, key, key)
        if said not in words().no and said not in ("0", "none"):
            mend = f"The row is pressed; write yes if it is {_WORDS[key]}, or clear the cell."
            row.doubt("status-unclear", key, f"{_WORDS[key]} {shown(value)}", "yes, no or blank", mend)
    status = row.value("status")
    if status is not None and not isinstance(status, Unread):
        meaning = words().statuses.get(heading_key(text(status)))
        if meaning in _WORDS:
            return _said(row, "status", meaning)
        if meaning is None and heading_key(text(status)):
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
    named = f"order {shown(number)} " if number else "the row "
    mend = f"Taken as {_WORDS[why]}: {named}is left out here; change the cell if it is to be pressed."
    row.doubt("row-left-out", key, found, "rows that are to be pressed", mend)
    return LeftOut(order=number, source=row.source(key), why=_WORDS[why])


@lru_cache(maxsize=4096)
def _says(note: str) -> frozenset[str]:
    """What a note says: "rush", "wait", both or nothing."""
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
