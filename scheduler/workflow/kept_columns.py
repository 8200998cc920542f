"""Keeping what the owner has said about a kind of orders file, unless it would spoil such files."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NoReturn

from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from scheduler.intake import Kept, Kind, OrdersRead


def keep(file: Path, kept: Kept, read: OrdersRead, said: Kind) -> None:
    """Keep what was said for the kinds of the files that were read.

    Raises
    ------
    BadInput
        When a heading that was named is in none of them, or twice in one, or the file can't be written.
    """
    from scheduler.intake import write_kept
    from scheduler.intake.words import name_key

    there = {name_key(one.heading): one.heading for one in read.columns}
    said_of = {name_key(heading): heading for heading in said.columns}
    missing = [heading for key, heading in said_of.items() if key not in there]
    places = Counter((one.source.file, one.source.sheet, name_key(one.heading)) for one in read.columns)
    twice = [said_of[key] for (_, _, key), count in places.items() if count > 1 and key in said_of]
    file_names = ", ".join(dict.fromkeys(one.source.file for one in read.columns)) or file.name
    if missing:
        found = ", ".join(f'no heading "{heading}"' for heading in missing)
        mend = "Write the heading as it stands in the file."
        _refuse("no-such-heading", file_names, found, f"one of: {', '.join(there.values())}", mend)
    if twice:
        found = ", ".join(f'the heading "{heading}" more than once' for heading in dict.fromkeys(twice))
        mend = (
            "Rename one of them in the file; what is said of a heading holds for every column of that name."
        )
        _refuse("heading-twice", file_names, found, "a heading that stands once", mend)
    if any(fault.code == "column-said-otherwise" for fault in read.found):
        # kept, it would spoil every file with these headings
        return
    write_kept(file, kept.remembering(read.kinds))


def _refuse(code: str, file: str, found: str, expected: str, mend: str) -> NoReturn:
    from scheduler.domain.faults import Fault, Source

    source = Source(file=file)
    raise BadInput([Fault(code=code, source=source, found=found, expected=expected, mend=mend)]) from None
