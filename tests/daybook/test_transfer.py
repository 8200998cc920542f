"""Exported and imported again, a day book is the same, however often."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.daybook.book import DayBook
from scheduler.daybook.transfer import export_lines, import_lines
from scheduler.domain.progress import EventKind
from scheduler.exceptions import BadInput
from tests.daybook.small import at, small_plan
from tests.daybook.test_book import entry


def filled(file: Path) -> DayBook:
    book = DayBook(file, now=lambda: at("6:00"))
    book.end_plan(book.add_plan(small_plan(note="żółw 亀"), staged="x"), "in place", "2027-03-09")
    book.end_plan(book.add_plan(small_plan(version=2), staged="y"), "dropped")
    book.add_plan(small_plan(version=3), staged="z")
    book.record([entry("one", reason="crooked, “a bit”\nreally"), entry("two", corrects="one", pieces=0)])
    down = replace(
        entry("three"), kind=EventKind.PRESS_DOWN, press="Press 2", until=at("12:00"), data='{"a": 1}'
    )
    book.record([down])
    return book


def test_round_trip(tmp_path: Path) -> None:
    with filled(tmp_path / "one.sqlite") as book, DayBook(tmp_path / "other.sqlite") as other:
        lines = list(export_lines(book))
        done = import_lines(other, lines, "export.jsonl")
        assert (done.plans, done.events, done.repeated) == (3, 3, 0)
        assert list(export_lines(other)) == lines
        assert other.events() == book.events()
        assert [other.plan(one) for one in other.plans()] == [book.plan(one) for one in book.plans()]
        assert [(one.version, one.outcome, one.folder) for one in other.plans()] == [
            (1, "in place", "2027-03-09"), (2, "dropped", ""), (3, "pending", ""),
        ]  # fmt: skip


def test_importing_again_changes_nothing_and_a_part_more_adds_that(tmp_path: Path) -> None:
    with filled(tmp_path / "one.sqlite") as book:
        lines = list(export_lines(book))
        again = import_lines(book, lines, "export.jsonl")
        assert (again.plans, again.events, again.repeated) == (0, 0, 6)
        assert list(export_lines(book)) == lines
        with DayBook(tmp_path / "other.sqlite") as other:
            import_lines(other, lines[:-2], "export.jsonl")
            done = import_lines(other, lines, "export.jsonl")
            assert (done.plans, done.events, done.repeated) == (0, 2, 4)
            assert list(export_lines(other)) == lines


def test_the_end_of_a_plan_comes_in_later(tmp_path: Path) -> None:
    with filled(tmp_path / "one.sqlite") as book, DayBook(tmp_path / "other.sqlite") as other:
        import_lines(other, export_lines(book), "export.jsonl")
        book.end_plan(book.pending()[0], "in place", "2027-03-09")
        import_lines(other, export_lines(book), "export.jsonl")
        assert other.pending() == ()


def _changed(line: str, **values: object) -> str:
    data = json.loads(line)
    (kind,) = data
    return json.dumps({kind: {**data[kind], **values}})


def test_every_line_that_can_not_be_taken_is_told_and_none_is(tmp_path: Path) -> None:
    with filled(tmp_path / "one.sqlite") as book, DayBook(tmp_path / "other.sqlite") as other:
        lines = list(export_lines(book))
        other.add_plan(small_plan(), staged="x")
        other.record([entry("two", pieces=7)])
        before = list(export_lines(other))
        bad = [
            *lines,
            "{",
            '{"orders": {}}',
            "[]",
            _changed(lines[4], kind="thought of"),
            _changed(lines[4], pieces="many"),
            _changed(lines[4], mood="good"),
            _changed(lines[2], version=0),
            _changed(lines[2], outcome="lost"),
            _changed(lines[2], plan=None),
            _changed(lines[3], id="new", version=2),
            _changed(lines[2], fingerprint="OTHER"),
        ]
        with pytest.raises(BadInput) as caught:
            import_lines(other, bad, "export.jsonl")
        assert list(export_lines(other)) == before
        told = [(fault.source.cell, fault.code) for fault in caught.value.faults]
        assert told == [
            ("line 2", "book-version-twice"),
            ("line 6", "book-id-twice"),
            *((f"line {number}", "line-unreadable") for number in range(8, 17)),
            ("line 17", "book-version-twice"),
            ("line 18", "book-id-twice"),
        ]
        words = [str(fault) for fault in caught.value.faults]
        assert words[0].startswith(
            "export.jsonl, line 2: version 1 of 2027-03-09, which the book has with another plan; "
        )
        for part in (
            "'thought of' is not a valid EventKind",
            "Event.pieces: 'many' is not int",
            "Event: 'mood' is not known here",
            "version and form are whole numbers",
            "outcome 'lost'",
            "a plan without its contents",
            "unknown: 'orders'",
            "neither a plan nor an entry",
        ):
            assert any(part in line for line in words), part


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ([], "export.jsonl, line 1: nothing; expected an exported day book"),
        (["shopping list"], "line 1: not a whole line of an export (wrong from letter 1 on)"),
        (["{}"], "line 1: form None; this program reads forms 1 to 2"),
        (['{"pressday_day_book": 3}', "{"], "line 1: form 3; this program reads forms 1 to 2"),
    ],
)
def test_what_is_no_exported_book(lines: list[str], words: str, tmp_path: Path) -> None:
    with DayBook(tmp_path / "one.sqlite") as book:
        with pytest.raises(BadInput) as caught:
            import_lines(book, lines, "export.jsonl")
        assert len(caught.value.faults) == 1
        assert words in str(caught.value)
        import_lines(book, ['{"pressday_day_book": 1}'], "export.jsonl")
        assert book.plans() == ()
