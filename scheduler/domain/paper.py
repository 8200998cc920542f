"""Sheets in people's hands: what was printed for whom, and in which version."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

Side = Literal["operator", "press"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperLine:
    """A run, or a press to switch on, as it stands on a printed sheet.

    Attributes
    ----------
    what
        The run's id; or "on ", the press, the day, and which time that day it is switched on; of all else
        "at ", its moment and its text.
    start
        First pressing, or when to switch on.
    gist
        Short code of all that the sheet says there, times left out, save the cut-off.
    """

    what: str
    start: datetime
    gist: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperSheet:
    """One person's or one press's sheet of one date.

    Attributes
    ----------
    version, at
        Of the plan that it was printed with; `at` None: the first plan of a day.
    code
        Printed on it: equal codes, equal sheets.
    """

    side: Side
    name: str
    day: date
    version: int
    at: datetime | None
    code: str
    lines: tuple[PaperLine, ...]
