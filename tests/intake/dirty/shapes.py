"""Shapes that sheets of orders have, made before anything else is done to them."""

from __future__ import annotations

import random
import tomllib
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import Any

from scheduler.domain.orders import Named
from tests.intake.dirty.sheet import ASKED, FAULT, SAME, Cell, Dirty, Line, Mark, NotFit

Shape = Callable[[Dirty, random.Random], Mark | None]

_PLACES = ("de", "es", "fr")
_STATUSES = {
    "done": ("done", "Erledigt", "Terminado", "shipped"),
    "cancelled": ("cancelled", "Storniert", "Cancelado", "Annulé"),
    "on hold": ("on hold", "On Hold", "angehalten", "En attente"),
}
_NAMES = ("Zoë", "O'Neill", "Łukasz", "Ñandú", "de la Cruz", "Müller-Lüdenscheidt", "07", "=Bo", "Élan 🎽")


def long(dirty: Dirty, dice: random.Random) -> Mark | None:
    """Sizes as rows: one for each size of each print."""
    sizes = [cell for cell in dirty.head.cells if cell.key.startswith("size ")]
    more = [Cell("Size", "label"), Cell(dice.choice(["Quantity", "Qty", "Pieces"]), "size *")]
    lines = []
    for line in dirty.lines:
        kept = [cell for cell in line.cells if not cell.key.startswith("size ") and cell.key != "total"]
        for one in sizes:
            count = line.cell(one.key).value
            if count is not None:
                cells = [Cell(cell.value, cell.key) for cell in kept]
                lines.append(Line([*cells, Cell(one.value, "label"), Cell(count, "size *")], line.order))
    head = [cell for cell in dirty.head.cells if not cell.key.startswith("size ") and cell.key != "total"]
    dirty.head.cells = [*head, *more]
    dirty.lines = lines
    return Mark("long", SAME)


def two_rows(dirty: Dirty, dice: random.Random) -> Mark | None:
    """Headings in two rows: a word over the sizes, the others in the upper or the lower row."""
    sizes = [number for number, cell in enumerate(dirty.head.cells) if cell.key.startswith("size ")]
    if len(sizes) < 2:
        raise NotFit
    upper = [Cell(None, cell.key) for cell in dirty.head.cells]
    upper[sizes[0]].value = dice.choice(["Sizes", "Quantities", "Adult", "Stückzahlen"])
    if dice.random() < 0.5:
        for number, cell in enumerate(dirty.head.cells):
            if number not in sizes:
                upper[number].value, cell.value = cell.value, None
    dirty.upper = Line(upper)
    dirty.merged.append((upper[sizes[0]], upper[sizes[-1]]))
    return Mark("two-rows", SAME)


def status(dirty: Dirty, dice: random.Random) -> Mark | None:
    """A column that says of some orders that they are not to be pressed."""
    out = [number for number in dirty.truth if dice.random() < 0.4]
    said = {number: dice.choice(_STATUSES[dice.choice(list(_STATUSES))]) for number in out}
    other = dice.choice([None, "open", "offen", "to press"])
    dirty.head.cells.append(Cell(dice.choice(["Status", "State", "Auftragsstatus"]), "status"))
    for line in dirty.lines:
        line.cells.append(Cell(said.get(line.order, other), "status"))
    for number in out:
        dirty.gone[number] = [line.cells[-1] for line in dirty.lines if line.order == number]
        del dirty.truth[number]
    return Mark("status", SAME)


def names(dirty: Dirty, dice: random.Random) -> Mark | None:
    """A list of names and numbers beside the orders."""
    rows: list[Line] = []
    for number, order in dirty.truth.items():
        line = order.lines[0]
        alike = [other for other in order.lines if other.garment == line.garment]
        place = line.prints[0].placement
        if len(alike) > 1 or dice.random() < 0.3:
            continue
        found = []
        for sized in line.sizes:
            for at in range(min(sized.quantity, dice.randint(0, 4))):
                found.append(
                    Named(size=sized.size, name=dice.choice(_NAMES), number=f"{at:02d}", placement=place)
                )
        dirty.truth[number] = replace(order, lines=(replace(line, names=tuple(found)), *order.lines[1:]))
        for one in found:
            values: dict[str, Any] = {"order": number, "garment": line.garment, "size name": one.size}
            values |= {"name": one.name, "number": one.number, "placement": place}
            rows.append(Line([Cell(value, key) for key, value in values.items()], number))
    if not rows:
        return None
    labels = ["Order", "Garment", "Size", dice.choice(["Name", "Player"]), "Number", "Placement"]
    dirty.names = [Line([Cell(label) for label in labels]), *rows]
    if dice.random() < 0.7:
        return Mark("names", SAME)
    wrong = dice.choice(rows)
    key, value = dice.choice([("size name", "9XL"), ("placement", "left chst"), ("garment", "cap")])
    cell = wrong.cell(key)
    cell.value = value
    return Mark("wrong-name", FAULT, frozenset({wrong.order}), wrong.cells)


@cache
def _words(language: str) -> dict[str, Any]:
    text = files("scheduler.intake").joinpath("words", f"{language}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def foreign(dirty: Dirty, dice: random.Random) -> Mark | None:
    """Headings and values in German, French or Spanish."""
    known = _words(dice.choice(_PLACES))
    for cell in dirty.head.cells:
        ways = known["headings"]["orders"].get(cell.key) or known["sides"].get(cell.key)
        if ways and cell.value is not None:
            unit = " mm" if cell.key in ("width_mm", "height_mm") else ""
            cell.value = dice.choice(ways) + unit
    for line in dirty.of_order():
        for key in ("placement", "fabric"):
            ways = known["names"].get(key, {}).get(line.cell(key).value)
            if ways:
                line.cell(key).value = dice.choice(ways)
    return Mark("foreign", ASKED, frozenset(dirty.truth), [*dirty.head.cells])


def centimetres(dirty: Dirty, dice: random.Random) -> Mark | None:
    """Widths in cm, as text with a point or a comma, or as numbers."""
    cells = [line.cell("width_mm") for line in dirty.of_order()]
    head = dirty.head.cell("width_mm")
    if head.value is None or dirty.upper is not None or "mm" not in str(head.value):
        raise NotFit
    head.value, head.key = str(head.value).replace("mm", "cm"), "width cm"
    form: Callable[[float], Any] = dice.choice(
        [float, "{:.1f}".format, lambda cm: f"{cm:.1f}".replace(".", ",")]
    )
    for cell in cells:
        cell.value = form(cell.value / 10)
    return Mark("centimetres", SAME)


SHAPES: tuple[Shape, ...] = (long, names, status, foreign, two_rows, centimetres)
