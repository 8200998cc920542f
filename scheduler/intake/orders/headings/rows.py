"""Finding the headings of an orders sheet, in one row or two."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from scheduler.intake.cells.rows import LOOK_IN_ROWS, Headings
from scheduler.intake.cells.sizes import speaks_of_a_size
from scheduler.intake.cells.values import text
from scheduler.intake.files.grid import Grid, Unread, Value
from scheduler.intake.orders.headings.words import MOST_PLACEMENTS, HeadingWords, Meaning
from scheduler.intake.orders.layout import SIZE
from scheduler.intake.words import heading_key, words

LEAST_HEADINGS = 3
_Labels = dict[int, tuple[str, Meaning | None]]


def find_order_headings(grid: Grid, known: HeadingWords, start: int = 0) -> Headings | None:
    """The headings of a sheet with orders, in one row or two; None when the sheet holds none."""
    best: Headings | None = None
    for index in range(start, min(len(grid.rows), start + LOOK_IN_ROWS)):
        one = headings_at(grid, index, known)
        if len(one.columns) >= LEAST_HEADINGS and (best is None or len(one.columns) > len(best.columns)):
            best = one
    for index in range(start + 1, min(len(grid.rows), start + LOOK_IN_ROWS)):
        two = _in_two_rows(grid, index, known)
        if two is not None and len(two.columns) >= LEAST_HEADINGS and _is_better(two, best):
            best = two
    return best


def _is_better(two: Headings, one: Headings | None) -> bool:
    """Whether headings read from two rows say more than those of one row."""
    if one is None or len(two.columns) > len(one.columns):
        return True
    if two.row == one.row + 1:
        sizes_below = sum(speaks_of_a_size(label) for label in two.unknown.values())
        # words over groups of sizes may be read as columns of their own
        return sizes_below > 0 and len(two.columns) >= len(one.columns) - sizes_below // 2
    if two.row != one.row:
        return False
    return len(two.columns) == len(one.columns) and (
        len(two.doubled) < len(one.doubled) or list(two.columns) != list(one.columns)
    )


def headings_at(grid: Grid, index: int, known: HeadingWords) -> Headings:
    """One row taken as headings."""
    labels: _Labels = {}
    for column, label in _texts(grid.rows[index]):
        labels[column] = (label, known.meaning(label))
    return _headings(index, labels)


def _texts(row: Iterable[Value]) -> Iterator[tuple[int, str]]:
    for column, value in enumerate(row):
        if value is not None and not isinstance(value, Unread):
            yield column, text(value)


def _in_two_rows(grid: Grid, index: int, known: HeadingWords) -> Headings | None:
    """A row taken as the lower one of two rows of headings; None when the row above is none."""
    upper, lower = dict(_texts(grid.rows[index - 1])), dict(_texts(grid.rows[index]))
    if not upper or not lower or (len(upper) == 1 and min(upper) <= min(lower)):
        # one cell above the first column is a title
        return None
    spread = _spread(grid, index, upper, lower)
    labels: _Labels = {}
    for column in sorted({*upper, *lower}):
        above, below = spread.get(column), lower.get(column)
        if below is None:
            labels[column] = (upper[column], known.meaning(upper[column]))
        elif above is None:
            labels[column] = (below, known.meaning(below))
        else:
            labels[column] = known.joined(above, below)
    unclear = [
        column
        for column, (_, meaning) in labels.items()
        if meaning is None and column in spread and _is_size(lower.get(column), known)
    ]
    over = {heading_key(spread[column]) for column in unclear}
    if len(over) == 1 and not any(part in words().groups for part in " ".join(over).split()):
        # one word over all sizes, such as a day or the garment, makes no other sizes of them
        labels.update({column: (lower[column], known.meaning(lower[column])) for column in unclear})
    return replace(_headings(index, labels), top=index - 1)


def _is_size(label: str | None, known: HeadingWords) -> bool:
    meaning = None if label is None else known.meaning(label)
    return meaning is not None and meaning.key.startswith(SIZE)


def _spread(grid: Grid, index: int, upper: dict[int, str], lower: dict[int, str]) -> dict[int, str]:
    """The upper headings over all columns that they stand for."""
    spread = dict(upper)
    merged = {area.left: area.right for area in grid.merged if area.top <= index - 1 <= area.bottom}
    for first, label in upper.items():
        if merged:
            last = merged.get(first, first)
        else:
            after = [column for column in upper if column > first]
            last = min(after, default=max(lower) + 1) - 1
        if not merged and lower.get(first) is None:
            continue
        for column in range(first + 1, last + 1):
            if column in lower:
                spread.setdefault(column, label)
    return spread


def _headings(index: int, labels: _Labels) -> Headings:
    found = Headings(row=index, columns={})
    own = any(meaning is not None and meaning.key == "placement" for _, meaning in labels.values())
    places: list[str] = []
    for column, (label, meaning) in labels.items():
        found.labels[column] = label
        if meaning is not None and meaning.placement:
            meaning = None if own else _numbered(meaning, places, found)
        if meaning is None:
            found.unknown[column] = label
        elif not meaning.key:
            found.how[column] = meaning.how
        elif meaning.key in found.columns:
            found.doubled[column] = label
        else:
            found.columns[meaning.key] = column
            found.how[column] = meaning.how
            if meaning.unit:
                found.units[meaning.key] = meaning.unit
    return found


def _numbered(meaning: Meaning, places: list[str], found: Headings) -> Meaning | None:
    """The meaning of a heading that names a placement: as if the placements had numbers, in their order."""
    if meaning.placement not in places:
        places.append(meaning.placement)
    number = places.index(meaning.placement) + 1
    if number > MOST_PLACEMENTS:
        return None
    ending = "" if number == 1 else f" {number}"
    key = f"{meaning.key}{ending}"
    _, keys = found.given.get(f"placement{ending}", ("", ()))
    found.given[f"placement{ending}"] = (meaning.placement, (*keys, key))
    return replace(meaning, key=key)
