"""Ways of dirtying a sheet, each with what may come of it.

The mess is that of order spreadsheets in the trade: common practice, no source.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date
from typing import Any

from scheduler.intake.files.grid import Unread
from scheduler.intake.words import words
from tests.intake.dirty.sheet import ASKED, DOUBT_OR_FAULT, FAULT, SAME, Cell, Dirty, Line, Mark, NotFit

Way = Callable[[Dirty, random.Random], Mark | None]

_NAMES = ("placement", "transfer", "fabric")


def _some(dirty: Dirty, dice: random.Random) -> Line:
    return dice.choice(dirty.of_order())


def _cell(line: Line, key: str, kind: type = str) -> Cell:
    """A cell that still holds what it did at first."""
    cell = line.cell(key)
    if not isinstance(cell.value, kind) or (isinstance(cell.value, str) and "+" in cell.value):
        raise NotFit
    return cell


def _sized(dirty: Dirty, dice: random.Random) -> tuple[Line, Cell]:
    """A row and one of its quantities."""
    line = _some(dirty, dice)
    fit = [c for c in line.cells if c.key.startswith("size ") and isinstance(c.value, int) and c.value > 0]
    if not fit:
        raise NotFit
    return line, dice.choice(fit)


def _one(line: Line, cell: Cell, way: str, allowed: frozenset[str]) -> Mark:
    # what is wrong with one row shows at that row: at the cell, at its total or at the order's number
    near = [cell, *(one for one in line.cells if one.key in ("total", "order", "garment", "placement"))]
    return Mark(way, allowed, frozenset({line.order}), near)


def spaces(dirty: Dirty, dice: random.Random) -> Mark | None:
    for line in dirty.all_lines():
        for cell in line.cells:
            if isinstance(cell.value, str) and dice.random() < 0.4:
                inner = dice.choice([" ", "  ", "\u00a0"])
                cell.value = f"{dice.choice(['', ' '])}{cell.value.replace(' ', inner)} "
    return Mark("spaces", SAME)


def capitals(dirty: Dirty, dice: random.Random) -> Mark | None:
    cell = _cell(_some(dirty, dice), dice.choice(_NAMES))
    cell.value = dice.choice([str.upper, str.title])(cell.value)
    return Mark("capitals", SAME)


def other_sizes(dirty: Dirty, dice: random.Random) -> Mark | None:
    for cell in dirty.head.cells:
        if cell.value == "2XL":
            cell.value = dice.choice(["XXL", "2X", "xxl", "2xl"])
        elif cell.value == "3XL":
            cell.value = dice.choice(["XXXL", "3X", "Qty 3XL"])
    return Mark("other-sizes", SAME)


def other_headings(dirty: Dirty, dice: random.Random) -> Mark | None:
    known = words().headings["orders"]
    for cell in dirty.head.cells:
        ways = [spelling for spelling, key in known.items() if key == cell.key]
        if ways and cell.value is not None and dice.random() < 0.5:
            cell.value = dice.choice([str.title, str.upper, str.lower])(dice.choice(ways))
    return Mark("other-headings", ASKED, frozenset(dirty.truth), dirty.head.cells)


def text_quantity(dirty: Dirty, dice: random.Random) -> Mark | None:
    cell = _sized(dirty, dice)[1]
    cell.value = dice.choice(["{}", " {}", "{}.0"]).format(cell.value)
    return Mark("text-quantity", SAME)


def counted(dirty: Dirty, dice: random.Random) -> Mark | None:
    line, cell = _sized(dirty, dice)
    cell.value = dice.choice(["{} pcs", "{}x", "{} pieces", "{} (rush)", "{} ?", "ca. {}", "{} + 1"]).format(
        cell.value
    )
    return _one(line, cell, "counted", ASKED)


def dozens(dirty: Dirty, dice: random.Random) -> Mark | None:
    line, cell = _sized(dirty, dice)
    if cell.value % 12:
        return None
    cell.value = f"{cell.value // 12} {dice.choice(['doz', 'dozen', 'dz'])}"
    return _one(line, cell, "dozens", ASKED)


def letter_o(dirty: Dirty, dice: random.Random) -> Mark | None:
    line, cell = _sized(dirty, dice)
    if "0" not in str(cell.value):
        return None
    cell.value = str(cell.value).replace("0", dice.choice("Oo"))
    return _one(line, cell, "letter-o", ASKED)


def science(dirty: Dirty, dice: random.Random) -> Mark | None:
    line, cell = _sized(dirty, dice)
    cell.value = f"{cell.value:.1E}" if cell.value >= 10 else f"{cell.value}E+00"
    return _one(line, cell, "science", ASKED)


def zeros(dirty: Dirty, dice: random.Random) -> Mark | None:
    for line in dirty.of_order():
        for cell in line.cells:
            if cell.key.startswith("size ") and cell.value is None:
                cell.value = dice.choice([0, 0, "0", None])
    return Mark("zeros", SAME)


def minus(dirty: Dirty, dice: random.Random) -> Mark | None:
    line, cell = _sized(dirty, dice)
    cell.value = dice.choice([-cell.value, cell.value + 0.5, "many", 10**7])
    return _one(line, cell, "no-quantity", FAULT)


def wrong_total(dirty: Dirty, dice: random.Random) -> Mark | None:
    line = _some(dirty, dice)
    cell = _cell(line, "total", int)
    cell.value += dice.choice([1, -1, 100])
    return _one(line, cell, "wrong-total", DOUBT_OR_FAULT)


def typo(dirty: Dirty, dice: random.Random) -> Mark | None:
    line = _some(dirty, dice)
    cell = _cell(line, dice.choice(_NAMES))
    at = dice.randrange(1, len(cell.value) - 1)
    cell.value = cell.value[:at] + dice.choice(["", "x", cell.value[at] * 2]) + cell.value[at + 1 :]
    return _one(line, cell, "typo", ASKED)


def blank(dirty: Dirty, dice: random.Random) -> Mark | None:
    line = _some(dirty, dice)
    cell = line.cell(dice.choice(["garment", "fabric", "placement", "transfer", "artwork"]))
    cell.value = None
    return _one(line, cell, "blank", DOUBT_OR_FAULT)


def dates(dirty: Dirty, dice: random.Random) -> Mark | None:
    line = _some(dirty, dice)
    on: date = _cell(line, "cut_off_date", date).value
    forms = [f"{on:%d/%m/%Y}", f"{on:%m/%d/%Y}", f"{on:%d.%m.%y}", f"{on:%d %b}", f"{on:%a}", "ASAP", "soon"]
    forms += [f"{on:%Y/%m/%d}", f"{on:%B %d, %Y}"]
    cells: list[Cell] = []
    written = dice.choice(forms)
    for other in dirty.of_order():
        if other.order == line.order:
            other.cell("cut_off_date").value = written
            cells += [other.cell("cut_off_date"), other.cell("cut_off_time")]
    return Mark("dates", ASKED, frozenset({line.order}), cells)


def old_date(dirty: Dirty, dice: random.Random) -> Mark | None:
    line = _some(dirty, dice)
    cells = []
    for other in dirty.of_order():
        if other.order == line.order:
            other.cell("cut_off_date").value = dice.choice([date(1900, 1, 5), "1900-03-04"])
            cells.append(other.cell("cut_off_date"))
    return Mark("old-date", DOUBT_OR_FAULT, frozenset({line.order}), cells)


def error_cell(dirty: Dirty, dice: random.Random) -> Mark | None:
    line, cell = _sized(dirty, dice)
    cell.value = dice.choice([Unread("error", "#N/A"), Unread("error", "#REF!"), Unread("formula", "=A1+1")])
    return _one(line, cell, "error-cell", FAULT)


def titles(dirty: Dirty, dice: random.Random) -> Mark | None:
    for text in dice.sample(["Orders week 10", None, "printed by Jo", "as of 1 March"], dice.randint(1, 3)):
        dirty.above.append(Line([Cell(text)]))
    return Mark("titles", SAME)


def blank_rows(dirty: Dirty, dice: random.Random) -> Mark | None:
    for _ in range(dice.randint(1, 3)):
        dirty.lines.insert(dice.randint(0, len(dirty.lines)), Line([Cell(None) for _ in dirty.head.cells]))
    return Mark("blank-rows", SAME)


def head_again(dirty: Dirty, dice: random.Random) -> Mark | None:
    if any(first in line.cells for first, _ in dirty.merged for line in dirty.lines):
        # within merged cells a heading has no place
        raise NotFit
    again = Line([Cell(cell.value, cell.key) for cell in dirty.head.cells])
    dirty.lines.insert(dice.randint(1, len(dirty.lines)), again)
    return Mark("head-again", SAME, cells=again.cells)


def totals(dirty: Dirty, dice: random.Random) -> Mark | None:
    """A row of sums under the table."""

    def value(key: str) -> Any:
        if key == dice_key:
            return label
        if key.startswith("size ") or key == "total":
            found = [line.cell(key).value for line in dirty.of_order()]
            return sum(one for one in found if isinstance(one, int)) or None
        return None

    dice_key = dice.choice(["order", "customer"])
    label = dice.choice(["Total", "TOTAL", "Grand total", "Sum", "Subtotal"])
    line = Line([Cell(value(cell.key), cell.key) for cell in dirty.head.cells])
    dirty.lines.append(line)
    return Mark("totals", SAME, cells=line.cells)


def shuffled(dirty: Dirty, dice: random.Random) -> Mark | None:
    if dirty.upper is not None:
        raise NotFit
    order = list(range(len(dirty.head.cells)))
    dice.shuffle(order)
    for line in [dirty.head, *dirty.lines]:
        if len(line.cells) == len(order):
            line.cells = [line.cells[place] for place in order]
    return Mark("shuffled", SAME)


def hidden(dirty: Dirty, dice: random.Random) -> Mark | None:
    _some(dirty, dice).hidden = True
    return Mark("hidden", SAME)


def twice(dirty: Dirty, dice: random.Random) -> Mark | None:
    line = _some(dirty, dice)
    again = Line([Cell(cell.value, cell.key) for cell in line.cells], line.order)
    dirty.lines.insert(dirty.lines.index(line) + 1, again)
    cells = [*line.cells, *again.cells]
    return Mark("row-twice", ASKED, frozenset({line.order}), cells)


def merged(dirty: Dirty, dice: random.Random) -> Mark | None:
    """The number, customer and cut-off only on the order's first row, merged with those below it."""
    number = dice.choice([*dirty.truth, *dirty.gone])
    rows = [line for line in dirty.of_order() if line.order == number]
    together = [line for line in dirty.lines if line in rows or rows[0] is line]
    places = [dirty.lines.index(line) for line in together]
    if len(rows) < 2 or places != list(range(places[0], places[0] + len(places))):
        return None
    cells = []
    for key in ("order", "customer", "cut_off_date", "cut_off_time"):
        for line in rows[1:]:
            line.cell(key).value = None
            cells.append(line.cell(key))
        dirty.merged.append((rows[0].cell(key), rows[-1].cell(key)))
    return Mark("merged", ASKED, frozenset(dirty.truth), [*cells, *(c for line in rows for c in line.cells)])


def in_one_cell(dirty: Dirty, dice: random.Random) -> Mark | None:
    """Two placements of the same garments in one row."""
    for number, first in enumerate(dirty.lines[:-1]):
        second = dirty.lines[number + 1]
        if not first.order or first.order != second.order or "+" in str(first.cell("placement").value):
            continue
        if any(cell in second.cells for area in dirty.merged for cell in area):
            continue
        alike = [c.key for c in first.cells if c.value == second.cell(c.key).value]
        if not {"garment", "colour", "fabric", "total"} <= set(alike):
            continue
        if any("/" in str(line.cell("artwork").value) for line in (first, second)):
            continue
        if any(
            c.value is None
            for line in (first, second)
            for c in line.cells
            if c.key in ("placement", "artwork", *_NAMES)
        ):
            continue
        if not all(c.key in alike for c in first.cells if c.key.startswith("size ")):
            continue
        for key in ("placement", "transfer", "artwork", "width_mm", "height_mm"):
            first.cell(key).value = f"{first.cell(key).value} + {second.cell(key).value}"
        dirty.lines.remove(second)
        return Mark("in-one-cell", ASKED, frozenset({first.order}), first.cells)
    return None


ALWAYS_LAST: tuple[Way, ...] = (spaces, shuffled)
WAYS: tuple[Way, ...] = (
    capitals, other_sizes, other_headings, text_quantity, counted, dozens, letter_o, science, zeros, minus,
    wrong_total, typo, blank, dates, old_date, error_cell, titles, blank_rows, head_again, totals, hidden,
    twice, merged, in_one_cell,
)  # fmt: skip
