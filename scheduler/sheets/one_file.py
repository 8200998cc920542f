"""A file of its own that a command writes when asked for it, such as a picture or a workbook of figures."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from scheduler.aside import unwritable, written_aside
from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from pathlib import Path


def check_name(path: Path, kinds: tuple[str, ...], what: str) -> None:
    """See that a file can have that name, before any work is done.

    Parameters
    ----------
    kinds
        Endings that it may have, without the point.
    what
        What the file is, in words: "a picture".

    Raises
    ------
    BadInput
        When it ends otherwise, its folder isn't there, or it can't be written there.
    """
    endings = " or ".join(f".{kind}" for kind in kinds)
    code = f"{what.split()[-1]}-kind"
    if path.suffix.casefold().lstrip(".") not in kinds:
        mend = f"Choose a name that ends in {endings}."
        found = f'{what} called "{path.name}"'
        raise BadInput([_fault(path, code, found, f"a name with {endings}", mend)])
    folder = path.absolute().parent
    if not folder.is_dir():
        found = f'there is no folder "{folder}"'
        raise BadInput(
            [_fault(path, "no-folder", found, "a folder that is there", "Make it, or choose another.")]
        )
    if path.is_dir():
        found = "a folder of that name"
        raise BadInput([_fault(path, "file-is-folder", found, "a file", "Choose another name.")])
    if not os.access(folder, os.W_OK) or (path.exists() and not os.access(path, os.W_OK)):
        what = "it" if path.exists() and os.access(folder, os.W_OK) else "its folder"
        found = f"{what} is protected against writing"
        raise unwritable(path, found)


def write_one(path: Path, content: bytes) -> None:
    """Write the file; one that is there is replaced, whole or not at all.

    Raises
    ------
    BadInput
        When it can't be written.
    """
    with written_aside(path, overwrite=True) as part:
        part.write_bytes(content)


def _fault(path: Path, code: str, found: str, expected: str, mend: str) -> Fault:
    return Fault(code=code, source=Source(file=str(path)), found=found, expected=expected, mend=mend)
