"""`pressday check`: every fault and doubt in shop and orders, by cell; plans nothing."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.ends import BAD_INPUT, counted, faults_json, put_json, say, say_faults, told
from scheduler.cli.marked import MarkedFolder, write_marked
from scheduler.cli.options import AcceptPartial, AsJson, OrdersFiles, ShopFile, day_option, text_option

if TYPE_CHECKING:
    from scheduler.cli.reading import Look
    from scheduler.intake import Kind


class DateOrder(StrEnum):
    """How dates such as 02/03/2026 are read."""

    DAY_FIRST = "day-first"
    MONTH_FIRST = "month-first"


class DayNames(StrEnum):
    """What the name of a day means."""

    NEXT = "next"


def check(
    orders: OrdersFiles,
    shop: ShopFile = None,
    day: Annotated[
        date | None,
        day_option(
            "--day",
            "Day to be planned. Not given: the day of the earliest cut-off date from today on that is "
            "written in the orders; when none is written, the shop's next working day.",
        ),
    ] = None,
    today: Annotated[
        date | None,
        day_option(
            "--today",
            "The day it is: day names and dates without a year are read against it, and a cut-off "
            "before it is past. Not given: the day to be planned, or the computer's date.",
        ),
    ] = None,
    column: Annotated[
        list[str] | None,
        text_option(
            "--column",
            'What a heading means, such as "Client no.=Customer" or "Shelf=not needed". Kept for files '
            "with the same headings, in columns.toml beside the shop workbook.",
            "HEADING=COLUMN",
        ),
    ] = None,
    dates: Annotated[
        DateOrder | None,
        typer.Option("--dates", help="How these files write dates. Kept like --column.", show_default=False),
    ] = None,
    weekdays: Annotated[
        DayNames | None,
        typer.Option(
            "--weekdays",
            help="What a day name alone means: the next such day. Kept like --column.",
            show_default=False,
        ),
    ] = None,
    encoding: Annotated[
        str | None,
        text_option(
            "--encoding",
            "Encoding of the letters of text tables, such as cp1252. Kept like --column.",
            "NAME",
        ),
    ] = None,
    accept_partial: AcceptPartial = False,
    marked: MarkedFolder = None,
    json: AsJson = False,
) -> None:
    """List every fault and doubt by cell.

    Reads the shop and the orders, plans nothing. Without a shop workbook the usual words of the trade serve,
    and nothing that depends on presses is checked.
    """
    with told(as_json=json, nothing="Mend these and check again."):
        from scheduler.cli.reading import has_fault, look

        said = _said(column or [], dates, weekdays, encoding)
        looked = look(orders, shop, day, today=today, shop_needed=False, said=said)
        write_marked(marked, orders, shop, looked.found)
        bad = has_fault(looked.found) and not (accept_partial and looked.read.orders)
        mend = "Mend these and check again."
        if accept_partial:
            mend = f"No order is without a fault, so nothing is left to be planned. {mend}"
        say_faults(looked.found, mend if bad else "", to_error=json)
        if json:
            put_json(_document(looked))
        else:
            _say(looked, asked_day=day, bad=bad)
        if bad:
            raise typer.Exit(BAD_INPUT)


def _said(
    columns: list[str], dates: DateOrder | None, weekdays: DayNames | None, encoding: str | None
) -> Kind | None:
    """What the owner has said about the files; None when nothing.

    Raises
    ------
    typer.BadParameter
        When a column is none of Pressday's, or there is no such encoding.
    """
    from scheduler.intake import Kind, ShopWords
    from scheduler.intake.orders.headings.kept import is_encoding, unfit_meaning

    meanings = {}
    for one in columns:
        heading, equals, means = (part.strip() for part in one.rpartition("="))
        if not equals or not heading or not means:
            raise typer.BadParameter(f'"{one}": write it as HEADING=COLUMN.', param_hint="--column")
        wrong = unfit_meaning(heading, means, ShopWords.of_the_trade().sizes)
        if wrong is not None:
            raise typer.BadParameter(f"{wrong[0]}; expected {wrong[1]}. {wrong[2]}", param_hint="--column")
        meanings[heading] = means
    if encoding is not None and not is_encoding(encoding):
        raise typer.BadParameter(f'"{encoding}" is no encoding of letters.', param_hint="--encoding")
    if not (meanings or dates or weekdays or encoding):
        return None
    return Kind(
        columns=meanings,
        dates=dates.value if dates else "",
        weekdays=weekdays.value if weekdays else "",
        encoding=encoding or "",
    )


def _document(looked: Look) -> dict[str, object]:
    from scheduler.cli.orders_json import columns_json, left_out_json, not_planned_json, orders_json
    from scheduler.cli.pair_words import pairs_json

    return {
        **faults_json(looked.found),
        "day": looked.day.isoformat(),
        "orders": orders_json(looked.read.orders),
        "not_planned": not_planned_json(looked.not_planned),
        "left_out": left_out_json(looked.read.left_out),
        "columns": columns_json(looked.read.columns),
        "side_by_side": pairs_json(looked.shop),
    }


def _say(looked: Look, *, asked_day: date | None, bad: bool) -> None:
    from scheduler.cli.pair_words import pairs_lines
    from scheduler.cli.read_words import columns_lines, not_planned_lines, sheets_line
    from scheduler.cli.reading import has_fault

    for line in columns_lines(looked.read.columns):
        say(line)
    if bad:
        return
    for line in not_planned_lines(looked.not_planned):
        say(line)
    orders = looked.read.orders
    by_sheet = sheets_line(orders)
    if by_sheet:
        say(by_sheet)
    for line in pairs_lines(looked.shop) if looked.shop is not None else ():
        say(line)
    garments = sum(order.quantity for order in orders)
    whole = "Faults left aside" if has_fault(looked.found) else "No faults"
    say(f"{whole} for {looked.day}: {counted(len(orders), 'order')}, {counted(garments, 'garment')}.")
    if asked_day is None:
        say(f"{looked.day} was taken from the orders and the shop; check for another day with --day.")
