"""Colours and strokes as the only mark of a row: never read, always said."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font, PatternFill

from scheduler.domain.faults import Fault
from scheduler.intake import default_shop, scan_orders
from tests.intake.orders.test_owner_sheets import HEAD, MONDAY, other

GREEN, WHITE = PatternFill("solid", fgColor="FF92D050"), PatternFill("solid", fgColor="FFFFFFFF")
BLUE = PatternFill("solid", fgColor="FFDDEBF7")
STRUCK = Font(strike=True)


def marked(
    tmp_path: Path, count: int, looks: dict[int, Any], *, status: dict[int, str] | None = None
) -> list[Fault]:
    """What is said of so many orders of which some rows (from 2) have a fill or a font."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append([*HEAD, "Status"])
    for row in range(2, count + 2):
        sheet.append([*other(str(row)), (status or {}).get(row)])
        for cell in sheet[row] if row in looks else ():
            setattr(cell, "font" if isinstance(looks[row], Font) else "fill", looks[row])
    for cell in sheet[1]:
        cell.fill = BLUE
    file = tmp_path / "orders.xlsx"
    book.save(file)
    orders, found = scan_orders([file], default_shop(), MONDAY)
    assert len(orders) == count - len(status or {})
    return [one for one in found if one.code == "rows-marked"]


@pytest.mark.parametrize(
    ("looks", "said"),
    [
        ({3: GREEN, 5: GREEN, 6: GREEN}, "rows 3, 5-6 in green"),
        ({4: PatternFill("solid", fgColor="FFFF0000")}, "row 4 in red"),
        ({4: PatternFill("solid", fgColor="FFFFFF00")}, "row 4 in yellow"),
        ({4: PatternFill("solid", fgColor="FFBFBFBF")}, "row 4 in grey"),
        ({2: STRUCK}, "row 2 struck through"),
    ],
)
def test_a_mark_is_said_and_its_rows_are_pressed(tmp_path: Path, looks: dict[int, Any], said: str) -> None:
    (one,) = marked(tmp_path, 6, looks)
    assert one.found == said and one.source.cell == f"A{min(looks)}"
    assert "Pressed like the others" in one.mend and "column Status" in one.mend


def test_each_colour_is_said_by_itself(tmp_path: Path) -> None:
    assert [one.found for one in marked(tmp_path, 5, {3: GREEN, 4: STRUCK})] == [
        "row 3 in green", "row 4 struck through",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "looks",
    [
        {},
        dict.fromkeys(range(2, 8), GREEN),
        dict.fromkeys(range(2, 8, 2), BLUE),
        dict.fromkeys(range(2, 8, 2), BLUE) | dict.fromkeys(range(3, 8, 2), GREEN),
        {3: WHITE, 4: WHITE},
    ],
    ids=["plain", "all alike", "bands", "bands of two colours", "white"],
)
def test_a_look_that_marks_nothing_is_no_mark(tmp_path: Path, looks: dict[int, Any]) -> None:
    assert marked(tmp_path, 6, looks) == []


def test_a_mark_beside_its_word_needs_no_words(tmp_path: Path) -> None:
    assert marked(tmp_path, 5, {3: GREEN}, status={3: "done"}) == []
    (one,) = marked(tmp_path, 5, {3: GREEN, 5: GREEN}, status={3: "done"})
    assert one.found == "row 5 in green"
