"""Changes that a shop thinks of: a name, a price, and the cells of its workbook that would differ."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from fractions import Fraction

from scheduler.domain.faults import Fault, Source

CellValue = str | int | float | bool | datetime | date | time | timedelta | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopEdit:
    """One cell of the shop workbook that would differ, as its owner names it.

    Attributes
    ----------
    row
        What stands in the row's first cells, such as a press's name.
    column
        The column's heading; or a word that makes the row one like another or takes it out.
    value
        What would stand there; None: nothing.
    source
        The cell of the value in the list of changes.
    sheet_source, row_source, column_source
        Those of the words that say which cell it is.
    """

    sheet: str
    row: CellValue
    column: str
    value: CellValue
    source: Source
    sheet_source: Source
    row_source: Source
    column_source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopChange:
    """A change that may be bought or made.

    Attributes
    ----------
    price
        What it costs once, in the shop's money; None: not said.
    cost_a_day
        What it costs on each working day on top; None: nothing that isn't counted anyway.
    edits
        Empty when what one of its rows says can't be read.
    faults
        What the list has wrong in its rows: such a change can be looked at, not made.
    """

    name: str
    price: Fraction | None = None
    cost_a_day: Fraction | None = None
    edits: tuple[ShopEdit, ...]
    source: Source
    faults: tuple[Fault, ...] = ()
