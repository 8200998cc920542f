"""The dated folder that a plan lands in: written aside, then moved in place, nothing lost.

`OUT/2027-03-09` always holds the newest plan of that day. When another one is made, what stood
there moves to `OUT/2027-03-09/version-1`, `version-2` and so on, and the new plan takes its place. A plan
that came out the same again takes the place of its older self, and nothing is counted.
"""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date


@dataclass(slots=True, kw_only=True)
class Draft:
    """A plan's folder while it is written.

    Attributes
    ----------
    folder
        Where to write; it is moved or removed when the draft ends.
    version
        1 for the first plan of the day, counted on from what is there.
    final
        Where the files stand once the draft has ended well.
    renewed
        It takes the place of the newest plan instead of coming after it.
    """

    folder: Path
    version: int
    final: Path
    renewed: bool = False

    def renew(self) -> None:
        """Count it as the newest plan itself, which is the same."""
        self.renewed = True
        self.version -= 1


def check_writable(out: Path) -> None:
    """Find out, before a long search, whether a plan can be written below `out`; leaves nothing there.

    Raises
    ------
    BadInput
        When it can't, with the reason.
    """
    there = out
    while not there.exists() and there != there.parent:
        there = there.parent
    if not there.is_dir():
        raise _unwritable(there, "a file, not a folder")
    try:
        Path(tempfile.mkdtemp(prefix=".pressday-", dir=there)).rmdir()
    except OSError as error:
        raise _unwritable(there, _reason(error)) from error


@contextmanager
def draft(out: Path, day: date) -> Iterator[Draft]:
    """A folder to write a plan of a day in, moved in place when the block ends well.

    When the block raises, everything written is removed and what stood there before is untouched.

    Raises
    ------
    BadInput
        When the folder can't be written.
    """
    final = out / day.isoformat()
    check_writable(out)
    try:
        out.mkdir(parents=True, exist_ok=True)
        with _alone(out) as alone:
            if alone:
                _clear_up(final)
            staged = Path(tempfile.mkdtemp(prefix=f".{final.name}-new-", dir=out))
            try:
                one = Draft(folder=staged / "plan", version=_last_version(final) + 1, final=final)
                one.folder.mkdir()
                yield one
                if one.renewed:
                    _renew(one.folder, final)
                else:
                    one.final = _put_in_place(one.folder, final, one.version)
            finally:
                shutil.rmtree(staged, ignore_errors=True)
    except OSError as error:
        raise _unwritable(out, _reason(error)) from error


def newest(folder: Path, name: str) -> Path | None:
    """The newest plan's file of that name, in a plan folder or the folder that holds the dated ones."""
    if (folder / name).is_file():
        return folder / name
    dated = sorted(found for found in folder.glob(f"????-??-??*/{name}") if found.is_file())
    return max(dated, key=_day_and_version) if dated else None


def _day_and_version(file: Path) -> tuple[str, int]:
    name = file.parent.name
    return name[:10], _number(name[10:]) or 0


def _last_version(final: Path) -> int:
    """Version of the newest plan of a day; 0 when there is none."""
    beside = final.parent.glob(f"{final.name}-version-*") if final.parent.is_dir() else ()
    numbers = [_number(path.name.removeprefix(final.name)) or 0 for path in beside]
    if final.is_dir() and any(final.iterdir()):
        numbers.append(_inside(final) + 1)
    return max(numbers, default=0)


def _inside(folder: Path) -> int:
    return max((_number(path.name) or 0 for path in folder.glob("version-*")), default=0)


def _number(name: str) -> int | None:
    match = re.search(r"version-(\d+)$", name)
    return int(match.group(1)) if match else None


def _aside(final: Path) -> Path:
    return final.with_name(f".{final.name}-before")


def _put_in_place(written: Path, final: Path, version: int) -> Path:
    aside = _aside(final)
    if final.is_dir() and not any(final.iterdir()):
        final.rmdir()
    if not final.exists():
        written.rename(final)
        return final
    try:
        final.rename(aside)
    except OSError:
        # A file of the older plan is open in a program that locks it: keep both, lose neither.
        beside = final.with_name(f"{final.name}-version-{version}")
        written.rename(beside)
        return beside
    try:
        written.rename(final)
    except OSError:
        aside.rename(final)
        raise
    _keep_before(aside, final)
    return final


def _renew(written: Path, final: Path) -> None:
    """Put the files of the same plan over those that are there, each at once; a locked one stays as it is."""
    for file in sorted(written.iterdir()):
        with suppress(PermissionError):
            file.replace(final / file.name)


def _keep_before(aside: Path, final: Path) -> None:
    """Move an older plan, with those that it kept, into the newest one's folder."""
    for older in sorted(aside.glob("version-*")):
        if _number(older.name) is not None and not (final / older.name).exists():
            older.rename(final / older.name)
    aside.rename(final / f"version-{_inside(final) + 1}")


def _clear_up(final: Path) -> None:
    """Finish, or take back, what a run that was killed left behind."""
    for left in final.parent.glob(f".{final.name}-new-*"):
        shutil.rmtree(left, ignore_errors=True)
    aside = _aside(final)
    if aside.is_dir():
        if final.exists():
            _keep_before(aside, final)
        else:
            aside.rename(final)


@contextmanager
def _alone(folder: Path) -> Iterator[bool]:
    """Keep two runs from writing in one folder at a time, where the system can lock a folder."""
    try:
        import fcntl
    except ImportError:
        yield False
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        locked = False
        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX)
            locked = True
        yield locked
    finally:
        os.close(handle)


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def _unwritable(folder: Path, found: str) -> BadInput:
    return BadInput(
        [
            Fault(
                code="folder-not-writable",
                source=Source(file=str(folder)),
                found=f"can't write here: {found}",
                expected="a folder that files can be written in",
                mend="Choose another folder with --out, or free this one.",
            )
        ]
    )
