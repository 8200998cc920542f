"""Lists of changes to the shop workbook: what is read, what becomes of the shop, what is wrong by cell."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import time
from fractions import Fraction
from pathlib import Path

import pytest

from scheduler.domain.faults import Severity
from scheduler.domain.shop import NOWHERE, OperatorHours, Shop
from scheduler.domain.shop_changes import ShopChange
from scheduler.intake import default_shop, scan_changed_shop, scan_changes, write_changes_form
from scheduler.intake.shop.changes_layout import CHANGES
from scheduler.intake.words import heading_key, words
from tests.intake.books import add, bare, book_of, default_rows, put, sheets_book
from tests.intake.books import changed as changed_book

HEAD = "Change,Price,Cost a day,Sheet,Row,Column,New value\n"


def read(folder: Path, text: str) -> tuple[ShopChange, ...]:
    found, faults = scan(folder, text)
    assert faults == []
    return found


def scan(folder: Path, text: str) -> tuple[tuple[ShopChange, ...], list[str]]:
    path = folder / "changes.csv"
    path.write_text(HEAD + text, encoding="utf-8")
    found, faults = scan_changes(path)
    assert set(faults) >= {fault for one in found for fault in one.faults}
    return tuple(one for one in found if not one.faults), [str(fault) for fault in faults]


def changed(changes: tuple[ShopChange, ...]) -> tuple[Shop | None, list[str]]:
    shop, faults = scan_changed_shop(book_of(default_rows()), "shop", changes)
    told = [str(fault) for fault in faults if fault.severity == "fault"]
    return (None if shop is None else shop.shop), told


def test_a_change_is_its_rows_with_its_price_once(tmp_path: Path) -> None:
    cover, person = read(
        tmp_path,
        "cover,150,,Presses,Press 1,Platen cover,yes\n"
        "Helper,,120,Crew,Jo,Like,Ana\n"
        "helper ,0,,Crew,Jo,From,10:00\n",
    )
    assert (cover.name, cover.price, cover.cost_a_day, len(cover.edits)) == ("cover", 150, None, 1)
    assert (person.name, person.price, person.cost_a_day, len(person.edits)) == ("Helper", 0, 120, 2)
    assert str(cover.edits[0].source) == "changes.csv, G2"


def test_a_workbook_is_read_as_well_as_a_text_table(tmp_path: Path) -> None:
    rows = [HEAD.strip().split(","), ["cover", 12.5, None, "presses", "press 1", "platen cover", "yes"]]
    found, faults = scan_changes(sheets_book(tmp_path / "changes.xlsx", {"Changes": rows}))
    assert faults == ()
    assert [one.price for one in found] == [Fraction("12.5")]


def test_the_shop_differs_in_what_was_said_and_nothing_else(tmp_path: Path) -> None:
    today, _ = changed(())
    assert today is not None
    shop, faults = changed(
        read(
            tmp_path,
            "a,,,Presses,Press 1,Platen cover,yes\n"
            "a,,,Presses,Press 3,Like,Press 1\n"
            "a,,,Crew,Ana,To,17:30\n"
            "a,,,Element times,load,Cover,5.5\n"
            "a,,,Hours,Saturday,Open,8:00\n"
            "a,,,Hours,Sat,Close,12:00\n",
        )
    )
    assert (shop is not None, faults) == (True, [])
    assert shop is not None
    names = [press.name for press in shop.presses]
    assert names == [*(press.name for press in today.presses), "Press 3"]
    new, old = shop.presses[-1], shop.presses[0]
    assert (old.platen_cover, today.presses[0].platen_cover) == (True, False)
    # A row like another is like today's; nothing is mounted on a press that isn't there yet.
    assert (new.platens, new.mounted, new.watts) == (today.presses[0].platens, None, old.watts)
    assert {hours.end for hours in shop.crew[0].hours.values()} == {time(17, 30)}
    assert set(shop.hours) - set(today.hours) == {5}
    assert bare(shop.platens) == bare(today.platens)
    assert bare(shop.recipes) == bare(today.recipes)


def test_a_row_can_be_taken_out(tmp_path: Path) -> None:
    shop, faults = changed(read(tmp_path, "sold,,,Presses,Press 2,Gone,yes\n"))
    assert faults == []
    assert shop is not None
    assert len(shop.presses) == len(default_shop().presses) - 1


@pytest.mark.parametrize(
    ("row", "good", "fault"),
    [
        (
            "a,,,Preses,Press 1,Platen cover,yes",
            "a,,,Presses,Press 1,Platen cover,yes",
            'changes.csv, D2: sheet "Preses"; expected a cell of the shop workbook. Did you mean "Presses"?',
        ),
        (
            "a,,,Presses,Pres 1,Platen cover,yes",
            "a,,,Presses,press 1,Platen cover,yes",
            'E2: no row "Pres 1" in sheet Presses; expected a cell of the shop workbook. '
            'Did you mean "Press 1"',
        ),
        (
            "a,,,Presses,Press 1,Cover on platen,yes",
            "a,,,Presses,Press 1,platen  COVER,yes",
            'F2: no column "Cover on platen" in sheet Presses',
        ),
        (
            "a,,,Presses,Press 1,Platen cover,maybe",
            "a,,,Presses,Press 1,Platen cover,no",
            'changes.csv, G2: platen cover "maybe"; expected yes or no',
        ),
        (
            "a,,,Presses,Press 2,Like,Press 1",
            "a,,,Presses,Press 9,Like,Press 1",
            'row "Press 2", which is there already',
        ),
        (
            "a,,,Recipes,film hot peel,Dwell s,12",
            'a,,,Recipes,"film hot peel, cotton",Dwell s,12',
            'row "film hot peel", which is there',
        ),
        (
            "a,,,Crew,Ana,To,17:00\na,,,Crew,Ana,To,18:00",
            "a,,,Crew,Ana,To,17:00\na,,,Crew,Ana,From,7:00",
            '"a" changes this cell twice',
        ),
        (
            "a,,,Presses,Press 2,Gone,no",
            "a,,,Presses,Press 2,Gone,yes",
            'Gone: "no"',
        ),
    ],
)
def test_what_the_shop_cannot_take_is_said_at_the_change(
    row: str, good: str, fault: str, tmp_path: Path
) -> None:
    assert changed(read(tmp_path, good + "\n"))[1] == []
    (found,) = changed(read(tmp_path, row + "\n"))[1]
    assert fault in found


def test_two_changes_of_one_cell_cannot_be_made_together(tmp_path: Path) -> None:
    late, later, other = read(
        tmp_path,
        "late,,,Crew,Ana,To,17:00\nlater,,,Crew,Ana,To,17:30\nother,,,Crew,Ana,Pace,110 %\n",
    )
    assert changed((late, other))[1] == []
    (found,) = changed((late, later))[1]
    assert 'G3: "later" and "late" change the same cell' in found
    with_row, same_row = read(tmp_path, "x,,,Crew,Jo,Like,Ana\ny,,,Crew,Jo,Like,Ana\n")
    assert "change the same cell, or one of them its whole row" in changed((with_row, same_row))[1][0]


@pytest.mark.parametrize(
    ("row", "good", "fault"),
    [
        (",,,Crew,Ana,To,17:00", "a,,,Crew,Ana,To,17:00", "A2: change: nothing"),
        ("a,x,,Crew,Ana,To,17:00", "a,9,,Crew,Ana,To,17:00", 'B2: price "x"; expected a number'),
        ("a,,,,Ana,To,17:00", "a,,,crew,Ana,To,17:00", "D2: sheet: nothing; expected a value"),
        ("a,,,Crew,,To,17:00", "a,,,Crew,Ana,To,", "E2: row: nothing"),
        ("a + b,,,Crew,Ana,To,", "a+b,,,Crew,Ana,To,", 'A2: name "a + b"'),
        (
            "a,1,,Crew,Ana,To,17:00\na,2,,Crew,Ana,From,8:00",
            "a,1,,Crew,Ana,To,17:00\na,1,,Crew,Ana,From,8:00",
            "B3: a second price 2; expected one price for a change (1 above)",
        ),
    ],
)
def test_what_is_wrong_with_the_list_itself(row: str, good: str, fault: str, tmp_path: Path) -> None:
    sound, faults = scan(tmp_path, good + "\n")
    assert (len(sound), faults) == (1, [])
    found, faults = scan(tmp_path, row + "\nsound,,,Crew,Ana,Pace,100 %\n")
    assert fault in faults[0]
    assert [one.name for one in found] == ["sound"]


@pytest.mark.parametrize("name", ["form.xlsx", "form.csv"])
def test_the_form_has_the_headings_and_is_empty(name: str, tmp_path: Path) -> None:
    write_changes_form(tmp_path / name)
    found, faults = scan_changes(tmp_path / name)
    assert (found, [fault.code for fault in faults]) == ((), ["no-changes"])
    known = words().headings["changes"]
    assert [known[heading_key(column.label)] for column in CHANGES.columns] == [
        column.key for column in CHANGES.columns
    ]


def test_a_sheet_that_the_shop_does_without_can_be_begun(tmp_path: Path) -> None:
    """Two presses under one person: both made to open by themselves, and a pair on a sheet of its own."""
    opened = "a,,,Presses,Press 1,Opens by itself,yes\na,,,Presses,Press 2,Opens by itself,yes\n"
    pair = "a,,,Side by side,Press 1,Like,\na,,,Side by side,Press 1,Press beside it,{}\n"
    rows = default_rows()
    rows.pop("Side by side", None)
    for name, faults in (("Press 2", []), ("Press 7", ["G5"])):
        changes = read(tmp_path, opened + pair.format(name))
        shop, found = scan_changed_shop(book_of(rows), "shop", changes)
        assert [one.source.cell for one in found if one.severity == "fault"] == faults
        assert shop is not None
        assert (shop.shop is not None) == (not faults)


SATURDAY = add("Crew", "Ana", "8:00", "12:00", None, None, None, None, "Sat")
OPEN = [put("Hours", "Sat", "Open", "8:00"), put("Hours", "Sat", "Close", "12:00")]


def of_two_rows(changes: Iterable[ShopChange]) -> tuple[Shop | None, list[str]]:
    """A shop in which Ana has other hours on Saturdays, with some changes, and its faults."""
    words_, found = scan_changed_shop(changed_book(*OPEN, SATURDAY), "shop", changes)
    faults = [str(one) for one in found if one.severity is Severity.FAULT]
    return (words_.shop if words_ is not None else None), faults


def test_a_row_of_a_person_goes_by_its_weekdays(tmp_path: Path) -> None:
    today, _ = of_two_rows(())
    assert today is not None
    shop, faults = of_two_rows(read(tmp_path, 'a,,,Crew,"Ana, Saturday",To,11:30\n'))
    assert (shop is not None, faults) == (True, [])
    assert shop is not None
    assert shop.crew[0].hours == {
        **today.crew[0].hours,
        5: OperatorHours(start=time(8), end=time(11, 30)),
    }
    shop, (fault,) = of_two_rows(read(tmp_path, "a,,,Crew,Ana,To,11:30\n"))
    assert shop is None
    assert 'row "Ana", which is there 2 times' in fault
    assert 'Write name and weekdays, as in "Ana, Mon, Tue, Wed, Thu, Fri", "Ana, Sat".' in fault


def test_a_person_is_added_and_taken_out_with_all_rows(tmp_path: Path) -> None:
    shop, faults = of_two_rows(read(tmp_path, "a,,,Crew,Lena,Like,Ana\n"))
    assert (shop is not None, faults) == (True, [])
    assert shop is not None
    assert replace(shop.crew[-1], name="Ana", source=NOWHERE) == replace(shop.crew[0], source=NOWHERE)
    shop, faults = of_two_rows(read(tmp_path, "a,,,Crew,Ana,Gone,yes\n"))
    assert (shop is not None, faults) == (True, [])
    assert shop is not None
    assert "Ana" not in [person.name for person in shop.crew]


def test_hours_of_a_weekday_are_added_to_a_person(tmp_path: Path) -> None:
    changes = read(tmp_path, 'a,,,Crew,"Ben, Sat",Like,Ben\na,,,Crew,"Ben, Sat",From,9:00\n')
    shop, faults = of_two_rows(changes)
    assert (shop is not None, faults) == (True, [])
    assert shop is not None
    (ben,) = [person for person in shop.crew if person.name == "Ben"]
    assert (ben.hours[5], ben.hours[0].start) == (replace(ben.hours[0], start=time(9)), time(8))
    (fault,) = of_two_rows(read(tmp_path, "a,,,Crew,Ben,Like,Ana\n"))[1]
    assert 'Other hours on some weekdays are a row called as in "Ines, Sat".' in fault
