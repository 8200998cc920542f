"""Marked copies of the owner's files, whatever the end of the command that found the faults."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from scheduler.domain.faults import Fault
    from scheduler.workflow.owner import Owner


def write_marked(
    folder: Path | None, orders: Sequence[Path], shop: Path | None, findings: Iterable[Fault], *, owner: Owner
) -> None:
    """Write the copies, and say which; nothing when no folder was named.

    Raises
    ------
    scheduler.exceptions.BadInput
        When the folder can't be written; with all the findings, which would not be told otherwise.
    """
    if folder is None:
        return
    from scheduler.intake.files.labels import label_files, printable
    from scheduler.intake.writing.marked_copy import write_marked_copies
    from scheduler.workflow.reading import shop_file

    every = list(findings)
    shop = shop_file(orders, shop)
    files = {printable(shop.name): shop, **label_files(orders)[0]}
    try:
        copies = write_marked_copies(files, every, folder)
    except BadInput as error:
        raise BadInput([*every, *error.faults]) from None
    for copy in copies:
        owner.tell(f"Marked copy: {copy}")
    if not copies:
        owner.tell("No marked copy: nothing was found in a file that can be copied.")
