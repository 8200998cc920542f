"""The page for owners names every sheet and column that is read."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from scheduler.intake.layout import Table
from scheduler.intake.orders.layout import orders_table
from scheduler.intake.shop.layout import ALLOWANCE_ROWS, ALLOWANCES, SHOP_TABLES

PAGE = (Path(__file__).parents[2] / "docs" / "workbooks.md").read_text(encoding="utf-8")


def section(heading: str) -> str:
    match = re.search(rf"^(#+) {re.escape(heading)}\n(.*?)(?=^#{{1,3}} |\Z)", PAGE, re.MULTILINE | re.DOTALL)
    assert match, f"no section {heading!r}"
    return match[2]


def first_cells(text: str) -> set[str]:
    """What the first cells of a section's tables name, with commas between names taken apart."""
    cells = [line.strip("| ").split(" | ")[0] for line in text.splitlines() if line.startswith("| ")]
    return {name.strip() for cell in cells for name in cell.split(",")}


@pytest.mark.parametrize("table", SHOP_TABLES, ids=lambda table: table.sheet)
def test_every_column_of_the_shop_workbook_is_explained(table: Table) -> None:
    text = section(table.sheet)
    if table is ALLOWANCES:
        assert first_cells(text) == {"what", *(row.label for row in ALLOWANCE_ROWS)}
        assert all(column.label in text for column in table.columns)
    else:
        named = {name for name in first_cells(text) if not name.startswith("Position and a size group")}
        assert named == {"column", *(column.label for column in table.columns)}


def test_every_column_of_the_orders_workbook_is_explained() -> None:
    expected = {"column", "one column for each size", *(column.label for column in orders_table(()).columns)}
    assert first_cells(section("The orders workbook")) == expected
