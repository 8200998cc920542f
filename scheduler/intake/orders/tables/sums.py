"""Sums of the columns of pieces, by which rows of totals are told and checked."""

from __future__ import annotations

from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.rows import Headings, Row
from scheduler.intake.files.grid import Unread, Value
from scheduler.intake.orders.layout import SIZE, STRANGE_SIZE


def is_quantity(key: str) -> bool:
    """Whether a column holds pieces."""
    return key.startswith((SIZE, STRANGE_SIZE)) or key in ("quantity", "total")


class Sums:
    """Sums of the columns of quantities: over the whole table, and since the last row of totals."""

    def __init__(self, headings: Headings) -> None:
        self.keys = tuple(key for key in headings.columns if is_quantity(key))
        self.whole = dict.fromkeys(self.keys, 0.0)
        self.part = dict.fromkeys(self.keys, 0.0)

    def add(self, row: Row) -> None:
        for key in self.keys:
            number = _number(row.value(key))
            if number:
                self.whole[key] += number
                self.part[key] += number

    def start_anew(self) -> None:
        self.part = dict.fromkeys(self.keys, 0.0)

    def fit(self, row: Row) -> bool:
        """Whether a row holds the sums so far and nothing else."""
        return self._wrong(row) is None

    def _wrong(self, row: Row) -> str | None:
        for sums in (self.part, self.whole):
            wrong = [key for key in self.keys if not self._same(row.value(key), sums[key])]
            if not wrong:
                return None
        return wrong[0]

    @staticmethod
    def _same(value: Value, expected: float) -> bool:
        return value is None or isinstance(value, Unread) or _number(value) == expected

    def check(self, row: Row) -> None:
        """Doubt a row of totals that differs from the rows above."""
        wrong = self._wrong(row)
        if wrong is not None and row.has(wrong) and _number(row.value(wrong)) is not None:
            sums = dict.fromkeys(f"{one[wrong]:g}" for one in (self.part, self.whole) if one[wrong])
            expected = f"{' or '.join(sums) or 'nothing'}, the sum of the rows above"
            mend = "The row of totals is not read; check that no row is missing or doubled."
            row.doubt("total-row-differs", wrong, f"total {shown(row.value(wrong))}", expected, mend)
        self.start_anew()


def _number(value: Value) -> float | None:
    if isinstance(value, bool) or value is None:
        return None
    if isinstance(value, int | float):
        return float(value)
    if isinstance(value, str):
        try:
            return float(value.replace(",", "."))
        except ValueError:
            return None
    return None
