"""Broken shop workbooks: each wrong cell with its code, place and mend, beside its accepted neighbour."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from pathlib import Path
from typing import Any

import pytest

from scheduler.domain.faults import Fault, Severity
from scheduler.domain.shop import OperatorHours, Shop
from scheduler.exceptions import BadInput
from scheduler.intake import read_shop
from scheduler.intake.files.grid import Book, Unread
from scheduler.intake.shop.layout import SHOP_TABLES
from scheduler.intake.shop.reader import scan_shop_book
from tests.intake.books import (
    HEADING_ROW,
    Change,
    Rows,
    add,
    bare,
    changed,
    codes,
    default_rows,
    drop,
    drop_sheet,
    head,
    put,
    sheets_book,
    where,
)


def scan(book: Book) -> tuple[Shop | None, tuple[Fault, ...]]:
    """The shop of a workbook, None when there is a fault, and the findings."""
    words, found = scan_shop_book(book, "shop")
    return words.shop, found


# sheet, row, heading; what is wrong, its code, part of its mend; and the nearest thing that is accepted
CELLS: list[tuple[str, str, str, Any, str, str, Any]] = [
    ("Presses", "Press 1", "Highest °C", "hot", "number-not-a-number", "Write a whole number", "210"),
    ("Presses", "Press 1", "Highest °C", "210 C", "number-not-a-number", "alone: 210", 210.0),
    ("Presses", "Press 1", "Highest °C", 100, "temperatures-backwards", "Correct one", 200),
    ("Presses", "Press 1", "Highest °C", None, "value-missing", "Fill in", 205),
    ("Presses", "Press 1", "Heating °C/min", 0, "number-out-of-range", "Correct", 0.5),
    ("Presses", "Press 1", "Watts", 2945, "press-over-circuit", "electrician", 2944),
    ("Presses", "Press 1", "Watts", 1800.5, "number-not-whole", "whole", 1800),
    ("Presses", "Press 1", "Circuit", "Wal A", "unknown-circuit", 'Did you mean "Wall A"?', "WALL  a"),
    ("Presses", "Press 1", "Platens that fit", "large, medum", "unknown-platen", '"medium"', "large; medium"),
    (
        "Presses",
        "Press 1",
        "Mounted at day start",
        "cap",
        "mounted-does-not-fit",
        "platens that fit",
        "small",
    ),
    ("Presses", "Press 1", "Mounted at day start", "larg", "unknown-platen", '"large"', "Large"),
    ("Presses", "Press 1", "Skill needed", "cap", "unknown-skill", '"caps"', "Caps"),
    ("Presses", "Press 1", "Opens by itself", "maybe", "not-yes-or-no", "yes or no", "Y"),
    ("Presses", "Press 1", "Opening", "sideways", "unknown-opening", "one of these", "swing"),
    ("Presses", "Press 1", "Figures are", "mine", "unknown-mark", "one of these", "ours"),
    ("Presses", "Press 1", "Watts", Unread("error", "#N/A"), "error-cell", "Mend the formula", 1800),
    (
        "Presses",
        "Press 1",
        "Watts",
        Unread("formula", "=900*2"),
        "formula-without-value",
        "save it again",
        1800,
    ),
    ("Platens", "large", "Owned", 0, "number-out-of-range", "Correct", 1),
    ("Platens", "large", "Width mm", "406 mm", "number-not-a-number", "alone: 406", 406),
    (
        "Platens",
        "large",
        "Placements",
        "full front, left chst",
        "unknown-placement",
        '"left chest"',
        "Full Front",
    ),
    ("Platens", "large", "Size groups", "adlt", "unknown-size-group", '"adult"', "ADULT"),
    ("Platens", "large", "Swap min", "five", "number-not-a-number", "number", "5,5"),
    ("Platens", "front and label", "Second width mm", None, "second-place-incomplete", "all three", 130),
    (
        "Placements",
        "left chest",
        "Comes after",
        "left chest",
        "placements-in-a-circle",
        "Clear",
        "neck label",
    ),
    (
        "Placements",
        "left chest",
        "May pair with",
        "left chest",
        "pairs-with-itself",
        "Take it out",
        "neck label",
    ),
    ("Placements", "left chest", "Width mm", "wide", "number-not-a-number", "number", 80),
    ("Placements", "left chest", "Inside", "inside", "not-yes-or-no", "yes or no", True),
    ("Recipes", "film hot peel", "°C", 89, "temperature-out-of-range", "Correct", 100),
    ("Recipes", "film hot peel", "°C", 231, "temperature-out-of-range", "otherwise correct", 210),
    ("Recipes", "film hot peel", "°C", 302, "temperature-out-of-range", "Fahrenheit, write 150", 150),
    ("Recipes", "film hot peel", "°C", 211, "recipe-too-hot", "range of the press", 210),
    ("Recipes", "film hot peel", "°C", 99, "recipe-too-cool", "range of the press", 100),
    ("Recipes", "film hot peel", "Dwell s", 0, "dwell-out-of-range", "Correct", 1),
    ("Recipes", "film hot peel", "Dwell s", 181, "dwell-out-of-range", "Correct", 180),
    ("Recipes", "film hot peel", "Pressure", "hard", "unknown-pressure", "one of these", "Medium firm"),
    ("Recipes", "film hot peel", "Peel", "later", "unknown-peel", "one of these", "warm"),
    (
        "Recipes",
        "film hot peel",
        "Transfer",
        "film hot pel",
        "unknown-transfer",
        '"film hot peel"',
        "Film hot  peel",
    ),
    ("Recipes", "film hot peel", "Fabric", "cottn", "unknown-fabric", '"cotton"', "Cotton"),
    ("Recipes", "film hot peel", "Fabric", "canvas", "recipe-twice", "A4", "cotton"),
    ("Crew", "Ben", "From", None, "operator-without-hours", "usual shift", time(8, 0)),
    ("Crew", "Ben", "From", 8, "not-a-time", "08:00", "8:00"),
    ("Crew", "Ben", "From", 0.375, "time-is-a-bare-number", "09:00", "9 am"),
    ("Crew", "Ben", "To", time(8, 0), "shift-backwards", "Correct", time(16, 0)),
    ("Crew", "Ben", "Overtime until", "16:00", "overtime-before-end", "clear", "16:30"),
    ("Crew", "Ben", "Breaks", "7:45-8:05", "break-outside-shift", "Correct the break", "8:00-8:05"),
    ("Crew", "Ben", "Breaks", "17:20-17:40", "break-outside-shift", "Correct the break", "17:20-17:30"),
    ("Crew", "Ben", "Breaks", "12:30", "not-a-break", "from-to", "12:30 to 13:00"),
    ("Crew", "Ben", "Breaks", "13:00-12:30", "break-backwards", "not before", "12:30–13:00"),
    (
        "Crew",
        "Ben",
        "Breaks",
        "12:00-13:00, 12:30-13:30",
        "breaks-overlap",
        "Correct",
        "12:00-12:30; 12:30-13:30",
    ),
    ("Crew", "Ben", "Pace", "fast", "pace-not-a-number", "100 %", "110 %"),
    ("Crew", "Ben", "Pace", 20, "pace-out-of-range", "100 %", 110),
    ("Crew", "Ben", "Weekdays", "Mon-Funday", "not-weekdays", "English", "Monday to Friday"),
    ("Crew", "Ben", "Weekdays", "Fri-Mon", "not-weekdays", "order of the week", "Mon, Fri"),
    ("Crew", "Ben", "Weekdays", "Sat", "operator-without-hours", "Correct the shift", "Fri-Sat"),
    ("Circuits", "Wall A", "Share for long loads", 120, "share-out-of-range", "Correct", "80 %"),
    ("Circuits", "Wall A", "Share for long loads", 0, "share-out-of-range", "80 %", 80),
    ("Circuits", "Wall A", "Volts", 12, "number-out-of-range", "Correct", 240),
    ("Hours", "Mon", "Close", None, "hours-incomplete", "both times", time(17, 0)),
    ("Hours", "Mon", "Close", "7:30", "hours-backwards", "Correct", "17.00"),
    ("Hours", "Mon", "Close", "24:00", "not-a-time", "23:59", "18:00"),
    ("Hours", "Mon", "Overtime until", "16:59", "overtime-before-end", "clear", None),
    ("Hours", "Mon", "Weekday", "Maandag", "not-a-weekday", "Take one of: Mon, Tue", "monday"),
    ("Hours", "Tue", "Weekday", "Mon", "weekday-twice", "A4", "Tuesday"),
    ("Couriers", "parcel", "Mon", "25:30", "not-a-time", "23", "15:30"),
    ("Element times", "load", "Plain", "quick", "time-not-a-number", "number", "13,5"),
    ("Element times", "load", "Plain", -1, "time-out-of-range", "Correct", 0),
    ("Element times", "load", "Plain", None, "value-missing", "Fill in", 12),
    ("Allowances", "Relaxation", "Value", 101, "share-out-of-range", "Correct", "11 %"),
    ("Allowances", "Relaxation", "Value", "lots", "share-not-a-number", "11 %", 0.11),
    ("Allowances", "Margin", "Value", 10.5, "number-not-whole", "whole", 12),
    ("Allowances", "Least lot", "Value", 0, "number-out-of-range", "Correct", 1),
    ("Sizes", "M", "Size group", None, "value-missing", "Fill in", "adult"),
    ("Sizes", "M", "Size", "s", "name-twice", "rename", "Medium"),
    ("Sizes", "M", "Size group", "adult, tall", "name-with-mark", "mark", "adult"),
    ("Transfers", "patch", "Spoilage", "two", "share-not-a-number", "11 %", "2 %"),
    ("Couriers", "own van", "Courier", "Parcel", "name-twice", "A4", "van"),
    ("Couriers", "own van", "Courier", None, "value-missing", "Fill in", "van"),
]


@pytest.mark.parametrize(("sheet", "name", "heading", "bad", "code", "mend", "good"), CELLS)
def test_a_wrong_cell_is_named_and_its_neighbour_accepted(
    sheet: str, name: str, heading: str, bad: Any, code: str, mend: str, good: Any
) -> None:
    shop, found = scan(changed(put(sheet, name, heading, bad)))
    first = next(fault for fault in found if fault.severity is Severity.FAULT)
    assert shop is None
    assert first.code == code
    if code != "recipe-twice":
        assert f"{first.source.sheet}!{first.source.cell}" == where(sheet, name, heading)
    assert mend in first.mend
    assert first.found and first.expected
    accepted, left = scan(changed(put(sheet, name, heading, good)))
    assert accepted is not None, [str(one) for one in left]


DOUBTS: list[tuple[str, str, str, Any, str, Any]] = [
    # 10 kg of aluminium with 1800 W take 11.6 min from 20 to 160 °C (heat capacity 897 J/(kg K), handbook)
    ("Presses", "Press 1", "Warm-up min", 5, "warm-up-short", 12),
    ("Recipes", "film cold peel", "Cooling s", None, "cold-peel-without-cooling", 30),
    ("Couriers", "parcel", "Sat", "12:00", "courier-on-closed-day", None),
    ("Couriers", "parcel", "Mon", "7:00", "courier-before-opening", "7:31"),
    ("Couriers", "parcel", "Mon", "19:00", "courier-after-closing", "18:59"),
    ("Allowances", "Relaxation", "Value", 60, "relaxation-large", 50),
    ("Transfers", "patch", "Spoilage", 0.5, "spoilage-large", "0.5 %"),
    ("Platens", "front and label", "Second place: placements", "nape", "second-place-unused", "neck label"),
    ("Platens", "cap", "Placements", "nape", "placement-without-platen", "cap front"),
    ("Presses", "Cap press", "Mounted at day start", None, "", "cap"),
    ("Crew", "Ana", "From", "7:45", "opens-before-anybody", "7:30"),
]


@pytest.mark.parametrize(("sheet", "name", "heading", "odd", "code", "usual"), DOUBTS)
def test_an_odd_cell_is_doubted_but_taken(
    sheet: str, name: str, heading: str, odd: Any, code: str, usual: Any
) -> None:
    shop, found = scan(changed(put(sheet, name, heading, odd)))
    assert shop is not None
    assert codes(found) == ([code] if code else [])
    assert all(one.severity is Severity.DOUBT for one in found)
    assert scan(changed(put(sheet, name, heading, usual)))[1] == ()


def test_a_person_may_have_other_hours_on_some_weekdays() -> None:
    saturday = [put("Hours", "Sat", "Open", "8:00"), put("Hours", "Sat", "Close", "12:00")]
    row = ("ben", "8:00", "12:00", None, "10:00-10:15")
    today = scan(changed(*saturday))[0]
    for skills, own_pace in ((None, None), (None, 1)):
        shop, found = scan(changed(*saturday, add("Crew", *row, skills, own_pace, "Sat")))
        assert (found, shop is not None, today is not None) == ((), True, True)
        assert shop is not None and today is not None
        assert [person.name for person in shop.crew] == [person.name for person in today.crew]
        ben, before = shop.crew[1], today.crew[1]
        assert ben == replace(before, hours={**before.hours, 5: ben.hours[5]})
        assert ben.hours[5] == OperatorHours(start=time(8), end=time(12), breaks=((time(10), time(10, 15)),))


@pytest.mark.parametrize(
    ("cells", "code", "key", "found"),
    [
        (("caps", None, "Sat"), "skills-differ", "F", '"caps" of "Ana", where "caps, stand" stands in F4'),
        ((None, 120, "Sat"), "pace-differs", "G", 'pace 120% of "Ana", where 100% stands in G4'),
        (
            (None, None, "Fri, Sat"),
            "weekday-twice",
            "H",
            '"Ana" a second time on Fri; the first stands in H4',
        ),
        (
            (None, None, None),
            "weekday-twice",
            "H",
            '"Ana" a second time on Mon, Tue, Wed, Thu, Fri (blank: Mon-Fri); the first stands in H4',
        ),
    ],
)
def test_rows_of_a_person_that_do_not_go_together(
    cells: tuple[Any, ...], code: str, key: str, found: str
) -> None:
    """Both cells are named: that of the further row as the place, that of the first in the words."""
    saturday = [put("Hours", "Sat", "Open", "8:00"), put("Hours", "Sat", "Close", "12:00")]
    able = put("Crew", "Ana", "Skills", "caps, stand")
    ana = ("Ana", "8:00", "12:00", None, None)
    shop, faults = scan(changed(*saturday, able, add("Crew", *ana, *cells)))
    assert shop is None and codes(faults) == [code]
    assert f"{faults[0].source.sheet}!{faults[0].source.cell}" == f"Crew!{key}7"
    assert found in faults[0].found
    assert scan(changed(*saturday, able, add("Crew", *ana, "Stand, caps", 100, "Sat")))[1] == ()


def test_who_is_never_there_is_told_once() -> None:
    never = [put("Crew", "Ben", "Weekdays", "Sat"), add("Crew", "ben", "8:00", "12:00", *[None] * 4, "Sun")]
    (fault,) = scan(changed(*never))[1]
    assert (fault.code, fault.source.cell) == ("operator-without-hours", "H5")


def test_a_wrong_row_of_a_person_hides_no_fault_of_the_next() -> None:
    book = changed(put("Crew", "Ana", "To", "late"), add("Crew", "Ana", "8:00", "12:00"))
    assert codes(scan(book)[1]) == ["not-a-time", "weekday-twice"]


NOON = [
    put("Hours", "Thu", "Close", "12:30"),
    put("Hours", "Thu", "Overtime until", None),
    put("Couriers", "parcel", "Thu", "12:00"),
]


@pytest.mark.parametrize(
    ("row", "cut"),
    [
        (
            ("14:00", "17:00", None, "Mon-Thu"),
            '"Jo" 14:00-17:00: the hours of the shop cut off on Thu all of it (open 07:30-12:30)',
        ),
        (("9:00", "13:30", None, "Thu"), "on Thu 12:30-13:30 (open 07:30-12:30)"),
        (("9:00", "13:29", None, "Thu"), ""),
        (("12:00", "12:31", None, "Thu"), ""),
        (("12:30", "12:45", None, "Thu"), "on Thu all of it (open 07:30-12:30)"),
        (("7:00", "17:30", None, "Mon, Tue"), "on Mon, Tue 07:00-07:30 and 17:00-17:30 (open 07:30-17:00)"),
        (("8:00", "18:30", None, "Mon"), "on Mon 17:00-18:30 (open 07:30-17:00)"),
        (("8:00", "18:30", "19:00", "Mon"), ""),
        (("9:00", "12:00", None, "Sat, Sun"), "on Sat, Sun all of it (closed)"),
        (("9:00", "12:00", None, "Fri, Sat"), ""),
    ],
)
def test_what_the_hours_of_the_shop_cut_off_a_shift_is_doubted(row: tuple[str | None, ...], cut: str) -> None:
    start, end, overtime, days = row
    half = add("Crew", "Ana", "7:30", "12:30", None, None, None, None, "Thu")
    rest = [
        put("Crew", "Ana", "Weekdays", "Mon-Wed, Fri"),
        put("Crew", "Ben", "Weekdays", "Mon-Wed, Fri"),
        put("Crew", "Cleo", "Weekdays", "Mon-Wed"),
        half,
    ]
    jo = [
        add("Crew", "Jo", "8:00", "12:00", None, None, None, None, "Wed" if days != "Mon-Thu" else "Fri"),
        add("Crew", "Jo", start, end, overtime, None, None, None, days),
    ]
    assert scan(changed(*NOON, *rest, jo[0]))[1] == ()
    shop, found = scan(changed(*NOON, *rest, *jo))
    assert shop is not None
    assert codes(found) == (["shift-outside-hours"] if cut else [])
    if cut:
        assert (found[0].source.sheet, found[0].source.cell) == ("Crew", "B9")
        assert found[0].severity is Severity.DOUBT and cut in found[0].found


def test_a_recipe_twice_is_quoted_as_it_stands_in_its_cells() -> None:
    """The fabric may be another one misspelt: "coton" is French for cotton."""
    first = where("Recipes", "film hot peel", "Transfer")
    (fault,) = scan(changed(add("Recipes", "film hot peel", "coton", 150, "medium", None, 12, "hot")))[1]
    assert fault.code == "recipe-twice"
    assert fault.found == '"film hot peel" on "coton", read as "cotton", a second time'
    meant = (
        f"The first stands in {first.split('!')[1]}. If another transfer or fabric is meant here, write that"
    )
    assert fault.mend.startswith(meant)
    (plain,) = scan(changed(add("Recipes", "film hot peel", "Cotton", 150, "medium", None, 12, "hot")))[1]
    assert plain.found == '"film hot peel" on "cotton" a second time'


def test_a_weekday_on_which_everybody_comes_too_late() -> None:
    """The shop is open on Saturday until noon; who comes at two has Saturday in the weekdays all the same."""
    saturday = [put("Hours", "Sat", "Open", "8:00"), put("Hours", "Sat", "Close", "12:00")]
    afternoon = [put("Crew", "Ben", "From", "14:00"), put("Crew", "Ben", "To", "17:00")]
    afternoon += [put("Crew", "Ben", "Overtime until", None), put("Crew", "Ben", "Breaks", None)]
    shop, (doubt,) = scan(changed(*saturday, *afternoon, put("Crew", "Ben", "Weekdays", "Mon-Sat")))
    assert shop is not None and doubt.severity is Severity.DOUBT
    assert doubt.code == "weekday-without-anybody"
    assert doubt.found == "nobody is there while the shop is open on Sat (08:00-12:00): Ben comes at 14:00"
    assert "Take Sat out of the weekdays" in doubt.mend and "let the shop open" not in doubt.mend
    # Who comes before it closes is only late.
    early = [put("Crew", "Ben", "From", "11:30"), put("Crew", "Ben", "Weekdays", "Mon-Sat")]
    late, cut = scan(changed(*saturday, *afternoon, *early))[1]
    assert cut.code == "shift-outside-hours" and "on Sat 12:00-17:00 (open 08:00-12:00)" in cut.found
    assert late.code == "opens-before-anybody" and "let the shop open at 11:30" in late.mend


WHOLES: list[tuple[str, list[Change], str, str, str]] = [
    ("no sheet", [drop_sheet("Presses")], "sheet-missing", "", "Add it"),
    ("sheet misspelt", [drop_sheet("Presses", "Pressess")], "sheet-missing", "", '"Pressess"'),
    ("sheet twice", [lambda rows: rows.update({"Press": rows["Presses"]})], "sheet-twice", "Press", "rename"),
    ("no headings", [lambda rows: rows["Crew"].pop(2)], "headings-missing", "Crew", "Add them"),
    ("column missing", [head("Presses", "Watts", None)], "column-missing", "Presses!A3", "Add the column"),
    ("column misspelt", [head("Presses", "Watts", "Watss")], "column-missing", "Presses!A3", '"Watss"'),
    ("column twice", [head("Presses", "Opening", "Press")], "column-twice", "Presses!B3", "Take one"),
    (
        "position",
        [head("Placements", "Position youth", "Position yuth")],
        "unknown-size-group",
        "Placements!I3",
        "youth",
    ),
    ("no press", [drop("Presses")], "no-press", "Presses!A4", "Fill in"),
    ("no crew", [drop("Crew")], "no-crew", "Crew!A4", "Fill in"),
    ("no platen", [drop("Platens")], "no-platen", "Platens!A4", "Fill in"),
    (
        "element gone",
        [drop("Element times", "peel a transfer")],
        "element-missing",
        "Element times!A3",
        "Add a row",
    ),
    (
        "element unknown",
        [add("Element times", "lode", 1, 1, 1, 1)],
        "unknown-element",
        "Element times!A14",
        '"load"',
    ),
    (
        "allowance unknown",
        [add("Allowances", "Marginn", 1)],
        "unknown-allowance",
        "Allowances!A16",
        '"Margin"',
    ),
    (
        "colour twice",
        [add("Colours", "navy", "marine"), add("Colours", "blue", "sky, Marine")],
        "colour-twice",
        "Colours!B5",
        '"navy"',
    ),
    ("closed day", [add("Closed days", "31/02/2026")], "not-a-date", "Closed days!A4", "no such day"),
    (
        "closed day ambiguous",
        [add("Closed days", "02/03/2026")],
        "date-ambiguous",
        "Closed days!A4",
        "2026-03-02 or",
    ),
    (
        "closed day number",
        [add("Closed days", 46023)],
        "date-is-a-bare-number",
        "Closed days!A4",
        "2026-01-01",
    ),
    ("closed day blank", [add("Closed days", None, "Christmas")], "value-missing", "Closed days!A4", "date"),
    ("press twice", [add("Presses", "press 1")], "name-twice", "Presses!A8", "A4"),
    (
        "comma in a name",
        [put("Platens", "cap", "Platen", "cap, old")],
        "name-with-mark",
        "Platens!A9",
        "mark",
    ),
    ("courier idle", [add("Couriers", "idle")], "courier-never-comes", "Couriers!A6", "hour"),
    (
        "mounted twice",
        [put("Platens", "large", "Owned", 1), put("Presses", "Press 2", "Mounted at day start", "large")],
        "mounted-too-often",
        "Presses!N5",
        "owned",
    ),
    (
        "circle",
        [
            put("Placements", "nape", "Comes after", "full back"),
            put("Placements", "full back", "Comes after", "neck label"),
            put("Placements", "neck label", "Comes after", "nape"),
        ],
        "placements-in-a-circle",
        "Placements!F8",
        "Clear",
    ),
    (
        "between the presses",
        [
            put("Presses", "Press 1", "Highest °C", 180),
            put("Presses", "Press 2", "Highest °C", 180),
            put("Presses", "Cap press", "Highest °C", 180),
            put("Presses", "Label press", "Lowest °C", 199),
        ],
        "recipe-no-press",
        "Recipes!C27",
        "range",
    ),
]


@pytest.mark.parametrize(
    ("changes", "code", "cell", "mend"), [row[1:] for row in WHOLES], ids=[row[0] for row in WHOLES]
)
def test_what_does_not_fit_together_is_named(changes: list[Change], code: str, cell: str, mend: str) -> None:
    shop, found = scan(changed(*changes))
    assert shop is None
    faults = [one for one in found if one.severity is Severity.FAULT and one.code == code]
    assert len(faults) >= 1, codes(found)
    assert "!".join(filter(None, (faults[0].source.sheet, faults[0].source.cell))) == cell
    assert mend in faults[0].mend


def test_the_circle_is_spelt_out() -> None:
    book = changed(
        put("Placements", "nape", "Comes after", "full back"),
        put("Placements", "full back", "Comes after", "nape"),
    )
    found = scan(book)[1]
    assert [one.found for one in found] == ["full back after nape after full back"]


def test_a_wrong_row_does_not_make_its_name_unknown() -> None:
    found = scan(changed(put("Platens", "large", "Width mm", "x")))[1]
    assert codes(found) == ["number-not-a-number"]


def keep_rows(sheet: str, count: int) -> Change:
    """Leave so many rows under the headings of a sheet."""
    return lambda rows: rows.update({sheet: rows[sheet][: HEADING_ROW + 1 + count]})


@pytest.mark.parametrize("sheet", [table.sheet for table in SHOP_TABLES if table.needed])
def test_a_missing_sheet_is_one_fault(sheet: str) -> None:
    assert codes(scan(changed(drop_sheet(sheet)))[1]) == ["sheet-missing"]


EMPTY = {
    "Presses": "no-press",
    "Platens": "no-platen",
    "Placements": "no-placement",
    "Recipes": "no-recipe",
    "Crew": "no-crew",
    "Hours": "no-hours",
    "Sizes": "no-size",
}


@pytest.mark.parametrize("sheet", EMPTY)
def test_an_empty_sheet_is_one_fault(sheet: str) -> None:
    found = scan(changed(keep_rows(sheet, 0)))[1]
    assert codes(found) == [EMPTY[sheet]]
    assert found[0].source.sheet == sheet


@pytest.mark.parametrize(
    ("sheet", "row", "heading"),
    [
        ("Presses", "Cap press", "Watts"),
        ("Platens", "large", "Owned"),
        ("Placements", "cap front", "Width mm"),
        ("Recipes", "patch", "°C"),
    ],
)
def test_a_wrong_row_makes_no_doubt_elsewhere(sheet: str, row: str, heading: str) -> None:
    assert codes(scan(changed(put(sheet, row, heading, "x")))[1]) in (
        ["number-not-a-number"],
        ["temperature-not-a-number"],
    )


def test_a_file_without_any_sheet_of_a_shop_is_one_fault(tmp_path: Path) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("Article,Price\nshirt,4\n", encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        read_shop(path)
    (fault,) = caught.value.faults
    assert (fault.code, fault.source.file) == ("not-a-shop-workbook", "prices.csv")
    assert '"Presses"' in fault.expected
    orders = sheets_book(tmp_path / "orders.xlsx", {"Orders": [["Order", "Customer"], ["1", "A"]]})
    with pytest.raises(BadInput, match="a workbook with orders; expected a shop workbook"):
        read_shop(orders)


def test_unknown_columns_and_sheets_are_said_and_passed_over() -> None:
    book = changed(
        add("Presses", None), head("Crew", "Pace", "Pce"), lambda rows: rows.update({"Prices": [["a"]]})
    )
    shop, found = scan(book)
    assert shop is not None
    assert codes(found) == ["sheet-not-read", "unknown-column"]
    assert 'Did you mean "pace"?' in found[1].mend


def test_a_missing_allowance_keeps_the_default_and_is_said() -> None:
    shop, found = scan(changed(drop("Allowances", "Margin")))
    assert shop is not None and shop.allowances.margin_mm == 10
    assert codes(found) == ["allowance-missing"]


def test_closed_days_are_read_in_order() -> None:
    book = changed(
        add("Closed days", "2026-12-25"), add("Closed days", date(2026, 5, 1)), add("Closed days", "2.12.26")
    )
    assert codes(scan(book)[1]) == ["date-ambiguous"]
    shop, _ = scan(changed(add("Closed days", "2026-12-25"), add("Closed days", date(2026, 5, 1))))
    assert shop is not None and shop.closed_days == (date(2026, 5, 1), date(2026, 12, 25))


def test_the_mark_of_default_figures_is_kept_by_sheet() -> None:
    ours = [put("Circuits", name, "Figures are", "our own") for name in ("Wall A", "Wall B")]
    shop, _ = scan(changed(*ours))
    assert shop is not None and "Circuits" not in shop.defaults and "Presses" in shop.defaults
    shop, _ = scan(changed(ours[0]))
    assert shop is not None and "Circuits" in shop.defaults


def test_all_faults_are_raised_at_once_with_their_cells(tmp_path: Path) -> None:
    rows = default_rows()
    for change in (
        put("Presses", "Press 1", "Watts", "many"),
        put("Crew", "Ben", "To", "late"),
        put("Recipes", "patch", "°C", 320),
    ):
        change(rows)
    path = sheets_book(tmp_path / "my shop.xlsx", rows)
    with pytest.raises(
        BadInput, match=r'my shop\.xlsx, Presses!K4: watts "many"; expected a whole number'
    ) as caught:
        read_shop(path)
    assert codes(caught.value.faults) == ["number-not-a-number", "temperature-out-of-range", "not-a-time"]


def test_fahrenheit_and_inches_are_converted_by_their_heading_and_said() -> None:
    def in_other_units(rows: Rows) -> None:
        for sheet, heading, to, figure in (
            ("Recipes", "°C", "Temperature °F", lambda c: c * 9 / 5 + 32),
            ("Placements", "Width mm", "Width (in)", lambda mm: mm / 25.4),
            ("Placements", "Height mm", "Height cm", lambda mm: f"{mm / 10:.1f}".replace(".", ",")),
        ):
            column = rows[sheet][HEADING_ROW].index(heading)
            rows[sheet][HEADING_ROW][column] = to
            for row in rows[sheet][HEADING_ROW + 1 :]:
                if len(row) > column and row[column] is not None:
                    row[column] = figure(row[column])

    shop, found = scan(changed(in_other_units))
    plain, _ = scan(changed())
    assert shop is not None and plain is not None
    assert bare(shop.recipes) == bare(plain.recipes) and bare(shop.placements) == bare(plain.placements)
    said = [(one.source.sheet, one.found) for one in found if one.code == "figures-converted"]
    assert said == [
        ("Placements", 'heading "Width (in)"'),
        ("Placements", 'heading "Height cm"'),
        ("Recipes", 'heading "Temperature °F"'),
    ]
    # a rate has no zero point to be moved: it is asked about
    shop, found = scan(changed(head("Presses", "Heating °C/min", "Heating °F/min")))
    assert shop is None and "column-missing" in [one.code for one in found]


def test_a_mistyped_heading_is_read_with_a_doubt() -> None:
    shop, found = scan(changed(head("Presses", "Watts", "Wats"), head("Crew", "Skills", "Skils")))
    plain, _ = scan(changed())
    assert shop is not None and plain is not None
    assert bare(shop.presses) == bare(plain.presses) and bare(shop.crew) == bare(plain.crew)
    assert [(one.found, one.mend) for one in found if one.code == "column-nearly-known"] == [
        ('heading "Wats"', 'Read as "Watts"; if it is something else, rename it.'),
        ('heading "Skils"', 'Read as "Skills"; if it is something else, rename it.'),
    ]
    # The right heading is there as well: the other column is the owner's own.
    shop, found = scan(changed(lambda rows: rows["Presses"][HEADING_ROW].append("Wats")))
    assert shop is not None
    assert [one.code for one in found if "Wats" in one.found] == ["unknown-column"]


def test_a_heading_in_another_unit_is_no_typing_error() -> None:
    shop, found = scan(changed(head("Presses", "Heating °C/min", "Heating °F/min")))
    assert shop is None
    (fault,) = [one for one in found if one.code == "column-unclear"]
    assert fault.severity is Severity.FAULT
    assert (fault.found, fault.mend) == (
        'heading "Heating °F/min", which may mean "Heating °C/min"',
        'Write "Heating °C/min" if that is meant; if it is a column of your own, give it another name.',
    )


def test_comments_on_cells_of_the_shop_are_said_once_for_each_sheet() -> None:
    book = changed()
    grids = tuple(
        replace(grid, comments=((4, 1, "ask Ann"), (5, 0, "old"))) if grid.sheet == "Presses" else grid
        for grid in book.grids
    )
    shop, found = scan(replace(book, grids=grids))
    assert shop is not None
    (doubt,) = [one for one in found if one.code == "cell-comments"]
    assert doubt.severity is Severity.DOUBT and (doubt.source.sheet, doubt.source.cell) == ("Presses", "B5")
    assert doubt.found == 'comments on cells: B5 "ask Ann", A6 "old"'
    assert doubt.mend == "They are not read; write what matters into the cells."
