"""Orders that stand more than once: on two sheets or in two files, and numbers that differ in zeros only."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from scheduler.intake.cells.findings import shown
from scheduler.intake.words import name_key

if TYPE_CHECKING:
    from collections.abc import Hashable

    from scheduler.domain.orders import Order, OrderLine
    from scheduler.intake.orders.rows import Entry, Facts

_NOT_BETWEEN_DIGITS = re.compile(r"(?<!\d)[\W_]+|[\W_]+(?!\d)")


def is_same_order(one: Order, other: Order) -> bool:
    """Whether two orders ask for the same work, wherever they stand."""
    return _content(one) == _content(other)


def is_repeated(ones: Iterable[Entry], others: Iterable[Entry]) -> bool:
    """Whether two sheets of a file speak of the same pieces: one print on the same garments of a size."""
    there = set(_pressed(ones))
    return bool(there) and not there.isdisjoint(_pressed(others))


def _pressed(entries: Iterable[Entry]) -> Iterator[Hashable]:
    for entry in entries:
        garment = style_key(entry.garment), style_key(entry.colour), entry.fabric, name_key(entry.line)
        for one in entry.prints:
            yield from ((garment, one.placement, sized.size) for sized in entry.sizes)


def style_key(name: str) -> str:
    """What two spellings of a garment or colour share: "T-Shirt", "t shirt" and "tshirt" are one.

    Marks between digits count: 5.0 is not 50.
    """
    plain = name_key(name)
    return plain if plain.isalnum() else _NOT_BETWEEN_DIGITS.sub("", plain) or plain


def _content(order: Order) -> Hashable:
    lines = sorted(map(repr, map(_line, order.lines)))
    return name_key(order.customer), order.cut_off, order.weight, tuple(lines)


def _line(line: OrderLine) -> Hashable:
    prints = (
        (one.placement, one.transfer, one.artwork, one.width_mm, one.height_mm, one.transfers_in)
        for one in line.prints
    )
    sizes = tuple((sized.size, sized.quantity) for sized in line.sizes)
    return (
        style_key(line.garment),
        style_key(line.colour),
        line.fabric,
        sizes,
        tuple(sorted(map(repr, prints))),
        line.garments_in,
        line.note,
    )


def doubt_alike(orders: Sequence[Facts]) -> None:
    """Doubt order numbers that differ only in zeros in front: a program may have dropped them.

    Parameters
    ----------
    orders
        The first row of every order.
    """
    seen: dict[str, Facts] = {}
    for facts in orders:
        if not facts.order.isdigit():
            continue
        first = seen.setdefault(facts.order.lstrip("0"), facts)
        if first is facts:
            continue
        found = f"order {shown(facts.order)} beside {shown(first.order)} in {first.row.source('order')}"
        mend = "They are taken as two orders; if they are one, write its number alike."
        facts.row.doubt("order-numbers-alike", "order", found, "one number for each order", mend)
