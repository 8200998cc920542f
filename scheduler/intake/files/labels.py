"""What orders files are called in faults: short, and never two alike."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import count
from pathlib import Path

_NO_LETTER = re.compile("[\ud800-\udfff]")
"""What Python has in a file's name for bytes that are no letters of the system's encoding."""


def printable(name: str) -> str:
    """A file's name as it can be printed and kept in a text: what is no letter becomes a stand-in."""
    return _NO_LETTER.sub("\N{REPLACEMENT CHARACTER}", name)


def label_files(paths: Iterable[Path | str]) -> tuple[dict[str, Path], list[str]]:
    """Name each file once, by as much of its path as tells it from the others.

    Returns
    -------
    files
        Paths by label, in the order in which they were given. A label is the file's name, with as many of
        its folders in front as are needed, and `printable`.
    again
        Labels of files that were given before, once for each further time.
    """
    given: dict[Path, Path] = {}
    again: list[Path] = []
    for path in map(Path, paths):
        identity = _identity(path)
        if identity in given:
            again.append(identity)
        else:
            given[identity] = path
    whole = [_printable_parts(path) for path in given.values()]
    labels: dict[Path, str] = {}
    for identity, path in given.items():
        label = _label(_printable_parts(path), whole)
        # Numbered where names differ only in what can't be printed.
        names = (label if number == 1 else f"{label} ({number})" for number in count(1))
        labels[identity] = next(name for name in names if name not in labels.values())
    return {labels[identity]: path for identity, path in given.items()}, [labels[one] for one in again]


def _identity(path: Path) -> Path:
    """The file that a path leads to; the path itself when it leads nowhere, which is told on opening."""
    try:
        return path.resolve()
    except (OSError, RuntimeError, ValueError):
        return path.absolute()


def _printable_parts(path: Path) -> tuple[str, ...]:
    return tuple(printable(part) for part in path.absolute().parts)


def _label(parts: tuple[str, ...], all_parts: list[tuple[str, ...]]) -> str:
    for length in range(1, len(parts)):
        tail = parts[-length:]
        if sum(other[-length:] == tail for other in all_parts) == 1:
            return "/".join(tail)
    return str(Path(*parts))
