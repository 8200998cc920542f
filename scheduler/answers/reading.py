"""What was understood of orders files, in words: columns, and orders that are not planned."""

from __future__ import annotations

from collections import Counter
from textwrap import fill
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.domain.orders import Order
    from scheduler.intake import KeptBack
    from scheduler.intake.orders.headings.columns import ColumnRead

_LONGEST = 110
"""Longer lines are broken."""
_UNITS = {"cm": ", in cm", "in": ", in inches"}


def columns_lines(columns: Iterable[ColumnRead]) -> list[str]:
    """For each sheet, what its columns were taken for, where that isn't their very name."""
    by_sheet: dict[str, list[ColumnRead]] = {}
    for one in columns:
        by_sheet.setdefault(f"{one.source.file}, {one.source.sheet}".rstrip(", "), []).append(one)
    return [_line(sheet, found) for sheet, found in by_sheet.items()]


def sheets_line(orders: Iterable[Order]) -> str:
    """How many orders begin on each sheet; empty when they are all on one."""
    counts = Counter((order.source.file, order.source.sheet) for order in orders)
    if len(counts) < 2:
        return ""
    alone = len({file for file, _ in counts}) == 1
    named = (
        f"{sheet or file if alone else f'{file}, {sheet}'.rstrip(', ')} {count}"
        for (file, sheet), count in counts.items()
    )
    return f"Orders by sheet: {'; '.join(named)}."


def _line(sheet: str, columns: list[ColumnRead]) -> str:
    from scheduler.intake.cells.rows import How
    from scheduler.intake.words import heading_key

    named = [one for one in columns if one.key and heading_key(one.heading) == heading_key(one.label)]
    taken = [one for one in columns if one.key and one not in named]
    parts = ["as named"] if len(named) == len(columns) else []
    if named and not parts:
        parts.append(f"{len(named)} of {len(columns)} headings as Pressday names them")
    if taken:
        parts.append(", ".join(f'"{one.heading}" is {one.label}{_UNITS.get(one.unit, "")}' for one in taken))
    for how, words in ((How.NOT_NEEDED, "not needed"), (How.NOT_READ, "not read")):
        found = [f'"{one.heading}"' for one in columns if not one.key and one.how is how]
        if found:
            parts.append(f"{words}: {', '.join(found)}")
    line = f"Columns of {sheet}: {'; '.join(parts)}."
    return fill(line, _LONGEST, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)


def not_planned_lines(kept_back: Iterable[KeptBack]) -> list[str]:
    """The orders that have a fault, each with its first reason."""
    found = list(kept_back)
    if not found:
        return []
    return [f"Not planned: {len(found)}", *(f"  {_not_planned(one)}" for one in found)]


def _not_planned(one: KeptBack) -> str:
    if not one.reasons:
        return f"{one.order} {one.customer}: a fault in the headings of {one.source.file}".rstrip()
    first = one.reasons[0]
    more = f" (and {len(one.reasons) - 1} more)" if len(one.reasons) > 1 else ""
    return f"{one.order} {one.customer}: {first.source.cell}, {' '.join(first.found.split())}{more}"
