"""What a task means in the shop: pieces, transfers, notes, and what it waits for."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.domain.day_problem import Laid, Pieces, RunContent
from scheduler.domain.orders import Order
from scheduler.domain.shop import Shop
from scheduler.domain.times import exact
from scheduler.planning.personal import named_count, personal_pieces
from scheduler.planning.placements import Portion, Run, size_ranks


def spare_transfers(shop: Shop, transfer: str, quantity: int) -> int:
    """Transfers to have ready beyond one a garment: the spoilage share, rounded up."""
    return int(-(-quantity * exact(shop.spoilage.get(transfer, 0)) // 1))


def content_of(
    shop: Shop, task: str, runs: Sequence[Run], portions: Sequence[Portion], *, lot: int, lots: int
) -> RunContent:
    """The content of a task.

    Parameters
    ----------
    task
        Its id.
    runs
        The run that it presses, or both of a pair.
    portions
        The garments that it holds.
    lot, lots
        Which of how many lots, from 1.
    """
    order = runs[0].order
    quantity = sum(portion.quantity for portion in portions)
    return RunContent(
        task=task,
        order=order.id,
        customer=order.customer,
        size_group=runs[0].size_group,
        pieces=_pieces(shop, order, portions),
        laid=tuple(_laid(shop, run, quantity - named_count((run,), portions)) for run in runs),
        recipe=max((run.recipe for run in runs), key=lambda recipe: recipe.cooling_s),
        lot=lot,
        lots=lots,
        ready=max((run.ready for run in runs if run.ready is not None), default=None),
        waits_for=_waits_for(runs),
        notes=_notes(order, portions),
        names=personal_pieces(order, runs, portions),
    )


def _laid(shop: Shop, run: Run, alike: int) -> Laid:
    # of a transfer with a name of its own there is no spare one
    return Laid(
        placement=run.placement.name,
        position=run.placement.position(run.size_groups[0]),
        inside=run.placement.inside,
        transfer=run.transfer,
        artwork=run.artwork,
        width_mm=run.width_mm,
        height_mm=run.height_mm,
        spare=spare_transfers(shop, run.transfer, alike),
    )


def _pieces(shop: Shop, order: Order, portions: Sequence[Portion]) -> tuple[Pieces, ...]:
    """Pieces by garment, colour and fabric as they come, the sizes of each in the shop's order."""
    counted: dict[tuple[str, str, str], dict[str, int]] = {}
    for portion in portions:
        line = order.lines[portion.line]
        sizes = counted.setdefault((line.garment, line.colour, line.fabric), {})
        sizes[portion.size] = sizes.get(portion.size, 0) + portion.quantity
    rank = size_ranks(shop)
    return tuple(
        Pieces(garment=garment, colour=colour, fabric=fabric, size=size, quantity=sizes[size])
        for (garment, colour, fabric), sizes in counted.items()
        for size in sorted(sizes, key=lambda size: rank.get(size, len(rank)))
    )


def _waits_for(runs: Sequence[Run]) -> str:
    """What comes in last: garments, transfers, or both at the same moment."""
    ready = max((run.ready for run in runs if run.ready is not None), default=None)
    if ready is None:
        return ""
    last = {
        "garments": any(run.garments_in == ready for run in runs),
        "transfers": any(run.transfers_in == ready for run in runs),
    }
    return " and ".join(what for what, comes_last in last.items() if comes_last)


def _notes(order: Order, portions: Sequence[Portion]) -> tuple[str, ...]:
    """The notes of the order lines that the garments are of, each once."""
    lines = dict.fromkeys(portion.line for portion in portions)
    notes = dict.fromkeys(order.lines[line].note.strip() for line in lines)
    return tuple(note for note in notes if note)
