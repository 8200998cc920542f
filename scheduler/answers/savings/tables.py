"""Measures on a cycle as tables, for the page of `pressday savings`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.domain.figures import figure
from scheduler.sheets.answer_page import Table

if TYPE_CHECKING:
    from scheduler.answers.savings.answer import Asked
    from scheduler.savings.measures import Together


def elements_table(taken: Together) -> Table:
    """The cycle by element, today and then."""
    rows = [(name, taken.before[name], taken.after[name]) for name in taken.before]
    if len(rows) > 1:
        rows.append(("whole cycle", taken.before_s, taken.after_s))
    return Table(
        label="The cycle by element",
        head=("Element", "Today, s", "Then, s", "Saved, s"),
        rows=tuple((name, figure(now), figure(then), figure(now - then)) for name, now, then in rows),
    )


def measures_table(taken: Together, asked: Asked) -> Table:
    """The measures in the order given, with what each adds to those before it."""
    rows = []
    for share in taken.shares:
        price = share.measure.price
        paid = asked.payback(share.added_s, price)
        rows.append(
            (
                share.measure.name,
                figure(share.alone_s),
                figure(share.added_s),
                "–" if price is None else figure(price),
                "–" if paid is None else figure(paid.working_days),
            )
        )
    return Table(
        label="Measures, in the order given",
        head=("Measure", "Alone, s", "On top of those above, s", "Price", "That price paid after, days"),
        rows=tuple(rows),
    )
