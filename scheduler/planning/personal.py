"""Personal pieces: which names and numbers go on which garments of a run, and the time that they take."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from scheduler.domain.day_problem import Personal
from scheduler.domain.orders import Order, OrderLine
from scheduler.domain.shop import Shop
from scheduler.domain.times import exact
from scheduler.planning.placements import Portion, Run


def names_at(line: OrderLine, placement: str) -> tuple[tuple[int, int], ...]:
    """The names that go on a placement of a line, each with the garment that it is for.

    A name goes on the first garment of its size that has none yet; those without a size go on what is left.
    One whose placement isn't said goes on every placement.

    Returns
    -------
    tuple of (int, int)
        Garment, counted from 0 size by size, and place of its name in the line's list; in that order.
    """
    wanted = [(at, one.size) for at, one in enumerate(line.names) if one.placement in ("", placement)]
    if not wanted:
        return ()
    free: dict[str, list[int]] = {}
    count = 0
    for sized in line.sizes:
        if sized.quantity > 0:
            free.setdefault(sized.size, []).extend(range(count, count + sized.quantity))
            count += sized.quantity
    # a name too many is a fault of its list; here it goes with the last garment, so that none is lost
    last = {size: numbers[-1] for size, numbers in free.items()}
    found = []
    for at, size in wanted:
        if size:
            numbers = free.get(size, [])
            found.append((numbers.pop(0) if numbers else last.get(size, count - 1), at))
    rest = sorted(number for numbers in free.values() for number in numbers)
    for at, size in wanted:
        if not size:
            found.append((rest.pop(0) if rest else count - 1, at))
    return tuple(sorted(found))


def named_in(order: Order, placement: str, portions: Sequence[Portion]) -> tuple[tuple[Portion, int], ...]:
    """The names that go on a placement of some garments, garment by garment, by place in the line's list."""
    return tuple(
        (portion, at)
        for portion in portions
        if order.lines[portion.line].names
        for number, at in names_at(order.lines[portion.line], placement)
        if portion.first <= number < portion.first + portion.quantity
    )


def named_count(runs: Sequence[Run], portions: Sequence[Portion]) -> int:
    """How many personal transfers are pressed when these garments go through a run, or a pair of runs."""
    return sum(len(named_in(run.order, run.placement.name, portions)) for run in runs)


def personal_s(shop: Shop, runs: Sequence[Run], portions: Sequence[Portion]) -> Fraction:
    """Seconds per garment, on average over these garments, for transfers with a name of their own."""
    named = named_count(runs, portions)
    if not named:
        return Fraction(0)
    quantity = sum(portion.quantity for portion in portions)
    return exact(shop.allowances.personal_piece_s) * Fraction(named, quantity)


def personal_pieces(order: Order, runs: Sequence[Run], portions: Sequence[Portion]) -> tuple[Personal, ...]:
    """The personal pieces among some garments, for the sheet of the run (or pair) that presses them."""
    found: dict[tuple[int, int], Personal] = {}
    for run in runs:
        for portion, at in named_in(order, run.placement.name, portions):
            line = order.lines[portion.line]
            one = line.names[at]
            one_size = len({sized.size for sized in line.sizes if sized.quantity > 0}) == 1
            # the same entry at both placements of a pair is one piece
            found[portion.line, at] = Personal(
                garment=line.garment,
                colour=line.colour,
                size=one.size or (portion.size if one_size else ""),
                name=one.name,
                number=one.number,
                placement=one.placement,
            )
    return tuple(found.values())
