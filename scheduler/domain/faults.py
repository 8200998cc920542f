"""Faults and doubts about what the owner handed in, as data, with their cell."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """While there is a fault nothing is planned; a doubt is planned with an assumption, and said."""

    FAULT = "fault"
    DOUBT = "doubt"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where a value was read: file name, sheet and cell ("F14"). Sheet and cell may be empty."""

    file: str
    sheet: str = ""
    cell: str = ""

    def __str__(self) -> str:
        place = "!".join(part for part in (self.sheet, self.cell) if part)
        return f"{self.file}, {place}" if place else self.file


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing wrong with the input.

    Attributes
    ----------
    code
        Stable short name of the kind of fault, such as "quantity-not-a-number".
    source
        File, sheet and cell.
    found
        What stands there, shortened to something printable.
    expected
        What should stand there.
    mend
        What the owner does about it, as one short instruction.
    """

    code: str
    source: Source
    found: str
    expected: str
    mend: str
    severity: Severity = Severity.FAULT

    def __str__(self) -> str:
        return f"{self.source}: {self.found}; expected {self.expected}. {self.mend}"
