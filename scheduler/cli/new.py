"""`pressday new`: a shop folder to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.ends import told
from scheduler.cli.terminal import say


def new(
    folder: Annotated[Path, typer.Argument(help="Folder to lay out; made when it is not there.")],
) -> None:
    """Lay out a shop folder to fill in.

    It holds a shop workbook with default figures and an orders workbook with sample rows.
    Nothing is ever overwritten: when one of the two is there, only the other is written.
    """
    with told(as_json=False, nothing="Nothing was written."):
        from scheduler.intake.shop_folder import ORDERS_FILE, SHOP_FILE, write_shop_folder

        written = write_shop_folder(folder)
        for file in (folder / SHOP_FILE, folder / ORDERS_FILE):
            say(f"New: {file}" if file in written else f"Kept as it is: {file}")
        say("Fill in the shop first: figures marked as defaults are the program's, not your shop's.")
        say(f'Then: pressday check "{folder / "orders.xlsx"}"')
