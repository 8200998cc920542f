"""How many pieces of a run are spoiled, and of which sizes: "3", or "M=2, XL=1"."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from scheduler.domain.pieces import Pieces
from scheduler.domain.plan import PlannedRun
from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.values import Unfit, text, whole
from scheduler.intake.files.grid import Value
from scheduler.intake.words import name_key

MOST_PIECES = 100_000
_SPLIT = re.compile(r"[,;\n]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoiled:
    """Spoiled pieces; `pieces` says which, and is empty when only their number was said."""

    count: int
    pieces: tuple[Pieces, ...] = ()


def spoiled_of(run: PlannedRun) -> Callable[[Value], Spoiled]:
    """Parser of the spoiled pieces of a run."""
    count = whole(0, MOST_PIECES, what="pieces")

    def parse(value: Value) -> Spoiled:
        if "=" not in text(value):
            return Spoiled(count=count(value))
        found: dict[int, int] = {}
        for part in filter(None, (part.strip() for part in _SPLIT.split(text(value)))):
            name, equals, number = (each.strip() for each in part.rpartition("="))
            if not equals or not name or not number.isdecimal():
                raise Unfit("spoiled-unclear", _expected(run), "Write each size with its pieces.")
            at = _which(run, name)
            found[at] = found.get(at, 0) + int(number)
        pieces = run.content.pieces
        for at, number_of in found.items():
            if number_of > pieces[at].quantity:
                most = f"at most {pieces[at].quantity} of {_names(pieces)[at]} in this run"
                raise Unfit("too-many-of-size", most, "Correct the numbers.")
        return Spoiled(
            count=sum(found.values()),
            pieces=tuple(replace(pieces[at], quantity=number) for at, number in found.items() if number),
        )

    return parse


def sizes_asked(run: PlannedRun) -> str:
    """The sizes of a run, as somebody would write them: "S=1, M=1"."""
    return ", ".join(f"{name}=1" for name in _names(run.content.pieces)[:3])


def _expected(run: PlannedRun) -> str:
    return f"a number, or sizes such as {sizes_asked(run)}"


def _which(run: PlannedRun, name: str) -> int:
    """Which of the run's kinds of pieces a name means: by size, and colour and garment where needed."""
    pieces = run.content.pieces
    key = name_key(name)
    fit = [at for at, one in enumerate(_names(pieces)) if name_key(one) == key]
    fit = fit or [at for at, one in enumerate(pieces) if name_key(one.size) == key]
    if len(fit) == 1:
        return fit[0]
    there = ", ".join(_names(pieces))
    if fit:
        mend = f"Write which: {' or '.join(_names(pieces)[at] for at in fit)}."
        raise Unfit("size-unclear", f"one of: {there}", mend)
    raise Unfit("unknown-size", f"one of: {there}", f"Correct {shown(name)}.")


def _names(pieces: Sequence[Pieces]) -> list[str]:
    """By kind of pieces the shortest name that tells it from the others."""
    for parts in (1, 2, 3, 4):
        # From the end: size, colour before it, garment before that; the fabric where nothing else differs.
        names = [
            " ".join(filter(None, (one.fabric, one.garment, one.colour, one.size)[-parts:])) for one in pieces
        ]
        if len({name_key(name) for name in names}) == len(names) and all(names):
            return names
    return [f"{name} ({at})" for at, name in enumerate(names, start=1)]
