"""Marked copies of the owner's files, whatever the end of the command that found the faults."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.ends import say
from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from scheduler.domain.faults import Fault

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


def write_marked(
    folder: Path | None, orders: Sequence[Path], shop: Path | None, findings: Iterable[Fault]
) -> None:
    """Write the copies, and say which; nothing when no folder was named.

    Raises
    ------
    scheduler.exceptions.BadInput
        When the folder can't be written; with all the findings, which would not be told otherwise.
    """
    if folder is None:
        return
    from scheduler.cli.reading import shop_file
    from scheduler.intake.files.labels import label_files, printable
    from scheduler.intake.writing.marked_copy import write_marked_copies

    every = list(findings)
    shop = shop_file(orders, shop)
    files = {printable(shop.name): shop, **label_files(orders)[0]}
    try:
        copies = write_marked_copies(files, every, folder)
    except BadInput as error:
        raise BadInput([*every, *error.faults]) from None
    for copy in copies:
        say(f"Marked copy: {copy}", to_error=True)
    if not copies:
        say("No marked copy: nothing was found in a file that can be copied.", to_error=True)
