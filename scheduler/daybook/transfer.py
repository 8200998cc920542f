"""A day book as plain text and back: one JSON object a line, for safekeeping and for other programs."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from scheduler.daybook.book import BookedPlan, DayBook
from scheduler.domain.asjson import from_json, to_json
from scheduler.domain.faults import Fault, Source
from scheduler.domain.progress import Event
from scheduler.exceptions import BadInput

EXPORT_FORM = 2
"""Number of the form of the text; raised when an older program couldn't read it."""

HEADER = "pressday_day_book"
EXPECTED = "a line of an exported day book"
_MEND = "Export the book again, or take the line out."


@dataclass(slots=True, kw_only=True)
class Imported:
    """How many plans and entries came in, and how many were there already."""

    plans: int = 0
    events: int = 0
    repeated: int = 0


def export_lines(book: DayBook) -> Iterator[str]:
    """The whole book, line by line, without line ends; the same book gives the same lines."""
    yield _line({HEADER: EXPORT_FORM})
    plans = book.plans()
    for booked in plans:
        yield _line(
            {
                "plan": {
                    "id": booked.id,
                    "day": booked.day.isoformat(),
                    "version": booked.version,
                    "made_at": booked.made_at.isoformat(),
                    "form": booked.form,
                    "fingerprint": booked.fingerprint,
                    "outcome": booked.outcome,
                    "folder": booked.folder,
                    "plan": json.loads(book.text_of(booked)),
                }
            }
        )
    for event in book.events():
        data = to_json(event)
        del data["number"]
        yield _line({"event": data})


def _line(data: object) -> str:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def lines_of(text: str) -> list[str]:
    """The lines of an export: texts in it may hold letters that others take for line ends."""
    lines = text.split("\n")
    return lines if lines[-1] else lines[:-1]


@dataclass(slots=True)
class _Read:
    plans: list[tuple[int, BookedPlan, str]] = field(default_factory=list)
    events: list[tuple[int, Event]] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def import_lines(book: DayBook, lines: Iterable[str], file: str) -> Imported:
    """Add what `export_lines` wrote, all or nothing; what is in the book already counts once.

    Parameters
    ----------
    file
        What the text is called in faults.

    Raises
    ------
    BadInput
        With every line that can't be read or contradicts the book.
    """
    read = _read(lines, file)
    if read.faults and not book.file.exists():
        # Nothing in it can contradict a book that is yet to be made: none is made for a file of faults.
        raise BadInput(read.faults)
    done = Imported()
    with book.writing():
        for number, booked, text in read.plans:
            _add_plan(book, number, booked, text, file, read.faults, done)
        for number, event in read.events:
            _add_event(book, number, event, file, read.faults, done)
        if read.faults:
            raise BadInput(sorted(read.faults, key=lambda fault: int(fault.source.cell.split()[1])))
    return done


def _read(lines: Iterable[str], file: str) -> _Read:
    read = _Read()
    number = 0
    for number, line in enumerate(lines, start=1):
        try:
            data = json.loads(line)
            if number == 1:
                _check_header(data)
            elif not isinstance(data, dict) or len(data) != 1:
                raise ValueError("neither a plan nor an entry")
            elif "plan" in data:
                read.plans.append((number, *_plan_of(data["plan"])))
            elif "event" in data:
                read.events.append((number, from_json(Event, data["event"])))
            else:
                raise ValueError(f"unknown: {next(iter(data))!r}")
        except json.JSONDecodeError as error:
            words = f"not a whole line of an export (wrong from letter {error.pos + 1} on)"
            read.faults.append(_fault(file, number, "line-unreadable", words, EXPECTED))
            if number == 1:
                break
        except (ValueError, TypeError, KeyError, RecursionError) as error:
            words = " ".join(str(error).split())[:120]
            read.faults.append(_fault(file, number, "line-unreadable", words, EXPECTED))
            if number == 1:
                break
    if number == 0:
        read.faults.append(_fault(file, 1, "line-unreadable", "nothing", "an exported day book"))
    return read


def _check_header(data: Any) -> None:
    form = data.get(HEADER) if isinstance(data, dict) else None
    if type(form) is not int or not 1 <= form <= EXPORT_FORM:
        raise ValueError(f"form {form!r}; this program reads forms 1 to {EXPORT_FORM}")


def _plan_of(data: Any) -> tuple[BookedPlan, str]:
    if not isinstance(data, dict) or not isinstance(data.get("plan"), dict):
        raise ValueError("a plan without its contents")
    known = {"id", "day", "version", "made_at", "form", "fingerprint", "outcome", "folder", "plan"}
    strange = sorted(set(data) ^ known)
    if strange:
        raise ValueError(f"plan: {strange[0]!r} is missing or not known here")
    if data["outcome"] not in ("pending", "in place", "dropped"):
        raise ValueError(f"plan: outcome {data['outcome']!r}")
    texts = ("id", "fingerprint", "folder")
    if any(not isinstance(data[name], str) for name in texts) or not data["id"]:
        raise ValueError("plan: id, fingerprint and folder are texts")
    if type(data["version"]) is not int or data["version"] < 1 or type(data["form"]) is not int:
        raise ValueError("plan: version and form are whole numbers, from 1 on")
    booked = BookedPlan(
        number=0,
        id=data["id"],
        day=date.fromisoformat(data["day"]),
        version=data["version"],
        made_at=datetime.fromisoformat(data["made_at"]),
        form=data["form"],
        fingerprint=data["fingerprint"],
        # where it was written aside means nothing in another folder
        staged="",
        outcome=data["outcome"],
        folder=data["folder"],
    )
    return booked, _line(data["plan"])


def _add_plan(
    book: DayBook, number: int, booked: BookedPlan, text: str, file: str, faults: list[Fault], done: Imported
) -> None:
    of_day = book.plans(booked.day)
    same = next((one for one in of_day if one.id == booked.id), None)
    if same is None:
        if any(one.version == booked.version for one in of_day):
            found = f"version {booked.version} of {booked.day}, which the book has with another plan"
            faults.append(_fault(file, number, "book-version-twice", found, "each version once"))
            return
        book.insert_plan(booked, text)
        done.plans += 1
    else:
        told = replace(
            booked, number=same.number, staged=same.staged, outcome=same.outcome, folder=same.folder
        )
        if told != same or json.loads(book.text_of(same)) != json.loads(text):
            found = f"plan {booked.id}, which the book has with another content"
            faults.append(_fault(file, number, "book-id-twice", found, "each id once"))
            return
        done.repeated += 1
    if booked.outcome != "pending":
        book.insert_end(booked.id, booked.outcome, booked.folder, booked.made_at)


def _add_event(
    book: DayBook, number: int, event: Event, file: str, faults: list[Fault], done: Imported
) -> None:
    try:
        recorded = book.insert_events([event])
    except BadInput as error:
        (fault,) = error.faults
        faults.append(_fault(file, number, fault.code, fault.found, fault.expected))
        return
    done.events += len(recorded.new)
    done.repeated += len(recorded.repeated)


def _fault(file: str, number: int, code: str, found: str, expected: str) -> Fault:
    source = Source(file=file, cell=f"line {number}")
    return Fault(code=code, source=source, found=found, expected=expected, mend=_MEND)
