"""How the columns of orders files were understood, for the owner to see and to confirm."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.domain.faults import Source
from scheduler.intake.cells.rows import How
from scheduler.intake.orders.layout import SIZE, STRANGE_SIZE, orders_table


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnRead:
    """One column of an orders file.

    Attributes
    ----------
    source
        The cell of its heading.
    heading
        As it stands there.
    key
        What it was taken for; empty when it is not read.
    unit
        "mm", "cm" or "in" where the heading says so.
    """

    source: Source
    heading: str
    key: str
    how: How
    unit: str = ""

    @property
    def label(self) -> str:
        """What it was taken for, as Pressday's own headings say it; empty when it is not read."""
        return column_label(self.key)


_LABELS = {
    "size": "Size",
    "both_mm": "Width x height",
    "quantity": "Quantity",
    "status": "Status",
    "done": "Done",
    "cancelled": "Cancelled",
    "on_hold": "On hold",
    "name": "Name",
    "number": "Number",
    "not_needed": "Not needed",
}
_LABELS.update((column.key, column.label) for column in orders_table(()).columns)


def column_label(key: str) -> str:
    """A column key as Pressday's own heading: "width_mm 2" is "Width mm 2", a size its label."""
    if key.startswith((SIZE, STRANGE_SIZE)):
        return key.removeprefix(STRANGE_SIZE).removeprefix(SIZE)
    base, _, number = key.partition(" ")
    return f"{_LABELS.get(base, base)} {number}".strip()


def column_labels() -> tuple[str, ...]:
    """All headings that a column can be confirmed as, sizes apart."""
    return tuple(label for key, label in _LABELS.items() if key not in ("not_needed", "both_mm"))
