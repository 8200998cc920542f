"""Which element times of a shop workbook are still the program's: nobody has timed or vouched for them."""

from __future__ import annotations

from pathlib import Path

from scheduler.domain.shop import Element, Setup
from scheduler.intake.cells.findings import Findings
from scheduler.intake.cells.values import choice
from scheduler.intake.files.reader import open_book
from scheduler.intake.layout import FIGURES
from scheduler.intake.shop import layout
from scheduler.intake.shop import times as shop_times
from scheduler.intake.shop.book import ShopSheets
from scheduler.intake.shop.defaults import default_elements


def untimed_elements(path: Path | str) -> frozenset[tuple[Element, Setup]]:
    """Element times, by press set-up, of a sound shop workbook that nobody has made the shop's own.

    A row counts as the shop's own by its mark. In the other rows it is the times that differ from the
    program's: a row is marked only once all of its set-ups were timed.
    """
    sheets = ShopSheets(open_book(path), Findings())
    mark = choice("figures", what="mark")
    program = default_elements()
    return frozenset(
        (element, setup)
        for row, element, times in shop_times.read_elements(sheets.rows(layout.ELEMENT_TIMES))
        if row is not None and row.take("figures", mark, FIGURES) != "ours"
        for setup, seconds in times.items()
        if seconds == program[element, setup]
    )


__all__ = ["untimed_elements"]
