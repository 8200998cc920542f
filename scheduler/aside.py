"""How every file is written: aside first, then moved in place, so that it is there whole or not at all.

For all layers, like the errors: what a file that can't be written is called must not depend on who writes it.
"""

from __future__ import annotations

import os
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterator

NOT_WRITABLE = "not-writable"
"""Code of the one fault of a file or folder that can't be written."""

ELSEWHERE = "Choose another folder or name, lift its protection, or close it in other programs."

_MOST_NAMES = 1000


@dataclass(slots=True, kw_only=True)
class Numbered:
    """A file that is written aside and gets the first free name.

    Attributes
    ----------
    part
        Where to write.
    path
        Where it stands once the block has ended well.
    """

    part: Path
    path: Path


@contextmanager
def written_aside(path: Path, *, overwrite: bool) -> Iterator[Path]:
    """A name to write under; when the block ends well the file is moved to `path`, saved on the disk.

    When the block raises, what was written is removed and a file that was there before is untouched.

    Parameters
    ----------
    overwrite
        Take the place of a file that is there; otherwise there must be none, even at the end of the block.

    Raises
    ------
    BadInput
        When it can't be written (any `OSError` of the block, too), or there is a file that is to stay.
    """
    try:
        if not overwrite:
            check_free(path)
        with part_of(path) as part:
            yield part
            save(part)
            if overwrite:
                part.replace(path)
            else:
                move_without_overwriting(part, path)
            save(path.parent)
    except OSError as error:
        if isinstance(error, FileExistsError) and not overwrite:
            raise file_present(path) from None
        raise unwritable(path, error) from error


@contextmanager
def written_numbered(path: Path) -> Iterator[Numbered]:
    """The same under the first name that is free: a.xlsx, a-2.xlsx, a-3.xlsx.

    Raises
    ------
    BadInput
        When it can't be written, or there are a thousand such files.
    """
    try:
        with part_of(path) as part:
            one = Numbered(part=part, path=path)
            yield one
            save(part)
            for number in range(1, _MOST_NAMES):
                more = "" if number == 1 else f"-{number}"
                one.path = path.with_name(f"{path.stem}{more}{path.suffix}")
                with suppress(FileExistsError):
                    move_without_overwriting(part, one.path)
                    save(path.parent)
                    return
            raise unwritable(path, f"{_MOST_NAMES} such files are there already")
    except OSError as error:
        raise unwritable(path, error) from error


@contextmanager
def part_of(path: Path) -> Iterator[Path]:
    """The name under which a file is written aside; what is left under it at the end is removed."""
    part = path.with_name(f".{path.name}.part")
    try:
        yield part
    finally:
        # Its folder may be none, or out of reach by now: that is no news worth hiding the first error.
        with suppress(OSError):
            part.unlink(missing_ok=True)


def move_without_overwriting(part: Path, target: Path) -> None:
    """Move a file to a name that nobody else may have taken in the meantime.

    Raises
    ------
    FileExistsError
        When there is a file of that name.
    """
    try:
        target.hardlink_to(part)
    except FileExistsError:
        raise
    except OSError:
        # a folder on a drive without links: claim the name first, then move over our own empty file
        target.touch(exist_ok=False)
        part.replace(target)


def save(path: Path) -> None:
    """Have the system write a file, or a folder's names, to the disk, so that a power cut can't take it."""
    # Windows opens no folders, and some network drives save nothing on demand.
    with suppress(OSError):
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def check_free(path: Path) -> None:
    """See that there is no file of that name.

    Raises
    ------
    BadInput
        When there is one.
    """
    if path.exists():
        raise file_present(path)


def file_present(path: Path) -> BadInput:
    """The refusal of a name that a file has which is to stay."""
    return BadInput(
        [
            Fault(
                code="file-present",
                source=Source(file=str(path)),
                found="there is a file of that name, and it may be filled in",
                expected="a name that is free",
                mend="Choose another name.",
            )
        ]
    )


def unwritable(place: Path, why: OSError | str, *, what: str = "it", mend: str = ELSEWHERE) -> BadInput:
    """The refusal of a file or folder that can't be written.

    Parameters
    ----------
    why
        The system's error, or the reason in words.
    what
        What of it can't be: a file in a folder.
    """
    reason = why if isinstance(why, str) else why.strerror or str(why)
    return BadInput(
        [
            Fault(
                code=NOT_WRITABLE,
                source=Source(file=str(place)),
                found=f"{what} can't be written ({reason})",
                expected="a place that may be written, with room",
                mend=mend,
            )
        ]
    )
