"""A blank form for a stopwatch study, to print and fill in by hand."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from scheduler.sheets.typeset import Paper, typeset

READINGS = 10
BLANK_ROWS = 4
"""Rows for what the list of elements doesn't have."""

RULES = (
    "One row for each element; a second row for more readings, or for another press set-up.",
    "Elements end where the next one begins. Dwell, pre-press and second press: from closed to open.",
    "Rating: 100 % is the speed that can be kept up all day with care. Judge it while you watch.",
    "Write down every reading, odd ones too, and say in the remark what was odd. Nothing is thrown out "
    "unasked.",
    "Tell people why you time: for honest plans, not to compare them. Keep clear of the hot press.",
)


def study_form(
    shop: str, elements: Sequence[str], day: date, *, paper: Paper = "a4", system_fonts: bool = True
) -> bytes:
    """The form as a PDF of one page.

    Parameters
    ----------
    shop
        The shop's name, for the head of the page; may be empty.
    elements
        Names for the rows, the same that are read from a table.
    day
        The day that the file says it was made on.
    paper
        "a4" or "letter".
    """
    data = {
        "shop": shop,
        "version": "Blank form",
        "readings": [str(number) for number in range(1, READINGS + 1)],
        "elements": [*elements, *[""] * BLANK_ROWS],
        "rules": list(RULES),
    }
    return typeset("study_form.typ", data, paper, day, system_fonts=system_fonts)
