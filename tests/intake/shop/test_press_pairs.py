"""The sheet of presses that one operator may run side by side: read, written, refused by cell."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.domain.faults import Fault, Severity
from scheduler.domain.shop import PressPair, Shop
from scheduler.intake import default_shop, read_shop, write_shop
from scheduler.intake.files.grid import Book
from scheduler.intake.shop.reader import scan_shop_book
from tests.intake.books import HEADING_ROW, Change, Rows, add, bare, changed, codes, drop_sheet, put

SHEET = "Side by side"
BOTH = put("Presses", "Press 1", "Opens by itself", "yes")
"""Press 2 of the default shop opens by itself, Press 1 does not; a platen of both is owned twice."""


def scan(book: Book) -> tuple[Shop | None, tuple[Fault, ...]]:
    words, found = scan_shop_book(book, "shop")
    return words.shop, found


def test_a_new_workbook_explains_the_sheet_and_leaves_it_empty() -> None:
    rows: Rows = {}
    changed(lambda there: rows.update(there))
    assert rows[SHEET][HEADING_ROW] == ["Press", "Press beside it", "Walk s"]
    assert "open by themselves" in rows[SHEET][0][0]
    assert len(rows[SHEET]) == HEADING_ROW + 1


def test_pairs_are_written_and_read_back(tmp_path: Path) -> None:
    plain = default_shop()
    opening = tuple(replace(press, self_opening=True) for press in plain.presses)
    pairs = (
        PressPair(first="Press 1", second="Press 2", walk_s=2.5),
        PressPair(first="Press 2", second="Label press"),
    )
    shop = replace(plain, presses=opening, press_pairs=pairs)
    path = tmp_path / "shop.xlsx"
    write_shop(shop, path)
    assert bare(read_shop(path)) == bare(shop)
    source = read_shop(path).press_pairs[1].source
    assert (source.file, source.sheet, source.cell) == ("shop.xlsx", SHEET, "A5")


def test_a_workbook_without_the_sheet_reads_as_before() -> None:
    shop, found = scan(changed(drop_sheet(SHEET)))
    assert found == () and shop is not None
    assert bare(shop) == bare(default_shop())


ROWS: list[tuple[str, list[Change], list[tuple[str, str, str]]]] = [
    ("sound", [add(SHEET, "Press 1", "press 2", 2)], []),
    ("walk blank", [add(SHEET, "Press 1", "Press 2")], []),
    ("unknown press", [add(SHEET, "Pres 1", "Press 2", 2)], [("unknown-press", "A4", '"Press 1"')]),
    ("second blank", [add(SHEET, "Press 1", None, 2)], [("value-missing", "B4", "Fill in")]),
    ("itself", [add(SHEET, "Press 1", "PRESS 1", 2)], [("pair-with-itself", "B4", "other press")]),
    (
        "twice, the other way round",
        [add(SHEET, "Press 1", "Press 2", 2), add(SHEET, "Press 2", "Press 1", 3)],
        [("pair-twice", "A5", "A4")],
    ),
    ("walk below 0", [add(SHEET, "Press 1", "Press 2", -1)], [("number-out-of-range", "C4", "Correct")]),
    ("walk 0", [add(SHEET, "Press 1", "Press 2", 0)], []),
    ("walk too long", [add(SHEET, "Press 1", "Press 2", 61)], [("number-out-of-range", "C4", "Correct")]),
    ("walk in words", [add(SHEET, "Press 1", "Press 2", "2 s")], [("number-not-a-number", "C4", "alone: 2")]),
    (
        "opened by hand",
        [add(SHEET, "Press 1", "Cap press", 2)],
        [("pair-not-self-opening", "B4", "Take the row out")],
    ),
    (
        "all at once",
        [
            add(SHEET, "Press 2", "Cap press", -2),
            add(SHEET, "Cap press", "Pres 2"),
            add(SHEET, None, "Press 2"),
        ],
        [
            ("number-out-of-range", "C4", "Correct"),
            ("pair-not-self-opening", "B4", "Take the row out"),
            ("unknown-press", "B5", '"Press 2"'),
            ("pair-not-self-opening", "A5", "Take the row out"),
            ("value-missing", "A6", "Fill in"),
        ],
    ),
]


@pytest.mark.parametrize(("changes", "expected"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_wrong_pairs_are_named_by_cell(changes: list[Change], expected: list[tuple[str, str, str]]) -> None:
    shop, found = scan(changed(BOTH, *changes))
    faults = [one for one in found if one.severity is Severity.FAULT]
    assert [(one.code, one.source.cell) for one in faults] == [one[:2] for one in expected]
    assert all(one.source.sheet == SHEET for one in faults)
    assert all(mend in one.mend for one, (_, _, mend) in zip(faults, expected, strict=True))
    assert (shop is None) == bool(expected)


def test_a_press_that_is_opened_by_hand_says_why_not() -> None:
    shop, found = scan(changed(add(SHEET, "Press 1", "Press 2", 2)))
    assert shop is None
    (fault,) = found
    assert (fault.source.sheet, fault.source.cell) == (SHEET, "A4")
    assert fault.found == 'press "Press 1", which is opened by hand'
    assert fault.expected.startswith("only presses that open by themselves: a press left alone must not stay")
    assert '"Opens by itself" on sheet Presses' in fault.mend
    accepted, found = scan(changed(BOTH, add(SHEET, "Press 1", "Press 2", 2)))
    assert found == () and accepted is not None
    assert bare(accepted.press_pairs) == (PressPair(first="Press 1", second="Press 2", walk_s=2.0),)


def test_a_press_with_a_fault_of_its_own_is_no_fault_of_the_pair() -> None:
    book = changed(put("Presses", "Press 1", "Watts", "x"), add(SHEET, "Press 1", "Press 2", 2))
    assert codes(scan(book)[1]) == ["number-not-a-number"]


def test_a_pair_that_no_run_can_use_is_doubted() -> None:
    """The label press takes the small platen only."""
    pair = add(SHEET, "Press 2", "Label press", 2)
    shop, found = scan(changed(pair, put("Platens", "small", "Owned", 1)))
    assert shop is not None and codes(found) == ["pair-without-platens"]
    assert scan(changed(pair, put("Platens", "small", "Owned", 2)))[1] == ()
    asked = [
        put("Presses", "Press 2", "Skill needed", "caps"),
        put("Presses", "Label press", "Skill needed", "ink"),
    ]
    shop, found = scan(changed(pair, *asked, put("Crew", "Ben", "Skills", "ink")))
    assert shop is not None and codes(found) == ["pair-without-operator"]
    assert scan(changed(pair, *asked, put("Crew", "Ben", "Skills", "ink, caps")))[1] == ()


def test_other_languages_have_words_for_the_sheet() -> None:
    def in_german(rows: Rows) -> None:
        title, explain, _ = rows.pop(SHEET)
        rows["Nebeneinander"] = [
            title,
            explain,
            ["Presse", "Presse daneben", "Weg s"],
            ["Press 1", "Press 2", 3],
        ]

    shop, found = scan(changed(BOTH, in_german))
    assert found == () and shop is not None
    assert bare(shop.press_pairs) == (PressPair(first="Press 1", second="Press 2", walk_s=3.0),)
