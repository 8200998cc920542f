"""One command at a time in a folder of plans, and who it is."""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path

from scheduler.daybook.opening import PATIENCE_S, SAY_AFTER_S, Waiting, silent
from scheduler.daybook.trouble import busy

HOLDER = ".day-book-holder"
"""File in which the command that works in the folder says who it is; it is no lock by itself."""

_POLL_S = 0.02


@contextmanager
def alone(folder: Path, *, what: str = "", waiting: Waiting = silent) -> Iterator[bool]:
    """Keep other commands out of a folder for the length of the block; the system ends it with the process.

    Parameters
    ----------
    what
        What this command is doing, for those who wait: "writing the sheets of 2027-03-09".
    waiting
        Told once, after a second, who holds the folder.

    Yields
    ------
    bool
        False where the system or the drive knows no locks: then nobody is kept out.

    Raises
    ------
    BadInput
        When somebody holds the folder for longer than a minute; names the command.
    """
    with _handle(folder) as (lock, holder_file):
        locked = _take(lock, holder_file, waiting)
        try:
            if locked:
                _say_who(holder_file, what)
            yield locked
        finally:
            if locked:
                with suppress(OSError):
                    _forget_who(holder_file)


@contextmanager
def _handle(folder: Path) -> Iterator[tuple[Callable[[], bool], Path]]:
    """A way to try for the lock, which raises OSError where there are none."""
    holder = folder / HOLDER
    if sys.platform == "win32":
        import msvcrt

        with (folder / ".day-book-lock").open("a+b") as opened:

            def take() -> bool:
                try:
                    msvcrt.locking(opened.fileno(), msvcrt.LK_NBLCK, 1)
                except PermissionError:
                    return False
                return True

            yield take, holder
        return
    import fcntl

    handle = os.open(folder, os.O_RDONLY)

    def lock() -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    try:
        yield lock, holder
    finally:
        os.close(handle)


def _take(lock: Callable[[], bool], holder: Path, waiting: Waiting) -> bool:
    begin = time.monotonic()
    told = False
    while True:
        try:
            if lock():
                return True
        except OSError:
            return False
        passed = time.monotonic() - begin
        if passed > SAY_AFTER_S and not told:
            told = True
            waiting(f"Waiting: {who(holder)} is at work in {holder.parent}.")
        if passed > PATIENCE_S:
            raise busy(holder.parent, who(holder))
        time.sleep(_POLL_S)


def _say_who(holder: Path, what: str) -> None:
    data = {"process": os.getpid(), "since": datetime.now().isoformat(timespec="seconds"), "what": what}
    with suppress(OSError):
        holder.write_text(json.dumps(data), encoding="utf-8")


def _forget_who(holder: Path) -> None:
    holder.unlink(missing_ok=True)


def who(holder: Path) -> str:
    """The command that holds a folder, in words."""
    try:
        data = json.loads(holder.read_text(encoding="utf-8"))
        doing = f", {data['what']}" if data["what"] else ""
        return f"process {data['process']} (since {str(data['since'])[11:]}{doing})"
    except (OSError, ValueError, KeyError, TypeError):
        return "another command"
