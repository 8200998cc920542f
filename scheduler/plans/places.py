"""Where plans are: the folder of a day with its versions in it, and how they are moved there."""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

PLANS_NAME = "plans"
"""Name of the folder of plans in a shop folder."""

KEPT = "kept-plan.json"
"""The whole plan, beside its sheets."""


LEFT_BEHIND = re.compile(r"\.\d{4}-\d\d-\d\d-(new-\w+|before)\Z")
"""Folders that only a command at work, or one that was killed, has."""


_OF_A_DAY = re.compile(r"\d{4}-\d\d-\d\d(-version-\d+)?\Z")
_OLDER = re.compile(r"version-\d+\Z")

_HEAD = 65_536
"""Bytes of a kept plan in which its version stands: only the plan's dates come before it."""


def newest(folder: Path, name: str) -> Path | None:
    """The newest plan's file of that name, in a plan folder or the folder that holds the dated ones."""
    if (folder / name).is_file():
        return folder / name
    dated = sorted(found for found in folder.glob(f"????-??-??*/{name}") if found.is_file())
    return max(dated, key=_day_and_version) if dated else None


def _day_and_version(file: Path) -> tuple[str, int]:
    name = file.parent.name
    return name[:10], _number(name[10:]) or 0


def above(folder: Path) -> tuple[Path, ...]:
    """The folder of plans that the folder of a plan, or of an older version of it, is in; else none."""
    # Not resolved: a dated folder may be a link to where the plans are kept.
    whole = Path(os.path.abspath(folder))  # noqa: PTH100 - see above
    if _OLDER.match(whole.name) and _OF_A_DAY.match(whole.parent.name):
        return (whole.parent.parent,)
    return (whole.parent,) if _OF_A_DAY.match(whole.name) or (whole / KEPT).is_file() else ()


def last_version(final: Path) -> int:
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


def version_of(folder: Path) -> int | None:
    """The version of the plan kept in a folder; None when none is, or none that can be read."""
    try:
        with (folder / KEPT).open("rb") as kept:
            match = re.search(rb'"version":\s*(\d+)', kept.read(_HEAD))
    except OSError:
        return None
    return int(match.group(1)) if match else None


def put_in_place(written: Path, final: Path, version: int) -> Path:
    """Move a plan's files to where the newest of its day stands, the older one into it; says where."""
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


def renew(written: Path, final: Path) -> tuple[str, ...]:
    """Put the files of the same plan over those that are there, each at once; names those that are locked."""
    locked = []
    for file in sorted(written.iterdir()):
        try:
            file.replace(final / file.name)
        except PermissionError:
            # Open in a program that locks it: what it holds is of the same plan.
            locked.append(file.name)
    return tuple(locked)


def _keep_before(aside: Path, final: Path) -> None:
    """Move an older plan, with those that it kept, into the newest one's folder."""
    for older in sorted(aside.glob("version-*")):
        if _number(older.name) is not None and not (final / older.name).exists():
            older.rename(final / older.name)
    place = final / f"version-{version_of(aside) or 0}"
    if place.name == "version-0" or place.exists():
        place = final / f"version-{_inside(final) + 1}"
    aside.rename(place)


def clear_up(final: Path) -> None:
    """Finish, or take back, what a run that was killed left behind."""
    for left in final.parent.glob(f".{final.name}-new-*"):
        shutil.rmtree(left, ignore_errors=True)
    finish_moves(final)


def finish_moves(final: Path) -> None:
    """Put an older plan to its place that was moved aside and no further."""
    aside = _aside(final)
    if aside.is_dir():
        if final.exists():
            _keep_before(aside, final)
        else:
            aside.rename(final)
