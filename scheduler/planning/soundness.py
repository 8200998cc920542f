"""What keeps a shop or its orders from being planned at all, found before anything is built.

Intake reports most of this by cell; here it is held for shops and orders that come another way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date

from scheduler.domain.faults import Fault, Source
from scheduler.domain.orders import Order
from scheduler.domain.shop import Element, Shop
from scheduler.planning.calendar import hours_on, working_dates


def find_faults(shop: Shop, orders: tuple[Order, ...], day: date) -> tuple[Fault, ...]:
    """Everything that keeps the orders from being planned from that day on."""
    return (
        *_shop_faults(shop),
        *_day_faults(shop, day),
        *_order_faults(shop, orders),
    )


def _fault(code: str, source: Source, found: str, expected: str, mend: str) -> Fault:
    if not source.file:
        source = Source(file="shop and orders")
    return Fault(code=code, source=source, found=found, expected=expected, mend=mend)


def _somewhere(shop: Shop) -> Source:
    kinds = (shop.presses, shop.platens, shop.placements, shop.recipes, shop.crew)
    for source in (thing.source for things in kinds for thing in things):
        if source.file:
            return Source(file=source.file)
    return Source(file="shop")


def _shop_faults(shop: Shop) -> Iterator[Fault]:
    whole = _somewhere(shop)
    if not shop.presses:
        yield _fault("no-press", whole, "no press", "at least one press", "Enter the shop's presses.")
    if not shop.crew:
        yield _fault("no-crew", whole, "nobody in the crew", "at least one person", "Enter the shop's crew.")
    yield from _doubled(shop)
    yield from _press_faults(shop)
    yield from _platen_faults(shop)
    for element in Element:
        for setup in dict.fromkeys(press.setup for press in shop.presses):
            if (element, setup) not in shop.elements:
                found = f"no time for '{element}' on a press with set-up '{setup}'"
                yield _fault(
                    "element-missing", whole, found, "seconds", "Enter the time, 0 if it takes none."
                )
    circle = _circle(shop)
    if circle:
        found = f"placements that must each come before the other: {' before '.join(circle)}"
        source = shop.placement(circle[0]).source
        yield _fault("placement-order", source, found, "an order without a circle", "Take one of them out.")
    for person in shop.crew:
        if not person.pace > 0:
            found = f"{person.name} has the pace {person.pace}"
            yield _fault("pace", person.source, found, "a pace above 0, 1 for the usual", "Correct the pace.")


def _doubled(shop: Shop) -> Iterator[Fault]:
    kinds: tuple[tuple[str, list[tuple[str, Source]]], ...] = (
        ("press", [(press.name, press.source) for press in shop.presses]),
        ("platen", [(platen.name, platen.source) for platen in shop.platens]),
        ("placement", [(placement.name, placement.source) for placement in shop.placements]),
        ("person", [(person.name, person.source) for person in shop.crew]),
        ("circuit", [(circuit.name, circuit.source) for circuit in shop.circuits]),
    )
    for kind, named in kinds:
        times = Counter(name for name, _ in named)
        for name, source in named:
            if times.pop(name, 0) > 1:
                found = f"{kind} {name} is there twice"
                yield _fault("name-twice", source, found, "each name once", "Give each a name of its own.")


def _press_faults(shop: Shop) -> Iterator[Fault]:
    platens = {platen.name for platen in shop.platens}
    circuits = {circuit.name: circuit for circuit in shop.circuits}
    for press in shop.presses:
        for platen in (*press.platens, press.mounted):
            if platen is not None and platen not in platens:
                found = f"{press.name} names the platen {platen}, which the shop does not have"
                yield _fault(
                    "platen-unknown", press.source, found, "a platen of the shop", "Correct the name."
                )
        if not press.heat_c_per_min > 0 or not press.cool_c_per_min > 0:
            found = f"{press.name}: {press.heat_c_per_min} °C a minute up, {press.cool_c_per_min} down"
            yield _fault("heating-rate", press.source, found, "rates above 0", "Enter degrees a minute.")
        if press.circuit is None:
            continue
        if press.circuit not in circuits:
            found = f"{press.name} is on the circuit {press.circuit}, which the shop does not have"
            yield _fault("circuit-unknown", press.source, found, "a circuit of the shop", "Correct the name.")
        elif press.watts > circuits[press.circuit].limit_w:
            found = (
                f"{press.name} draws {press.watts} W, the circuit {press.circuit} may carry "
                f"{circuits[press.circuit].limit_w} W for long"
            )
            mend = "Ask a licensed electrician; put the press on another circuit or correct the figures."
            yield _fault("circuit-too-weak", press.source, found, "a press that its circuit can carry", mend)


def _platen_faults(shop: Shop) -> Iterator[Fault]:
    mounted = Counter(press.mounted for press in shop.presses)
    for platen in shop.platens:
        if mounted[platen.name] > platen.count:
            found = (
                f"the platen {platen.name} is mounted {mounted[platen.name]} times, {platen.count} are owned"
            )
            mend = "Correct the number owned, or what is mounted on the presses."
            yield _fault("platen-count", platen.source, found, "no more mounted than owned", mend)


def _circle(shop: Shop) -> tuple[str, ...]:
    after = {placement.name: placement.after for placement in shop.placements}
    clear: set[str] = set()
    for start in after:
        path: list[str] = []
        circle = _walk(start, after, path, clear)
        if circle:
            return circle
    return ()


def _walk(name: str, after: dict[str, tuple[str, ...]], path: list[str], clear: set[str]) -> tuple[str, ...]:
    if name in path:
        return (*path[path.index(name) :][::-1], path[-1])
    if name in clear or name not in after:
        return ()
    path.append(name)
    for before in after[name]:
        circle = _walk(before, after, path, clear)
        if circle:
            return circle
    path.pop()
    clear.add(name)
    return ()


def _day_faults(shop: Shop, day: date) -> Iterator[Fault]:
    if not shop.crew:
        return
    coming = working_dates(shop, day, 1)
    if coming == (day,):
        return
    whole = _somewhere(shop)
    if not coming:
        yield _fault(
            "no-open-hours",
            whole,
            f"nobody is there in open hours in the year from {day}",
            "open hours in which somebody of the crew is there",
            "Correct the shop's hours, its closed days or the crew's shifts.",
        )
        return
    why = "nobody of the crew is there" if hours_on(shop, day) else "the shop is closed"
    yield _fault(
        "day-closed",
        whole,
        f"on {day:%A} {day} {why}",
        "a working day to plan",
        f"Plan {coming[0]}, or correct the hours, the closed days or the crew's shifts.",
    )


def _order_faults(shop: Shop, orders: tuple[Order, ...]) -> Iterator[Fault]:
    if not orders:
        found = "no orders"
        yield _fault(
            "no-orders", Source(file="orders"), found, "at least one order", "Enter the orders to press."
        )
    times = Counter(order.id for order in orders)
    placements = {placement.name for placement in shop.placements}
    for order in orders:
        if times.pop(order.id, 0) > 1:
            found = f"order {order.id} is there twice"
            mend = "Give each order a number of its own, or put their lines together."
            yield _fault("order-twice", order.source, found, "each order number once", mend)
        if not any(line.prints and line.quantity > 0 for line in order.lines):
            found = f"order {order.id} has nothing to press"
            mend = "Enter quantities and placements, or take the order out."
            yield _fault("nothing-to-press", order.source, found, "garments and a placement", mend)
        for line in order.lines:
            for printed in line.prints:
                if printed.placement not in placements:
                    found = f"order {order.id}: the shop has no placement {printed.placement}"
                    yield _fault(
                        "placement-unknown", printed.source, found, "a placement of the shop", "Correct it."
                    )
                if shop.recipe(printed.transfer, line.fabric) is None:
                    found = (
                        f"order {order.id}: the shop has no recipe for {printed.transfer} on {line.fabric}"
                    )
                    mend = "Add the recipe from the maker's sheet, or correct the transfer or the fabric."
                    yield _fault("recipe-missing", printed.source, found, "a recipe of the shop", mend)
