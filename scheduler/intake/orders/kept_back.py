"""The orders and rows that can't be planned, each with the faults that keep it back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from scheduler.domain.faults import Fault
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.values import text
from scheduler.intake.files.grid import position
from scheduler.intake.orders.opened import KeptBack
from scheduler.intake.orders.rows import Facts
from scheduler.intake.words import name_key


def kept_back(
    unsound: Iterable[Sequence[Facts]],
    unsure: Mapping[str, Sequence[Row]],
    numberless: Iterable[Row],
    faults: Iterable[Fault],
) -> tuple[KeptBack, ...]:
    """What is not planned, with the faults at its rows.

    Parameters
    ----------
    unsound
        What the rows of each order say that can't be planned.
    unsure
        By an order's key: rows without a number that may be its own.
    numberless
        All rows without a number.
    """
    by_row: dict[tuple[str, str, int], list[Fault]] = {}
    for fault in faults:
        if fault.source.cell:
            place = (fault.source.file, fault.source.sheet, position(fault.source.cell)[0])
            by_row.setdefault(place, []).append(fault)

    def faults_of(rows: Iterable[Row]) -> tuple[Fault, ...]:
        return tuple(
            fault for row in rows for fault in by_row.get((row.grid.file, row.grid.sheet, row.index), ())
        )

    orders = [
        KeptBack(
            order=facts[0].order,
            customer=next((one.customer for one in facts if one.customer), ""),
            source=facts[0].row.source("order"),
            reasons=faults_of([*(one.row for one in facts), *unsure.get(name_key(facts[0].order), ())]),
        )
        for facts in unsound
    ]
    # a row that belongs to no order can't be planned either, and isn't to be forgotten
    rows = [
        KeptBack(
            order=f"row {row.index + 1}",
            customer=text(row.value("customer")) if isinstance(row.value("customer"), str) else "",
            source=row.source("order"),
            reasons=faults_of([row]),
        )
        for row in numberless
    ]
    return (*orders, *rows)
