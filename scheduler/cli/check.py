"""`pressday check`: every fault and doubt in shop and orders, by cell; plans nothing."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.ends import BAD_INPUT, told
from scheduler.cli.options import AcceptPartial, AsJson, OrdersFiles, ShopFile, day_option, text_option
from scheduler.cli.terminal import OWNER, put_json, say_faults, say_lines

if TYPE_CHECKING:
    from scheduler.intake import Kind


MarkedFolder = Annotated[
    Path | None,
    typer.Option(
        "--marked",
        metavar="FOLDER",
        help="Write copies of the files into this folder, with every fault and doubt as a note on its cell. "
        "Your own files stay as they are, and nothing is overwritten.",
        show_default=False,
    ),
]


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
        from scheduler.answers.check import check_json, check_lines
        from scheduler.workflow.marked import write_marked
        from scheduler.workflow.reading import has_fault, look

        said = _said(column or [], dates, weekdays, encoding)
        looked = look(orders, shop, day, today=today, shop_needed=False, said=said)
        write_marked(marked, orders, shop, looked.found, owner=OWNER)
        bad = has_fault(looked.found) and not (accept_partial and looked.read.orders)
        mend = "Mend these and check again."
        if accept_partial:
            mend = f"No order is without a fault, so nothing is left to be planned. {mend}"
        say_faults(looked.found, mend if bad else "", to_error=json)
        if json:
            put_json(check_json(looked))
        else:
            say_lines(check_lines(looked, asked_day=day, bad=bad))
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
