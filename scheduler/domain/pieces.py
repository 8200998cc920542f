"""Pieces of one kind in a run, and pieces of which nobody said which they are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

AS_SPOILED = "as spoiled"
"""Put behind what is not known of pieces that are pressed again: "size as spoiled"."""

SIZE_AS_SPOILED = f"size {AS_SPOILED}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """A quantity of one garment, colour and size in a run."""

    garment: str
    colour: str
    fabric: str
    size: str
    quantity: int


def pieces_done(good: int, whole: int, spoiled: int = 0) -> str:
    """How far a run is, in the words of screen and paper: "14 of 24 pieces done, 1 spoiled"."""
    return f"{good} of {whole} pieces done" + (f", {spoiled} spoiled" if spoiled else "")


def same_kind(one: Pieces, other: Pieces) -> bool:
    """Whether two stand for the same garment, colour, fabric and size."""
    return replace(one, quantity=0) == replace(other, quantity=0)


def pressed_again(pieces: tuple[Pieces, ...], known: Iterable[Pieces], count: int) -> tuple[Pieces, ...]:
    """Which of a run's pieces are pressed again.

    Parameters
    ----------
    pieces
        Those of the run.
    known
        Those of which somebody said that they are spoiled; of some only what they share may be known, as
        `shared_by` has it.
    count
        How many are pressed again. Those that nobody named are of the run's only kind, or all of its pieces;
        otherwise their size is not known, and none is invented.
    """
    pieces = tuple(one for one in pieces if one.quantity)
    if len(pieces) == 1:
        return (replace(pieces[0], quantity=count),)
    if count == sum(one.quantity for one in pieces):
        return pieces
    found: list[Pieces] = []
    for one in pieces:
        said = sum(each.quantity for each in known if same_kind(each, one))
        taken = min(said, one.quantity, count)
        count -= taken
        if taken:
            found.append(replace(one, quantity=taken))
    for one in known:
        taken = min(one.quantity, count) if AS_SPOILED in one.size + one.garment else 0
        count -= taken
        if taken:
            found = _with(found, replace(one, quantity=taken))
    if count:
        found = _with(found, shared_by(pieces, count))
    return tuple(found)


def _with(pieces: list[Pieces], more: Pieces) -> list[Pieces]:
    """Pieces and some more, those of one kind in one."""
    same = sum(one.quantity for one in pieces if same_kind(one, more))
    return [
        *(one for one in pieces if not same_kind(one, more)),
        replace(more, quantity=more.quantity + same),
    ]


def shared_by(pieces: Iterable[Pieces], count: int) -> Pieces:
    """So many pieces of some of these kinds, of which only that is known that all of them share."""

    def common(values: Iterable[str], what: str) -> str:
        kinds = dict.fromkeys(values)
        return next(iter(kinds)) if len(kinds) == 1 else f"{what} {AS_SPOILED}" if what else ""

    every = list(pieces)
    return Pieces(
        garment=common((one.garment for one in every), "garment"),
        colour=common((one.colour for one in every), "colour"),
        fabric=common((one.fabric for one in every), ""),
        size=common((one.size for one in every), "size"),
        quantity=count,
    )


__all__ = [
    "AS_SPOILED",
    "SIZE_AS_SPOILED",
    "Pieces",
    "pieces_done",
    "pressed_again",
    "same_kind",
    "shared_by",
]
