"""Stopwatch studies from tables: every layout and unit, and what is wrong with them by cell."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import pytest

from scheduler.domain.faults import Severity
from scheduler.domain.shop import Element, Setup
from scheduler.domain.studies import ALL_SET_UPS, WHOLE_CYCLE, Held, Reading, Studied
from scheduler.intake import default_shop
from scheduler.intake.studies.layout import STUDY
from scheduler.intake.studies.places import leave_out
from scheduler.intake.studies.reader import UNITS, scan_study
from scheduler.intake.studies.writer import ELEMENTS, SET_UPS, write_study_form
from scheduler.intake.words import heading_key, words
from tests.intake.books import sheets_book


def text_file(folder: Path, text: str) -> Path:
    path = folder / "study.csv"
    path.write_text(text, encoding="utf-8")
    return path


def seconds(readings: Sequence[Reading]) -> list[float]:
    return [float(one.seconds) for one in readings]


def test_a_row_for_each_reading(tmp_path: Path) -> None:
    text = "Element,Press set-up,Rating,Seconds,Remark\nload,plain,110,13.5,\nload,plain,,12,dropped it\n"
    readings, faults = scan_study(text_file(tmp_path, text))
    assert faults == ()
    assert [one.studied for one in readings] == [Studied(element="load", set_up="plain")] * 2
    assert [(one.seconds, one.rating, one.remark) for one in readings] == [
        (Fraction("13.5"), Fraction("1.1"), ""),
        (Fraction(12), Fraction(1), "dropped it"),
    ]
    assert [one.source.cell for one in readings] == ["D2", "D3"]


def test_readings_side_by_side_with_their_cells(tmp_path: Path) -> None:
    book = sheets_book(
        tmp_path / "study.xlsx",
        {
            "Tuesday": [
                ["Harbour Shirts, Tuesday"],
                [],
                ["Element", "Press set-up", "Rating", 1, 2, "Reading 3", "Leave out"],
                ["Load", "Cover and stand", 0.95, 4.5, None, 5, None],
                ["lay a transfer", "all", "95 %", 3, 3, 3, "yes"],
            ]
        },
    )
    readings, faults = scan_study(book)
    assert faults == ()
    assert [(one.source.sheet, one.source.cell) for one in readings] == [
        ("Tuesday", cell) for cell in ("D4", "F4", "D5", "E5", "F5")
    ]
    assert {one.rating for one in readings} == {Fraction("0.95")}
    assert [one.left_out for one in readings] == [False, False, True, True, True]
    assert readings[0].studied.set_up == Setup.COVER_AND_STAND


@pytest.mark.parametrize(
    ("head", "cell", "expected"),
    [
        ("Seconds", "12", 12),
        ("Minutes", "0.2", 12),
        ("1/100 min", "20", 12),
        ("Hundredths of a minute", "23.5", 14.1),
    ],
)
def test_the_unit_of_a_column(head: str, cell: str, expected: float, tmp_path: Path) -> None:
    readings, faults = scan_study(text_file(tmp_path, f"Element,{head}\nload,{cell}\n"))
    assert (seconds(readings), faults) == ([expected], ())


def test_the_unit_of_a_row(tmp_path: Path) -> None:
    """Readings of a decimal-minute watch: 20 hundredths are 12 s."""
    readings, faults = scan_study(text_file(tmp_path, "Element,Unit,1,2\nload,cmin,20,21\nlay,s,3,4\n"))
    assert faults == ()
    assert seconds(readings) == [12, 12.6, 3, 4]


def test_without_a_column_of_elements_they_are_whole_cycles_and_that_is_said(tmp_path: Path) -> None:
    readings, faults = scan_study(text_file(tmp_path, "Press set-up,Seconds\ncover,30\n"))
    assert [one.studied for one in readings] == [Studied(element=WHOLE_CYCLE, set_up="cover")]
    assert [(fault.code, fault.severity) for fault in faults] == [("no-elements", Severity.DOUBT)]


def test_a_row_for_each_garment_with_elements_as_headings(tmp_path: Path) -> None:
    """As it is often written down by hand; the column Cycle only numbers the garments."""
    text = (
        "Cycle,Press set-up,Rating,Load,Lay,Dwell,Unload,Remarks\n"
        "1,plain,110 %,13,3,12,7,\n"
        "2,plain,,12.5,,12,8,lay not seen\n"
        "mean,,,12.75,3,12,7.5,\n"
    )
    readings, faults = scan_study(text_file(tmp_path, text))
    assert [(one.studied.element, float(one.seconds), one.source.cell) for one in readings] == [
        ("load", 13, "D2"),
        ("lay a transfer", 3, "E2"),
        ("dwell", 12, "F2"),
        ("unload", 7, "G2"),
        ("load", 12.5, "D3"),
        ("dwell", 12, "F3"),
        ("unload", 8, "G3"),
    ]
    assert {one.studied.set_up for one in readings} == {"plain"}
    assert [(one.code, one.severity, one.source.cell) for one in faults] == [
        ("unknown-column", Severity.DOUBT, "A1"),
        ("summary-row", Severity.DOUBT, "A4"),
    ]


def test_an_element_over_a_column_is_no_reading_where_rows_name_theirs(tmp_path: Path) -> None:
    readings, faults = scan_study(text_file(tmp_path, "Element,Seconds,Load\nlay,3,99\n"))
    assert [(one.studied.element, float(one.seconds)) for one in readings] == [("lay a transfer", 3)]
    assert [one.code for one in faults] == ["unknown-column"]


def test_a_unit_in_front_is_no_summary(tmp_path: Path) -> None:
    readings, faults = scan_study(text_file(tmp_path, "Unit,Element,1,2\nmin,load,0.2,0.25\n"))
    assert (seconds(readings), faults) == ([12, 15], ())


def test_rows_of_totals_are_passed_over_and_said(tmp_path: Path) -> None:
    readings, faults = scan_study(text_file(tmp_path, "Element,1,2\nload,12,13\nTotal,12,13\n"))
    assert (len(readings), [(one.code, one.source.cell) for one in faults]) == (2, [("summary-row", "A3")])


def test_another_element_is_worked_out_under_its_own_name_with_a_doubt(tmp_path: Path) -> None:
    readings, (doubt,) = scan_study(text_file(tmp_path, "Element,Seconds\nunlaod,7\n"))
    assert readings[0].studied.element == "unlaod"
    assert doubt.severity is Severity.DOUBT
    assert str(doubt) == (
        'study.csv, A2: element "unlaod"; expected one of the shop\'s elements, so that its time can be '
        'taken over. Did you mean "unload"? It is worked out under its own name.'
    )


def test_everything_wrong_comes_at_once_with_its_cell(tmp_path: Path) -> None:
    text = (
        "Element,Press set-up,Rating,1,2,Leave out,Shelf\n"
        "load,plain,100,13,12,,\n"
        "load,sofa,100,13,12,,\n"
        "load,plain,fast,0,twelve,,\n"
        ",plain,100,4000,12,maybe,\n"
        "load,plain,500,,12,,\n"
    )
    readings, faults = scan_study(text_file(tmp_path, text))
    assert seconds(readings) == [13, 12]
    assert [(fault.code, fault.source.cell) for fault in faults] == [
        ("unknown-column", "G1"),
        ("unknown-set-up", "B3"),
        ("rating-not-a-number", "C4"),
        ("reading-out-of-range", "D4"),
        ("reading-not-a-number", "E4"),
        ("value-missing", "A5"),
        ("not-yes-or-no", "F5"),
        ("reading-out-of-range", "D5"),
        ("rating-out-of-range", "C6"),
    ]
    assert str(faults[3]) == (
        'study.csv, D4: reading 1 "0"; expected a number, above 0 to 3600 s. Correct the number.'
    )


@pytest.mark.parametrize(
    ("text", "code", "words_"),
    [
        ("shopping,list\n1,2\n", "headings-missing", "no table of readings; expected headings: Element"),
        ("Element,Rating\nload,100\n", "headings-missing", "and Seconds or 1, 2, 3 ..."),
        ("Element,Seconds\nload,\n", "no-readings", "a study without any reading"),
        ("Element,Element,Seconds\nload,lay,5\n", "column-twice", 'a second column "Element"'),
    ],
)
def test_a_table_that_is_no_study(text: str, code: str, words_: str, tmp_path: Path) -> None:
    _, faults = scan_study(text_file(tmp_path, text))
    assert [fault.code for fault in faults if fault.severity is Severity.FAULT] == [code]
    assert words_ in str(faults[0])


def test_a_missing_file_is_one_fault(tmp_path: Path) -> None:
    readings, (fault,) = scan_study(tmp_path / "none.csv")
    assert (readings, fault.code) == ((), "file-missing")


def test_with_a_shop_transfers_and_fabrics_are_its_own(tmp_path: Path) -> None:
    shop = default_shop()
    transfer, fabric = shop.recipes[0].transfer, shop.recipes[0].fabric
    text = f"Element,Transfer,Fabric,Seconds\ndwell,{transfer.upper()},{fabric},12\ndwell,gum,{fabric},12\n"
    readings, (fault,) = scan_study(text_file(tmp_path, text), shop=shop)
    assert readings[0].studied == Studied(element="dwell", transfer=transfer, fabric=fabric)
    assert (fault.code, fault.source.cell) == ("unknown-transfer", "B3")
    readings, faults = scan_study(text_file(tmp_path, text))
    assert (len(readings), faults) == (2, ())


@pytest.mark.parametrize(
    ("cell", "mend"),
    [
        ("-", "Leave the cell blank where nothing was read."),
        ("–", "Leave the cell blank where nothing was read."),
        ("n/a", "Leave the cell blank where nothing was read."),
        ("N.A.", "Leave the cell blank where nothing was read."),
        ("1.300", "Write 1300 or 1.3, whichever is meant."),
        ('"1,300"', "Write 1300 or 1.3, whichever is meant."),
        ("12.075", "Write 12075 or 12.075, whichever is meant."),
        ("fast", "Write a number, without other signs."),
    ],
)
def test_what_is_no_reading_says_what_to_write(cell: str, mend: str, tmp_path: Path) -> None:
    readings, faults = scan_study(text_file(tmp_path, f"Element,Seconds\nload,{cell}\nload,12\n"))
    assert [(one.code, one.mend) for one in faults] == [("reading-not-a-number", mend)]
    assert seconds(readings) == [12]


@pytest.mark.parametrize("place", ["D3", "d3", "Monday!D3", "study.xlsx, Monday!D3", "study.xlsx!D3"])
def test_a_reading_is_left_out_by_its_cell(place: str, tmp_path: Path) -> None:
    rows = [["Element", "Unit", "Rating", 1, 2], ["load", None, None, 13, 12], ["load", None, None, 60, 12]]
    readings, _ = scan_study(sheets_book(tmp_path / "study.xlsx", {"Monday": rows}))
    kept, faults = leave_out(readings, [place])
    assert faults == ()
    assert [float(one.seconds) for one in kept if one.left_out] == [60]
    assert len(kept) == len(readings)


def test_a_cell_without_a_reading_and_one_in_two_tables(tmp_path: Path) -> None:
    rows = [["Element", 1], ["load", 13]]
    book = sheets_book(tmp_path / "study.xlsx", {"Monday": rows, "Tuesday": rows})
    readings, _ = scan_study(book)
    kept, faults = leave_out(readings, ["B2", "B9", "Monday!B2"])
    assert [fault.code for fault in faults] == ["reading-unclear", "no-such-reading"]
    assert 'Write which: "study.xlsx, Monday!B2", "study.xlsx, Tuesday!B2".' in str(faults[0])
    assert [one.left_out for one in kept] == [True, False]


def test_of_many_cells_only_a_few_are_named(tmp_path: Path) -> None:
    rows = [["Element", *range(1, 41)], ["load", *([13] * 40)]]
    sheets = {f"Day {day}": rows for day in range(8)}
    many, _ = scan_study(sheets_book(tmp_path / "many.xlsx", sheets))
    _, (unclear, none) = leave_out(many, ["B2", "Z99"])
    assert unclear.mend.endswith('"many.xlsx, Day 5!B2" and 2 more.')
    assert none.mend == "Take one of: B2, C2, D2, E2, F2, G2 and 34 more."
    few, _ = scan_study(sheets_book(tmp_path / "few.xlsx", {"Monday": [["Element", 1, 2], ["load", 1, 2]]}))
    assert leave_out(few, ["Z99"])[1][0].mend == "Take one of: B2, C2."


@pytest.mark.parametrize("name", ["form.xlsx", "form.csv"])
def test_the_form_is_read_back_once_it_is_filled_in(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    write_study_form(path)
    assert [fault.code for fault in scan_study(path)[1]] == ["no-readings"]
    if name.endswith("csv"):
        text = path.read_text(encoding="utf-8-sig")
        filled = text.replace("unload,,,,,,,", "unload,plain,,,,110 %,7,8", 1)
        assert filled != text
        path.write_text(filled, encoding="utf-8")
        readings, faults = scan_study(path)
        assert (seconds(readings), faults) == ([7, 8], ())
        assert readings[0].studied == Studied(element="unload", set_up="plain")


def test_the_words_of_the_form_are_understood() -> None:
    known = words()
    for column in STUDY.columns:
        numbered = column.key.startswith("reading ")
        assert numbered or known.headings["study"][heading_key(column.label)] == column.key
    assert set(known.choices["element"].values()) == set(ELEMENTS)
    assert set(ELEMENTS) == {*map(str, Element), *map(str, Held), WHOLE_CYCLE}
    assert set(known.choices["set_up"].values()) == set(SET_UPS) == {*map(str, Setup), ALL_SET_UPS}
    assert set(known.choices["time_unit"].values()) == set(UNITS)
