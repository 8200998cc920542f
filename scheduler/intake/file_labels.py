"""What orders files are called in faults: short, and never two alike."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path


def label_files(paths: Iterable[Path | str]) -> tuple[dict[str, Path], list[str]]:
    """Name each file once, by as much of its path as tells it from the others.

    Returns
    -------
    files
        Paths by label, in the order in which they were given. A label is the file's name, with as many of
        its folders in front as are needed.
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
    whole = [path.absolute() for path in given.values()]
    labels = {identity: _label(path.absolute(), whole) for identity, path in given.items()}
    return {labels[identity]: path for identity, path in given.items()}, [labels[one] for one in again]


def _identity(path: Path) -> Path:
    """The file that a path leads to; the path itself when it leads nowhere, which is told on opening."""
    try:
        return path.resolve()
    except (OSError, RuntimeError, ValueError):
        return path.absolute()


def _label(path: Path, all_paths: list[Path]) -> str:
    for length in range(1, len(path.parts)):
        tail = path.parts[-length:]
        if sum(other.parts[-length:] == tail for other in all_paths) == 1:
            return "/".join(tail)
    return str(path)
