"""Orders that were changed after the day was planned: other pieces, other names, another cut-off.

Of an order of which nothing is begun the new one simply takes the place of the old. Of one that is under way
what is begun stays: pieces that came on top are an order of their own, "4102 more"; pieces that are no longer
wanted are left out of what is not begun. A name counts like the piece that it is on: where nothing that it
goes on is begun it is corrected in place, else the right one is a piece on top.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from scheduler.domain.day_problem import RunContent
from scheduler.domain.disruptions import Disruptions, OrderChange
from scheduler.domain.faults import Fault
from scheduler.domain.orders import Named, Order
from scheduler.domain.plan import Plan
from scheduler.exceptions import BadInput
from scheduler.planning.owed import Garment, bare, comes_later, lines_with, owed, same_order

UNTYPED = "\u00a0"
"""Stands before "more" in the id of what came on top: no order that was read has such a space in its id."""


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


@dataclass(slots=True, kw_only=True)
class _Part:
    """An order under way, or what came on top of it before.

    Attributes
    ----------
    left
        Its garments, those that nobody wants any more but that are begun among them.
    unwanted
        Those.
    begun, contents
        Its runs that are begun.
    cut
        It has fewer pieces than it was given with: names that were taken out of it can't come back in.
    """

    order: Order
    left: Counter[Garment]
    unwanted: Counter[Garment]
    begun: tuple[str, ...]
    contents: tuple[RunContent, ...]
    cut: bool
    fewer: bool = False

    @property
    def untouched(self) -> bool:
        return not self.begun and not self.cut


def changed_orders(
    plan: Plan,
    orders: Iterable[Order],
    begun: Collection[str],
    taken: Collection[str] = (),
    *,
    at: datetime,
    late_boxes: Collection[str] = (),
) -> Changed:
    """Put orders as they are now in the place of those that a plan was made for.

    Parameters
    ----------
    orders
        All of them in the plan; one that is as it was changes nothing.
    begun
        Ids of the runs that are done, under way, or begin within the notice.
    taken
        Ids of orders that come in at the same time.
    at
        The moment from which the day is planned again.
    late_boxes
        Ids of orders of which it is said by themselves when they come in.

    Raises
    ------
    BadInput
        When an order under way has other garments or prints now, or some that come in later.
    """
    given = {order.id: order for order in plan.given}
    fewer: list[OrderChange] = []
    faults: list[Fault] = []
    for order in orders:
        now = as_it_is(plan, order.id)
        if same_order(now, order):
            continue
        parts = [_part(plan, name, begun) for name in (order.id, *_on_top(plan, order.id))]
        if not any(part.begun for part in parts):
            gone = {part.order.id for part in parts[1:]}
            given = {
                name: order if name == order.id else one for name, one in given.items() if name not in gone
            }
            continue
        if order.id not in late_boxes and comes_later(now, order, at):
            faults.append(_late(order))
            continue
        before, after = owed(now.lines), owed(order.lines)
        was, is_now = ({line for line, *_ in pieces} for pieces in (before, after))
        if was - is_now and is_now - was:
            faults.append(_others(order))
            continue
        removed, added = before - after, after - before
        _correct(parts, removed, added)
        _leave_out(parts, removed)
        for part in parts:
            name = part.order.id
            given[name] = replace(part.order, cut_off=order.cut_off, weight=order.weight)
            lines = lines_with(part.order.lines, part.left)
            if part.untouched and lines:
                given[name] = replace(given[name], lines=lines)
            elif part.untouched and name != order.id:
                del given[name]
            elif part.fewer:
                fewer.append(_change(part, given[name]))
        if added:
            name = _fresh(order.id, (*given, *taken))
            lines = lines_with(order.lines, added)
            given[name] = replace(order, id=name, lines=lines, on_top_of=order.id)
    if faults:
        raise BadInput(faults)
    return Changed(given=tuple(given.values()), fewer=tuple(fewer))


def as_it_is(plan: Plan, name: str) -> Order:
    """An order of a plan with all that was said of it since: what came on top, and what fell away."""
    parts = [_part(plan, part, ()) for part in (name, *_on_top(plan, name))]
    wanted: Counter[Garment] = Counter()
    for part in parts:
        wanted += part.left - part.unwanted
    lines = [line for part in parts for line in part.order.lines]
    return replace(parts[0].order, lines=lines_with(lines, wanted))


def order_meant(plan: Plan, typed: str) -> str:
    """The id of the order that is meant by a typed one: nobody can type what came on top as its id has it."""
    ids = [order.id for order in plan.given]
    on_top = [order.id for order in plan.given if order.on_top_of and _plain(order.id) == _plain(typed)]
    return on_top[0] if on_top and typed not in ids else typed


def names_meant(plan: Plan, between: Disruptions) -> Disruptions:
    """What came in between, as typed, with the names and ids of the plan.

    Presses and people are matched as those in workbooks are, without regard to capitals and spaces.
    """
    presses = [press.name for press in plan.shop.presses]
    people = [person.name for person in plan.shop.crew]
    return replace(
        between,
        down=tuple(replace(one, press=_name_meant(presses, one.press)) for one in between.down),
        away=tuple(replace(one, person=_name_meant(people, one.person)) for one in between.away),
        late_boxes=tuple(replace(one, order=order_meant(plan, one.order)) for one in between.late_boxes),
        cancelled=tuple(order_meant(plan, one) for one in between.cancelled),
    )


def _name_meant(known: Iterable[str], typed: str) -> str:
    """The name that is a typed one but for capitals and spaces; the typed one where none is."""

    def bare_name(name: str) -> str:
        return "".join(name.split()).casefold()

    return next((name for name in known if bare_name(name) == bare_name(typed)), typed)


def _others(order: Order) -> Fault:
    return Fault(
        code="order-under-way",
        source=order.source,
        found=f"order {order.id} is under way, and it has other garments or prints now",
        expected="other quantities, another cut-off, or further garments",
        mend="Put its lines back as they were, or cancel it and give what is to be pressed another number.",
    )


def _late(order: Order) -> Fault:
    return Fault(
        code="late-under-way",
        source=order.source,
        found=f"order {order.id} is under way, and garments or transfers of it come in later now",
        expected="other times of arrival only of an order of which nothing is begun",
        mend=f"Add --late-box {order.id}=TIME: what is not begun of it waits until then.",
    )


def _part(plan: Plan, name: str, begun: Collection[str]) -> _Part:
    order = next(one for one in plan.given if one.id == name)
    last = next((one for one in reversed(plan.between.fewer) if one.order.id == name), None)
    runs = tuple(task.id for task in plan.instance.tasks if task.job == name and task.id in begun)
    return _Part(
        order=order,
        left=owed(order.lines if last is None else last.order.lines),
        unwanted=owed(() if last is None else last.unwanted),
        begun=runs,
        contents=tuple(run.content for run in plan.runs if run.id in runs),
        cut=last is not None,
    )


def _on_top(plan: Plan, name: str) -> list[str]:
    return [order.id for order in plan.given if order.on_top_of == name]


def _plain(name: str) -> str:
    return name.replace(UNTYPED, " ")


def _fresh(order: str, there: Iterable[str]) -> str:
    # Told apart on paper too, where no space looks like another.
    read = {_plain(name) for name in there}
    name, number = f"{order}{UNTYPED}more", 2
    while _plain(name) in read:
        name, number = f"{order}{UNTYPED}more{UNTYPED}{number}", number + 1
    return name


def _change(part: _Part, order: Order) -> OrderChange:
    return OrderChange(
        order=replace(order, lines=lines_with(order.lines, part.left)),
        begun=part.begun,
        unwanted=lines_with(order.lines, part.unwanted),
    )


def _correct(parts: Sequence[_Part], removed: Counter[Garment], added: Counter[Garment]) -> None:
    """Put other names on garments where nothing that the names go on is begun."""
    for new in list(added):
        for old in [one for one in removed if one[:2] == new[:2]]:
            # What came on top last is the least likely to be begun.
            for part in reversed(parts):
                count = min(added[new], removed[old], part.left[old] - part.unwanted[old])
                if count < 1 or not _is_open(part, old, new):
                    continue
                there = part.order if part.untouched else _corrected(part.order, [(old, new)] * count)
                left = part.left - Counter({old: count}) + Counter({new: count})
                # By the order of the list a name may go on another garment: then this one stays as it is.
                if not part.untouched and owed(there.lines) != left:
                    continue
                part.order, part.left = there, left
                removed[old] -= count
                added[new] -= count
    for counted in (removed, added):
        for kind in [one for one, count in counted.items() if count < 1]:
            del counted[kind]


def _is_open(part: _Part, old: Garment, new: Garment) -> bool:
    """Whether names of a garment can be corrected without that what is begun changes."""
    if part.untouched or part.cut:
        return part.untouched
    line = old[0]
    was, will = Counter(old[2]) - Counter(new[2]), Counter(new[2]) - Counter(old[2])
    every = {one.placement for one in line.prints}
    places = {place for one in (*was, *will) for place in ([one.placement] if one.placement else every)}
    if not any(places.intersection(content.placements) and _holds(content, old) for content in part.contents):
        return True
    keys = [Counter((one.size, one.placement) for one in names.elements()) for names in (was, will)]
    return keys[0] == keys[1] and not any(
        _is_on(content, line.garment, line.colour, was) for content in part.contents
    )


def _holds(content: RunContent, kind: Garment) -> bool:
    line = kind[0]
    return any(
        (one.garment, one.colour, one.fabric) == (line.garment, line.colour, line.fabric)
        for one in content.pieces
    )


def _is_on(content: RunContent, garment: str, colour: str, names: Iterable[Named]) -> bool:
    """Whether a run presses one of some names."""
    said = {(garment, colour, one.name, one.number, one.placement) for one in names}
    return any(
        (one.garment, one.colour, one.name, one.number, one.placement) in said for one in content.names
    )


def _corrected(order: Order, pairs: Iterable[tuple[Garment, Garment]]) -> Order:
    """The order with other names in its lists, each in the place of that which it corrects."""
    lines = list(order.lines)
    for old, new in pairs:
        was, will = Counter(old[2]) - Counter(new[2]), list((Counter(new[2]) - Counter(old[2])).elements())
        fit = [at for at, line in enumerate(lines) if bare(line) == old[0] and not was - Counter(line.names)]
        if not fit:
            return order
        at = fit[0]
        names: list[Named | None] = list(lines[at].names)
        for one in was.elements():
            same = [each for each in will if (each.size, each.placement) == (one.size, one.placement)]
            names[names.index(one)] = same[0] if same else None
            if same:
                will.remove(same[0])
        lines[at] = replace(lines[at], names=(*(one for one in names if one is not None), *will))
    return replace(order, lines=tuple(lines))


def _leave_out(parts: Sequence[_Part], removed: Mapping[Garment, int]) -> None:
    """Take garments out that are no longer wanted, first where nothing of them is begun."""
    in_turn = sorted(parts, key=lambda part: (bool(part.begun), not part.order.on_top_of))
    for kind, count in removed.items():
        for only_open in (True, False):
            for part in in_turn:
                there = part.left[kind] - part.unwanted[kind]
                fewer = min(count, there, _not_begun(part, kind) if only_open else there)
                if fewer < 1:
                    continue
                count -= fewer
                part.fewer = True
                line, _, names = kind
                if any(_is_on(content, line.garment, line.colour, names) for content in part.contents):
                    part.unwanted[kind] += fewer
                else:
                    part.left[kind] -= fewer


def _not_begun(part: _Part, kind: Garment) -> int:
    """Of how many garments of a size nothing is begun."""
    line, size, _ = kind
    piece = (line.garment, line.colour, line.fabric, size)
    begun: Counter[str] = Counter()
    for content in part.contents:
        for one in content.pieces:
            if (one.garment, one.colour, one.fabric, one.size) == piece:
                begun.update(dict.fromkeys(content.placements, one.quantity))
    whole = sum(count for each, count in part.left.items() if each[:2] == kind[:2])
    return whole - max((begun[one.placement] for one in line.prints), default=0)


__all__ = ["Changed", "as_it_is", "changed_orders", "names_meant", "order_meant", "same_order"]
