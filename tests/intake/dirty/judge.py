"""Whether what was read of a dirtied sheet is the truth, or is questioned at the right cell."""

from __future__ import annotations

import random
import tempfile
import traceback
from collections import Counter
from dataclasses import replace
from pathlib import Path

from scheduler.domain.faults import Severity
from scheduler.domain.orders import Order
from scheduler.intake import default_shop, scan_orders
from scheduler.intake.words import name_key
from tests.intake.books import bare
from tests.intake.dirty.files import KINDS, as_bytes, cell_names, names_file
from tests.intake.dirty.shapes import SHAPES
from tests.intake.dirty.sheet import DAY, Dirty, NotFit, sound
from tests.intake.dirty.ways import ALWAYS_LAST, WAYS

SHOP = default_shop()


def dirtied(seed: int) -> tuple[Dirty, str, bytes]:
    """A dirtied sheet, its kind of file and its bytes; the same for the same seed."""
    dice = random.Random(seed)
    dirty = sound(dice, SHOP)
    kind = dice.choice(KINDS)
    ways = [
        *(shape for shape in SHAPES if dice.random() < 0.25),
        *dice.sample(WAYS, dice.choice([1, 1, 1, 2, 3])),
        *(w for w in ALWAYS_LAST if dice.random() < 0.3),
    ]
    for way in ways:
        try:
            mark = way(dirty, dice)
        except NotFit:
            continue
        if mark is not None:
            dirty.marks.append(mark)
    return dirty, kind, as_bytes(dirty, kind, dice)


def _alike(one: Order) -> Order:
    lines = tuple(
        replace(line, note="", prints=tuple(sorted(line.prints, key=lambda p: p.placement)))
        for line in one.lines
    )
    return bare(
        replace(one, lines=tuple(sorted(lines, key=lambda line: (line.garment, line.colour, line.fabric))))
    )  # type: ignore[no-any-return]


def judged(seed: int, outcomes: Counter[str] | None = None) -> list[str]:
    """What is wrong with how one dirtied sheet was read; empty when nothing is."""
    dirty, kind, data = dirtied(seed)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"orders.{kind}"
        path.write_bytes(data)
        paths = [path]
        if kind == "csv" and dirty.names:
            paths.append(path.with_name("names.csv"))
            paths[-1].write_bytes(names_file(dirty))
        try:
            orders, found = scan_orders(paths, SHOP, DAY)
        except Exception:
            return [f"seed {seed}, {kind}: {traceback.format_exc(limit=-4)}"]
    read = {name_key(order.id): order for order in orders}
    about = f"seed {seed}, {kind}, {'+'.join(mark.way for mark in dirty.marks)}"
    wrong = [f"{about}: order {one!r} is none" for one in read if one not in map(name_key, dirty.truth)]
    said_of = {one.source.cell for one in found}
    for number, cells in dirty.gone.items():
        if outcomes is not None:
            outcomes["left-out: said"] += 1
        if not cell_names(dirty, cells) & said_of:
            wrong.append(f"{about}: order {number} left out, unsaid")
    for number, order in dirty.truth.items():
        there = read.get(name_key(number))
        marks = [mark for mark in dirty.marks if number in mark.orders]
        asked = {
            one.severity.value: one
            for one in found
            for mark in marks
            if one.source.cell in cell_names(dirty, mark.cells) and one.severity.value in mark.allowed
        }
        same = there is not None and _alike(there) == _alike(order)
        if outcomes is not None:
            for mark in marks:
                outcomes[f"{mark.way}: {'same' if same else ', '.join(sorted(asked)) or 'SILENT'}"] += 1
        if same and all("same" in mark.allowed for mark in marks):
            continue
        if not asked:
            said = [f"{one.source.cell} {one.code}" for one in found]
            state = (
                "missing" if there is None else "same" if same else f"different: {_difference(there, order)}"
            )
            wrong.append(f"{about}: order {number} {state}; said: {said}")
        elif not same and there is not None and all(one.severity is Severity.FAULT for one in asked.values()):
            wrong.append(f"{about}: order {number} read though faulty: {_difference(there, order)}")
    return wrong


def _difference(read: Order, truth: Order) -> str:
    one, other = _alike(read), _alike(truth)
    if len(one.lines) != len(other.lines):
        return f"{len(one.lines)} lines, not {len(other.lines)}"
    for left, right in zip(one.lines, other.lines, strict=True):
        if left != right:
            return f"{left} is not {right}"[:700]
    facts = [f"{order.id!r}, {order.customer!r}, {order.cut_off}, {order.weight}" for order in (one, other)]
    return " is not ".join(facts)
