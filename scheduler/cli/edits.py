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
        With every order and size that is not in the plan, or is there more than once.
    """
    from scheduler.planning.changed import as_it_is

    known = {order.id for order in plan.given}
    now: dict[str, Order] = {}
    faults: list[Fault] = []

    def of(name: str, option: str) -> Order | None:
        if name in known:
            if name not in now:
                now[name] = read.get(name) or as_it_is(plan, name)
            return now[name]
        faults.append(_fault(option, f'no order "{name}" in the plan', "an order of the plan"))
        return None

    for name, when in cut_offs:
        order = of(name, "--cut-off")
        if order is not None:
            now[name] = replace(order, cut_off=when)
    for text, count in quantities:
        name, _, size = text.rpartition("/") if text not in known else (text, "", "")
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
        sizes = list(line.sizes)
        sizes[place] = replace(sizes[place], quantity=count)
        lines = list(order.lines)
        lines[at] = replace(line, sizes=tuple(sizes), names=())
        now[name] = replace(order, lines=tuple(lines))
    if faults:
        raise BadInput(faults)
    return tuple(now.values())


def _fault(option: str, found: str, expected: str) -> Fault:
    return Fault(
        code="no-such-order" if option == "--cut-off" else "no-such-size",
        source=Source(file=option),
        found=found,
        expected=expected,
        mend="Write them as on the sheets, or change the orders file and give it by --changed.",
    )
