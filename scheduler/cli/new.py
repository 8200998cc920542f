"""`pressday new`: a shop folder to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.ends import say, told


def new(
    folder: Annotated[Path, typer.Argument(help="Folder to lay out; made when it is not there.")],
) -> None:
    """Lay out a shop folder: a shop workbook and an orders workbook to fill in.

    Nothing that is there already is overwritten.
    """
    with told(as_json=False, nothing="Nothing was written."):
        from scheduler.intake import write_new

        written, kept = write_new(folder)
        for file in written:
            say(f"New: {file}")
        for file in kept:
            say(f"Left as it is: {file}")
        say("Fill in shop.xlsx first: figures marked as defaults are the program's, not your shop's.")
