"""What the commands on times and savings draw."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from pathlib import Path

    from scheduler.cli.savings_words import Told
    from scheduler.domain.chances import DayChance
    from scheduler.timing.study import ElementStudy

NEARLY_SURE = 0.99
"""Orders with at least this chance are drawn as one bar."""


def draw_saving(path: Path, told: Told) -> None:
    """Draw the cycle by element today and then, and what is earned over time.

    Raises
    ------
    BadInput
        When it can't be drawn or written.
    typer.BadParameter
        When there is nothing to draw.
    """
    from scheduler.sheets.one_file import write_one
    from scheduler.sheets.pictures import Bar, PaybackLine, check_kind, kind_of, saving_picture

    if not told.cycles and not told.paybacks:
        raise typer.BadParameter(
            "a cycle with measures can be drawn, and a payback: --price, --wage and --garments.",
            param_hint="--picture",
        )
    check_kind(path)
    bars = [Bar(label=label, parts=parts) for label, parts in told.cycles]
    lines = [
        PaybackLine(label=label, price=price, saved_a_day=saved) for label, price, saved in told.paybacks
    ]
    write_one(path, saving_picture(bars, lines, kind_of(path)))


def draw_chances(path: Path, chances: DayChance) -> None:
    """Draw how sure the whole day and each of its orders is.

    Raises
    ------
    BadInput
        When it can't be drawn or written.
    """
    from scheduler.sheets.one_file import write_one
    from scheduler.sheets.pictures import ChanceBar, chance_picture, check_kind, kind_of

    check_kind(path)
    rows = [("all orders", chances.on_time)]
    rows += [
        (f"{order.id} {order.customer}", order.on_time)
        for order in chances.orders
        if order.on_time.best < NEARLY_SURE
    ]
    rest = len(chances.orders) + 1 - len(rows)
    if rest:
        least = min((order.on_time for order in chances.orders[-rest:]), key=lambda one: one.best)
        rows.append((f"each of the other {rest}, at least", least))
    bars = [ChanceBar(label=label, best=one.best, low=one.low, high=one.high) for label, one in rows]
    write_one(path, chance_picture(bars, chances.confidence, kind_of(path)))


def draw_spread(path: Path, studies: tuple[ElementStudy, ...]) -> None:
    """Draw the readings of a study.

    Raises
    ------
    BadInput
        When it can't be drawn or written.
    """
    from scheduler.sheets.one_file import write_one
    from scheduler.sheets.pictures import Dots, check_kind, kind_of, spread_picture

    check_kind(path)
    rows = [
        Dots(
            label=str(one.studied),
            usual=[float(reading.seconds) for reading in one.counted if reading not in one.outliers],
            far=[float(reading.seconds) for reading in one.outliers],
            left_out=[float(reading.seconds) for reading in one.left_out],
            mean=float(one.mean_s),
        )
        for one in studies
    ]
    write_one(path, spread_picture(rows, kind_of(path)))
