"""What the two workbooks look like: every sheet and column, for writing, reading and the documents."""

from __future__ import annotations

from dataclasses import dataclass

DEFAULT = "default"
OURS = "our own"
FIGURES = "Figures are"


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a sheet.

    Attributes
    ----------
    key
        Its name inside the program; the alias tables lead headings to it.
    label
        The heading that is written.
    explain
        One line for the row above the heading.
    needed
        The sheet can't be read without this column.
    choices
        Name of the list behind the drop-down, if any.
    strict
        The drop-down refuses what is not in its list; otherwise it only warns (lists in one cell).
    kind
        How the cells are formatted and checked while typing: text, whole, number, share, time, date, moment.
    """

    key: str
    label: str
    explain: str
    needed: bool = False
    choices: str = ""
    strict: bool = True
    kind: str = "text"
    width: int = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A sheet that holds one table; its first `frozen` columns stay in view."""

    key: str
    sheet: str
    explain: str
    columns: tuple[Column, ...]
    needed: bool = True
    frozen: int = 1
