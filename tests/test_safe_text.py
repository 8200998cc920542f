"""Text for spreadsheet programs stays text, whoever writes it."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook

import scheduler
from scheduler.intake.writing import sheets as sheet_writer
from scheduler.safe_text import LONGEST, in_text_table, looks_like_a_formula, put, writable
from scheduler.sheets import cells

MODULES = sorted(Path(scheduler.__file__).parent.rglob("*.py"))


@pytest.mark.parametrize("before", ["", " ", "\t", "\r\n", "\u00a0", "\ufeff", "\u200b \u200b", " \ufeff\t"])
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20"])
def test_what_may_be_taken_for_a_formula_is_marked(before: str, start: str) -> None:
    text = f"{before}{start}1+2"
    assert looks_like_a_formula(text)
    assert in_text_table(text) == f"'{text}"
    cell = Workbook().active["A1"]
    for fill in (put, cells.put, sheet_writer.put):
        fill(cell, text)
        assert (cell.value, cell.data_type, cell.quotePrefix) == (text, "s", True)


@pytest.mark.parametrize("text", ["", "1=2", "a-b", "'=1", "\u2212 5", "~@", "\ufeff"])
def test_other_texts_are_as_they_were(text: str) -> None:
    assert not looks_like_a_formula(text)
    assert in_text_table(text) == text
    cell = Workbook().active["A1"]
    put(cell, text)
    assert (cell.value, cell.data_type, cell.quotePrefix) == (text, "s", False)


def test_numbers_are_no_texts() -> None:
    cell = Workbook().active["A1"]
    put(cell, -5)
    assert (cell.value, cell.data_type) == (-5, "n")


def test_letters_that_no_workbook_can_hold_get_a_stand_in_everywhere() -> None:
    bad = "a\x00b\x1f\ud800\uffff\tc\nd"
    assert writable(bad) == "a\ufffdb\ufffd\ufffd\ufffd\tc\nd"
    assert writable("x" * (LONGEST + 1)) == "x" * LONGEST
    cell = Workbook().active["A1"]
    for fill in (put, cells.put, sheet_writer.put):
        fill(cell, bad)
        assert cell.value == writable(bad)


def test_there_is_one_home() -> None:
    """A second list of starts would lack what the first one learnt."""
    by_hand = {path.name for path in MODULES if "quotePrefix" in path.read_text(encoding="utf-8")}
    assert by_hand == {"safe_text.py"}
