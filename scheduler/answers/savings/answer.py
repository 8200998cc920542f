"""What is asked of a saving, and an answer in its forms: lines, document, page, pictures."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from scheduler.answers.columns import columns_of

if TYPE_CHECKING:
    from scheduler.savings.worth import Payback, WorkYear
    from scheduler.sheets.answer_page import Table
    from scheduler.sheets.drawn import Bar, PaybackLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked of any saving; None: not given."""

    garments: Fraction | None
    year: WorkYear
    price: Fraction | None
    wage: Fraction | None

    def payback(self, seconds: Fraction, price: Fraction | None) -> Payback | None:
        """When a price is earned by seconds on each garment; None: never, or too little was given."""
        from scheduler.savings.worth import payback

        if price is None or self.wage is None or self.garments is None:
            return None
        return payback(price, self.wage, seconds, self.garments)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """An answer in its forms, and what of it can be drawn.

    Attributes
    ----------
    title
        What was asked, for the head of a page.
    words
        The answer but for its table and its caution.
    table
        Printed before the words; None: there is none.
    caution
        What nobody may overlook; empty: nothing.
    tables
        What a page has as tables and the terminal in words.
    cycles
        Today's cycle and the one with all measures; empty: none was given.
    paybacks
        Only what pays back.
    payback_note
        Why a line is missing in a picture of them; empty: none is.
    """

    document: dict[str, Any]
    title: str
    words: list[str]
    table: Table | None = None
    caution: str = ""
    tables: tuple[Table, ...] = ()
    cycles: tuple[Bar, ...] = ()
    paybacks: tuple[PaybackLine, ...] = ()
    payback_note: str = ""

    @property
    def lines(self) -> list[str]:
        """The answer as the terminal has it."""
        table = columns_of([self.table.head, *self.table.rows]) if self.table is not None else []
        return [*table, *self.words, *([self.caution] if self.caution else [])]
