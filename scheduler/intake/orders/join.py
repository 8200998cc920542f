"""From rows to orders: which rows are the same garments, and when each order is due."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import TypeVar

from scheduler.domain.faults import Source
from scheduler.domain.orders import Order, OrderLine, Print, Sized
from scheduler.domain.shop import Courier, Shop
from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.orders.repeats import style_key
from scheduler.intake.orders.rows import Entry, Facts
from scheduler.intake.orders.spelling import doubt_spelt_apart
from scheduler.intake.shop.layout import DAYS
from scheduler.intake.shop.words import ShopWords
from scheduler.intake.words import name_key

MISSED = timedelta(days=7)
"""An order whose cut-off is no longer past than this has slipped, and is planned as late (own choice)."""

_LOOK_AHEAD_DAYS = 28

_T = TypeVar("_T")
_Said = TypeVar("_Said", Entry, Facts)


@dataclass(slots=True)
class _Garments:
    """Rows that are the same garments."""

    entries: list[Entry]
    prints: list[Print] = field(default_factory=list)
    garments_in: datetime | None = None
    sizes: tuple[Sized, ...] = ()

    @property
    def first(self) -> Entry:
        return self.entries[0]


def join_order(
    facts: Sequence[Facts], entries: Sequence[Entry], shop: ShopWords, findings: Findings
) -> Order | None:
    """One order from its rows, in the order of the sheet; None when something is wrong with it.

    Parameters
    ----------
    facts
        Of every row of the order.
    entries
        Of its sound rows.
    """
    known = findings.fault_count
    customer = _agreed(facts, "customer", "customers", lambda one: one.customer, key=name_key)
    _agreed(facts, "cut_off_date", "cut-offs", lambda one: one.cut_off_date)
    _agreed(facts, "cut_off_time", "cut-offs", lambda one: one.cut_off_time)
    courier = _agreed(facts, "courier", "couriers", lambda one: one.courier)
    weight = _agreed(facts, "priority", "priorities", lambda one: one.weight)
    first = facts[0]
    if not any(one.row.has("customer") or one.row.lacks("customer") for one in facts):
        mend = "Fill in the customer on the order's first row."
        first.row.fault("value-missing", "customer", "no customer", "the customer's name", mend)
    lines = _lines(entries, shop)
    agreed = findings.fault_count == known
    cut_off = None
    if shop.shop is not None and agreed and len(entries) == len(facts):
        cut_off = _cut_off(facts, courier, shop.shop, shop.day)
    elif shop.usual and agreed and len(entries) == len(facts):
        cut_off = _plain_cut_off(facts, shop.day)
    if cut_off is None:
        _look_at_past(facts, shop)
        return None
    known = findings.fault_count
    past = _look_at_past(facts, shop)
    if customer is None or findings.fault_count > known:
        return None
    if not past:
        _doubt_late_arrivals(lines, cut_off)
    return Order(
        id=first.order,
        customer=customer,
        cut_off=cut_off,
        weight=1 if weight is None else weight,
        lines=tuple(_order_line(group) for group in lines),
        source=first.row.source("order"),
    )


def _agreed(
    said: Iterable[_Said],
    column: str,
    what: str,
    value: Callable[[_Said], _T | None],
    key: Callable[[_T], object] = lambda one: one,
) -> _T | None:
    """The one value that an order's rows give; blanks count for nothing, a second value is a fault."""
    first: _T | None = None
    cell = written = ""
    for entry in said:
        one = value(entry)
        if one is None:
            continue
        if first is None:
            first, cell, written = one, entry.row.source(column).cell, _written(entry, column, one)
        elif key(one) != key(first):
            found = f"{shown(_written(entry, column, one))} in an order with {shown(written)} in {cell}"
            mend = "Correct one of them, or give the rows another order number."
            entry.row.fault(f"two-{what}", column, found, "the same in all rows of the order", mend)
    return first


def _written(entry: _Said, column: str, value: object) -> str:
    """A value as it stands in its cell, where that is a text."""
    raw = entry.row.value(column)
    return raw.strip() if isinstance(raw, str) and raw.strip() else str(value)


def _lines(entries: Sequence[Entry], shop: ShopWords) -> list[_Garments]:
    """The garments of an order; rows with equal style, sizes and line number are the same ones."""
    groups: dict[Hashable, _Garments] = {}
    for entry in entries:
        group = groups.setdefault((_style(entry), entry.sizes), _Garments([], sizes=entry.sizes))
        group.entries.append(entry)
    lines = list(groups.values())
    for group in lines:
        _gather(group)
    lines = _over_sizes(lines, shop)
    _doubt_unclear(lines)
    doubt_spelt_apart([(group.first, group.sizes, group.prints) for group in lines])
    return lines


def _style(entry: Entry) -> Hashable:
    return style_key(entry.garment), style_key(entry.colour), entry.fabric, name_key(entry.line)


def _gather(group: _Garments) -> None:
    """Collect the prints of the same garments; a placement can be there only once."""
    places: dict[str, Source] = {}
    for entry in group.entries:
        for one in entry.prints:
            first = places.setdefault(one.placement, one.source)
            if one.source != first:
                where = first.cell if one.source.sheet == first.sheet else f"{first.sheet}!{first.cell}"
                found = f"placement {shown(one.placement)} on the same garments as in {where}"
                expected = "each placement once on the same garments"
                mend = 'Delete one row, or tell the garments apart by numbers in a column "Line".'
                entry.row.fault("placement-twice", "placement", found, expected, mend)
            group.prints.append(one)
    group.garments_in = _agreed(group.entries, "garments_in", "arrivals", lambda entry: entry.garments_in)


def _over_sizes(lines: Sequence[_Garments], shop: ShopWords) -> list[_Garments]:
    """Put lines that differ in size only into one: that is how sizes as rows become a line."""
    merged: dict[Hashable, list[_Garments]] = {}
    for group in lines:
        prints = tuple(
            (one.placement, one.transfer, one.artwork, one.width_mm, one.height_mm, one.transfers_in)
            for one in sorted(group.prints, key=lambda one: one.placement)
        )
        key = (_style(group.first), prints, group.garments_in)
        there = {sized.size for sized in group.sizes}
        for other in merged.setdefault(key, []):
            if there.isdisjoint(sized.size for sized in other.sizes):
                other.entries.extend(group.entries)
                sizes = sorted((*other.sizes, *group.sizes), key=lambda sized: shop.sizes.place(sized.size))
                other.sizes = tuple(sizes)
                break
        else:
            merged[key].append(group)
    order = {id(group): number for number, group in enumerate(lines)}
    return sorted(
        (group for groups in merged.values() for group in groups), key=lambda group: order[id(group)]
    )


def _doubt_unclear(lines: Sequence[_Garments]) -> None:
    """Doubt rows that may be the same garments but differ in quantities."""
    for number, group in enumerate(lines):
        for other in lines[:number]:
            if group.first.line or _style(group.first) != _style(other.first):
                continue
            apart = {one.placement for one in group.prints}.isdisjoint(one.placement for one in other.prints)
            shared = {one.size for one in group.sizes} & {one.size for one in other.sizes}
            if apart and shared:
                row, other_row = group.first.row, other.first.row
                found = f"the same garment as in row {other_row.index + 1}, with other quantities"
                expected = "the same quantities for the same garments"
                mend = "They are taken as different garments; if they are the same, mend the quantities."
                row.doubt("same-garments-unclear", "garment", found, expected, mend)
                break


def _order_line(group: _Garments) -> OrderLine:
    first = group.first
    notes = dict.fromkeys(entry.note for entry in group.entries if entry.note)
    return OrderLine(
        garment=first.garment,
        colour=first.colour,
        fabric=first.fabric,
        sizes=group.sizes,
        prints=tuple(group.prints),
        garments_in=group.garments_in,
        note="; ".join(notes),
        source=first.row.source("garment"),
    )


def _doubt_late_arrivals(lines: Sequence[_Garments], cut_off: datetime) -> None:
    for group in lines:
        arrivals = [
            ("garments_in", group.garments_in),
            *(("transfers_in", one.transfers_in) for one in group.prints),
        ]
        for column, arrival in arrivals:
            if arrival is not None and arrival >= cut_off:
                found = f"{column.replace('_', ' ')} at {arrival:%Y-%m-%d %H:%M}"
                expected = f"before the cut-off, {cut_off:%Y-%m-%d %H:%M}"
                mend = "Check it; the order will be late."
                group.first.row.doubt("arrives-after-cut-off", column, found, expected, mend)
                break


def _cut_off(facts: Sequence[Facts], courier_name: str | None, shop: Shop, day: date) -> datetime | None:
    """When the order is due: what its rows say, completed from its courier and the shop's hours."""
    dated = next((entry for entry in facts if entry.cut_off_date), None)
    timed = next((entry for entry in facts if entry.cut_off_time), None)
    couriers = {courier.name: courier for courier in shop.couriers}
    courier = couriers.get(courier_name or "") or next(iter(shop.couriers), None)
    at = timed.cut_off_time if timed else None
    if dated is None or dated.cut_off_date is None:
        if at is not None:
            return datetime.combine(day, at)
        return _next_collection(facts[0], courier, shop, day)
    on = dated.cut_off_date
    if at is not None:
        return datetime.combine(on, at)
    if courier and on.weekday() in courier.cut_offs:
        return datetime.combine(on, courier.cut_offs[on.weekday()])
    return _closing(dated, on, courier, shop)


def _plain_cut_off(facts: Sequence[Facts], day: date) -> datetime:
    """Without a shop: as written, the planned day for a date and the end of the day for a time."""
    on = next((entry.cut_off_date for entry in facts if entry.cut_off_date), day)
    at = next((entry.cut_off_time for entry in facts if entry.cut_off_time), time(23, 59))
    return datetime.combine(on, at)


def _look_at_past(facts: Sequence[Facts], shop: ShopWords) -> bool:
    """Note a cut-off before the planned day; True when there is one.

    An order may have slipped and is still to be pressed: that is a doubt. Longer ago it is more likely a
    slip of the pen, or the sheet of another week: a fault.
    """
    dated = next(
        (entry for entry in facts if entry.cut_off_date and entry.cut_off_date < shop.past_before), None
    )
    if dated is None or dated.cut_off_date is None:
        return False
    found = f"cut-off {dated.cut_off_date}, which is past"
    what = "the day that is planned" if shop.past_before == shop.day else "the day it is today"
    expected = f"{shop.past_before} or later, {what}"
    if shop.past_before - dated.cut_off_date <= MISSED:
        mend = "Planned as late. Take the order out if it has gone, or correct the date."
        dated.row.doubt("cut-off-missed", "cut_off_date", found, expected, mend)
    else:
        mend = (
            "Correct the date, or take the order out. If it is still to be pressed: up to "
            f"{MISSED.days} days back it is planned as late."
        )
        dated.row.fault("cut-off-past", "cut_off_date", found, expected, mend)
    return True


def _next_collection(entry: Facts, courier: Courier | None, shop: Shop, day: date) -> datetime | None:
    """The courier's cut-off on the planned day, or at its next coming."""
    if courier is None or not courier.cut_offs:
        return _closing(entry, day, courier, shop)
    for ahead in range(_LOOK_AHEAD_DAYS):
        on = day + timedelta(days=ahead)
        if on.weekday() not in courier.cut_offs or on in shop.closed_days:
            continue
        due = datetime.combine(on, courier.cut_offs[on.weekday()])
        if ahead:
            found = f"no cut-off, and courier {shown(courier.name)} does not come on {_named(day)}"
            mend = f"Taken as {due:%Y-%m-%d %H:%M}, when it comes next; fill in the cut-off if that is wrong."
            entry.row.doubt("cut-off-taken-later", "cut_off_date", found, "a cut-off", mend)
        return due
    return _closing(entry, day, courier, shop)


def _closing(entry: Facts, on: date, courier: Courier | None, shop: Shop) -> datetime | None:
    """Closing time on a date, with a doubt; a fault when the shop is closed then."""
    who = (
        f"courier {shown(courier.name)} does not come on {_named(on)}"
        if courier
        else "the shop has no courier"
    )
    hours = shop.hours.get(on.weekday())
    if hours is None or on in shop.closed_days:
        found = f"no cut-off time; {who}, and the shop is closed then"
        mend = "Fill in the cut-off time, or another date."
        entry.row.fault("cut-off-unclear", "cut_off_time", found, "a cut-off time", mend)
        return None
    found = f"no cut-off time, and {who}"
    mend = f"Taken as closing time, {hours.close:%H:%M}; fill in the time if that is wrong."
    entry.row.doubt("cut-off-at-closing", "cut_off_time", found, "a cut-off time", mend)
    return datetime.combine(on, hours.close)


def _named(on: date) -> str:
    return f"{DAYS[on.weekday()]} {on}"
