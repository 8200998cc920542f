"""Orders of a plan with another cut-off or quantity, as typed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from scheduler.domain.orders import Order
    from scheduler.domain.plan import Plan


def edited(
    plan: Plan,
    read: dict[str, Order],
    cut_offs: Iterable[tuple[str, datetime]],
    quantities: Iterable[tuple[str, int]],
) -> tuple[Order, ...]:
    """Orders with what was typed of them.

    Parameters
    ----------
    read
        Orders that a file read again gives, by id: they are changed on.
    cut_offs
        Order and its new cut-off.
    quantities
        Order, or order/size, and how many pieces it has now.

    Raises
    ------
    BadInput
        With every order and size that is not in the plan, or is there more than once, and every size whose
        pieces have names: nobody could say whose piece it is that comes or goes.
    """
    from scheduler.planning.asked import on_top_fault
    from scheduler.planning.changed import as_it_is, order_meant

    known = {order.id for order in plan.given}
    on_top = {order.id: order for order in plan.given if order.on_top_of}
    now: dict[str, Order] = {}
    faults: list[Fault] = []

    def of(name: str, option: str) -> Order | None:
        meant = order_meant(plan, name)
        if meant in on_top:
            faults.append(replace(on_top_fault(on_top[meant]), source=Source(file=f"{option} {name}")))
            return None
        if name in known:
            if name not in now:
                now[name] = read.get(name) or as_it_is(plan, name)
            return now[name]
        faults.append(_fault(option, f'no order "{name}" in the plan of {plan.day}', "an order of that plan"))
        return None

    for name, when in cut_offs:
        order = of(name, "--cut-off")
        if order is not None:
            now[name] = replace(order, cut_off=when)
    for text, count in quantities:
        whole = order_meant(plan, text) in known
        name, _, size = text.rpartition("/") if not whole else (text, "", "")
        if not name:
            name, size = size, ""
        order = of(name, "--quantity")
        if order is None:
            continue
        places = [
            (at, place)
            for at, line in enumerate(order.lines)
            for place, sized in enumerate(line.sizes)
            if size in ("", sized.size)
        ]
        if len(places) != 1:
            there = ", ".join(sized.size or "no size" for line in order.lines for sized in line.sizes)
            several = f"has several sizes: {there}" if not size else f"has size {size} in {len(places)} lines"
            found = f'"{text}": order {name} {several if places else f"has no size {size}, only {there}"}'
            example = f"{name}/{order.lines[0].sizes[0].size}={count}"
            faults.append(_fault("--quantity", found, f"one size, that is there once, such as {example}"))
            continue
        ((at, place),) = places
        line = order.lines[at]
        if line.names:
            faults.append(_with_names(text, name))
            continue
        sizes = list(line.sizes)
        sizes[place] = replace(sizes[place], quantity=count)
        lines = list(order.lines)
        lines[at] = replace(line, sizes=tuple(sizes))
        now[name] = replace(order, lines=tuple(lines))
    if faults:
        raise BadInput(faults)
    return tuple(now.values())


def _with_names(text: str, order: str) -> Fault:
    return Fault(
        code="quantity-with-names",
        source=Source(file="--quantity"),
        found=f'"{text}": pieces of order {order} have names or numbers of their own',
        expected="which names come on top, or go",
        mend="Change orders file and list of names, and give them by --changed.",
    )


def _fault(option: str, found: str, expected: str) -> Fault:
    return Fault(
        code="no-such-order" if option == "--cut-off" else "no-such-size",
        source=Source(file=option),
        found=found,
        expected=expected,
        mend="Write them as on the sheets, give --day for the plan of another day, or change the orders file "
        "and give it by --changed.",
    )
