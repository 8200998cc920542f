"""Text for spreadsheet programs stays text: nothing that somebody typed can become a formula.

For all layers, like the errors: whoever writes a workbook or a text table writes texts by this module alone.
A formula that came in with an order could send the shop's figures elsewhere, or start a program.
"""

from __future__ import annotations

import re
from typing import Any

FORMULA_STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
"""What makes a spreadsheet program take a text for a formula."""

LONGEST = 32_767
"""A cell holds no longer text."""

_UNSAFE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_UNSEEN = "\ufeff\u200b\u200c\u200d\u2060"
"""Letters without width, which a program may drop before it looks at the first one."""


def writable(text: str) -> str:
    """A text with a stand-in for the letters that no workbook can hold, cut to what a cell can."""
    return _UNSAFE.sub("\N{REPLACEMENT CHARACTER}", text)[:LONGEST]


def looks_like_a_formula(text: str) -> bool:
    """Whether a spreadsheet program may take a text for a formula, unseen letters before it or not."""
    before = None
    while before != text:
        before, text = text, text.lstrip().lstrip(_UNSEEN)
    return text.startswith(FORMULA_STARTS)


def put(cell: Any, value: Any) -> None:
    """Fill a workbook's cell; text stays text, even if it looks like a formula.

    Parameters
    ----------
    value
        A text, a number, a date, a time, or None.
    """
    if isinstance(value, str):
        cell.value = writable(value)
        # Set after the value: assigning a text that starts with "=" makes the cell a formula.
        cell.data_type = "s"
        if looks_like_a_formula(value):
            # So that it stays one when somebody edits the cell and leaves it as it is.
            cell.quotePrefix = True
    else:
        cell.value = value


def in_text_table(text: str) -> str:
    """A text as it is written into a text table, with an apostrophe in front where it could be a formula."""
    return f"'{text}" if looks_like_a_formula(text) else text
