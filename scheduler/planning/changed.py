"""Orders that were changed after the day was planned: other pieces, another cut-off.

Of an order of which nothing is begun the new one simply takes the place of the old. Of one that is under way
what is begun stays: pieces that came on top are an order of their own, "4102 more"; pieces that are no longer
wanted are left out of what is not begun.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from scheduler.domain.disruptions import OrderChange
from scheduler.domain.faults import Fault
from scheduler.domain.instance import Instance, Task
from scheduler.domain.orders import Order, OrderLine, Sized
from scheduler.domain.plan import DayProblem, Pieces, Plan, RunContent
from scheduler.domain.shop import NOWHERE, Shop
from scheduler.exceptions import BadInput
from scheduler.planning.disruptions import timed_for

Quantities = dict[tuple[OrderLine, str], int]
"""Pieces by line (its sizes, notes and sources left out) and size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """What changed orders mean for a plan.

    Attributes
    ----------
    given
        The orders to plan, old and changed, in the plan's order; what came on top last.
    fewer
        Those under way that have fewer pieces now.
    """

    given: tuple[Order, ...]
    fewer: tuple[OrderChange, ...]


def changed_orders(plan: Plan, orders: Iterable[Order], begun: Collection[str]) -> Changed:
    """Put orders as they are now in the place of those that a plan was made for.

    Parameters
    ----------
    orders
        All of them in the plan; one that is as it was changes nothing.
    begun
        Ids of the runs that are done, under way, or begin within the notice.

    Raises
    ------
    BadInput
        When an order under way has other garments or prints now.
    """
    given = {order.id: order for order in plan.given}
    fewer: list[OrderChange] = []
    faults: list[Fault] = []
    own = {order: _runs_of(plan, [order, *_more_of(order, given)]) for order in given}
    for order in orders:
        now = as_it_is(plan, order.id)
        if same_order(now, order):
            continue
        under_way = tuple(run for run in own[order.id] if run in begun)
        if not under_way:
            given = {
                name: order if name == order.id else one
                for name, one in given.items()
                if name not in _more_of(order.id, given)
            }
            continue
        before, after = _quantities(now), _quantities(order)
        was, is_now = ({line for line, _ in pieces} for pieces in (before, after))
        if was - is_now and is_now - was:
            faults.append(_others(order))
            continue
        more = {key: count - before.get(key, 0) for key, count in after.items() if count > before.get(key, 0)}
        less = {key: max(0, before[key] - after.get(key, 0)) for key in before}
        for name in (order.id, *_more_of(order.id, given)):
            given[name] = replace(given[name], cut_off=order.cut_off, weight=order.weight)
        if more:
            name = _fresh(order.id, given)
            given[name] = replace(order, id=name, lines=_lines(order, more))
        if any(less.values()):
            whole = _quantities(given[order.id])
            left = {key: max(0, count - less.get(key, 0)) for key, count in whole.items()}
            there = replace(given[order.id], lines=_lines(given[order.id], left))
            fewer.append(OrderChange(order=there, begun=under_way))
    if faults:
        raise BadInput(faults)
    return Changed(given=tuple(given.values()), fewer=tuple(fewer))


def _others(order: Order) -> Fault:
    return Fault(
        code="order-under-way",
        source=order.source,
        found=f"order {order.id} is under way, and it has other garments or prints now",
        expected="other quantities, another cut-off, or further garments",
        mend="Put its lines back as they were, or cancel it and give what is to be pressed another number.",
    )


def as_it_is(plan: Plan, name: str) -> Order:
    """An order of a plan with all that was said of it since: what came on top, and what fell away."""
    given = {order.id: order for order in plan.given}
    base = given[name]
    for change in plan.between.fewer:
        if change.order.id == name:
            base = replace(base, lines=change.order.lines)
    extra = [line for more in _more_of(name, given) for line in given[more].lines]
    quantities = _quantities(base)
    for line in extra:
        for sized in line.sizes:
            key = (_bare(line), sized.size)
            quantities[key] = quantities.get(key, 0) + sized.quantity
    return replace(base, lines=_lines(replace(base, lines=(*base.lines, *extra)), quantities))


def _more_of(order: str, given: Collection[str]) -> list[str]:
    return [name for name in given if name == f"{order} more" or name.startswith(f"{order} more ")]


def _fresh(order: str, given: Collection[str]) -> str:
    name, number = f"{order} more", 2
    while name in given:
        name, number = f"{order} more {number}", number + 1
    return name


def _runs_of(plan: Plan, orders: Collection[str]) -> list[str]:
    return [task.id for task in plan.instance.tasks if task.job in orders]


def _bare(line: OrderLine) -> OrderLine:
    """A line without what makes no other garment of it."""
    prints = tuple(replace(one, source=NOWHERE, transfers_in=None) for one in line.prints)
    return replace(line, sizes=(), prints=prints, garments_in=None, note="", names=(), source=NOWHERE)


def _quantities(order: Order) -> Quantities:
    found: Quantities = {}
    for line in order.lines:
        for sized in line.sizes:
            key = (_bare(line), sized.size)
            found[key] = found.get(key, 0) + sized.quantity
    return found


def _said(order: Order) -> object:
    """What makes an order the one it is, wherever it was written."""
    arrivals = {
        (_bare(line), line.garments_in, tuple(one.transfers_in for one in line.prints), line.note)
        for line in order.lines
    }
    pieces = {key: count for key, count in _quantities(order).items() if count}
    return order.customer, order.cut_off, order.weight, pieces, arrivals


def same_order(one: Order, other: Order) -> bool:
    """Whether two orders ask for the same, wherever they were written."""
    return _said(one) == _said(other)


def _lines(order: Order, wanted: Quantities) -> tuple[OrderLine, ...]:
    """The order's lines with so many pieces of each; lines without any are left out."""
    left = dict(wanted)
    found = []
    for line in order.lines:
        sizes = []
        for sized in line.sizes:
            count = left.pop((_bare(line), sized.size), 0)
            if count:
                sizes.append(Sized(size=sized.size, quantity=count))
        if sizes:
            same = tuple(sizes) == line.sizes
            found.append(replace(line, sizes=tuple(sizes), names=line.names if same else ()))
    return tuple(found)


def with_fewer(problem: DayProblem, changes: Iterable[OrderChange]) -> DayProblem:
    """The problem with what is not begun of some orders cut down to the pieces that are still wanted."""
    for change in changes:
        problem = _with_fewer(problem, change)
    return problem


def _with_fewer(problem: DayProblem, change: OrderChange) -> DayProblem:
    contents = dict(problem.contents)
    gone: set[str] = set()
    tasks: list[Task] = []
    left: dict[object, int] = {}
    own = {task.id: task for task in problem.instance.tasks if task.job == change.order.id}
    in_turn = sorted(
        (name for name in own if name not in change.begun), key=lambda name: (contents[name].lot, name)
    )
    for name in own:
        # What is begun keeps its pieces: only what is wanted beyond them is left for the others.
        for piece in contents[name].pieces if name in change.begun else ():
            _cut(contents[name], piece, change, left)
    for name in in_turn:
        pieces = tuple(
            one for one in (_cut(contents[name], one, change, left) for one in contents[name].pieces) if one
        )
        if pieces:
            contents[name] = replace(contents[name], pieces=pieces)
        else:
            gone.add(name)
    for task in problem.instance.tasks:
        if task.id in in_turn and task.id not in gone:
            task = _shorter(problem, task, contents[task.id], problem.shop)
        if task.id not in gone:
            tasks.append(task)
    instance = _with_tasks(problem.instance, tuple(tasks), gone)
    return replace(
        problem,
        instance=instance,
        contents={name: content for name, content in contents.items() if name not in gone},
    )


def _cut(content: RunContent, piece: Pieces, change: OrderChange, left: dict[object, int]) -> Pieces | None:
    """What a run keeps of one of its sizes; lots take in turn from what is wanted, those begun first."""
    laid = content.laid[0]
    key = (content.lots, content.placements, laid.artwork, laid.transfer, piece.garment, piece.colour)
    key_size = (*key, piece.fabric, piece.size, content.size_group)
    if key_size not in left:
        left[key_size] = sum(
            sized.quantity
            for line in change.order.lines
            if (line.garment, line.colour, line.fabric) == (piece.garment, piece.colour, piece.fabric)
            and any(
                (one.placement, one.artwork, one.transfer) == (laid.placement, laid.artwork, laid.transfer)
                for one in line.prints
            )
            for sized in line.sizes
            if sized.size == piece.size
        )
    count = min(piece.quantity, left[key_size])
    left[key_size] -= count
    return replace(piece, quantity=count) if count else None


def _shorter(problem: DayProblem, task: Task, content: RunContent, shop: Shop) -> Task:
    pieces, tick_s = content.quantity, problem.instance.tick_s
    modes = tuple(
        timed_for(shop, mode, pieces, problem.cycle_s[task.id, mode.id], tick_s) for mode in task.modes
    )
    return replace(task, pressings=pieces * len(content.laid), modes=modes)


def _with_tasks(instance: Instance, tasks: tuple[Task, ...], gone: Collection[str]) -> Instance:
    choices = tuple(
        replace(
            choice,
            options=tuple(
                dict.fromkeys(
                    option
                    for way in choice.options
                    if (option := tuple(task for task in way if task not in gone))
                )
            ),
        )
        for choice in instance.choices
    )
    return replace(
        instance,
        tasks=tasks,
        choices=tuple(choice for choice in choices if len(choice.options) > 1),
        precedences=tuple(
            pair for pair in instance.precedences if pair.before not in gone and pair.after not in gone
        ),
    )
