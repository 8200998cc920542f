"""A Shop as a workbook in the layout that `read_shop` reads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.domain.shop import Element, Opening, OperatorHours, Peel, Pressure, Shop
from scheduler.intake.layout import DEFAULT, FIGURES, OURS, Column, Table
from scheduler.intake.shop import layout
from scheduler.intake.writing.sheets import (
    HEADING_ROW,
    Written,
    add_growing_list,
    add_lists,
    add_read_me,
    new_workbook,
    save,
    whose,
    write_table,
)

if TYPE_CHECKING:
    from openpyxl import Workbook

_READ_ME = (
    "The shop",
    "This workbook tells Pressday about your shop: one sheet for each thing, one row for each piece.",
    "Start with Presses, Platens, Crew and Hours; then look through Recipes, Element times and Allowances.",
    f'Rows marked "{DEFAULT}" in the column "{FIGURES}" hold the program\'s own figures: starting points, '
    f'not truths. Put your own there, then set the mark to "{OURS}". Shaded rows are still defaults.',
    "The transfer maker's sheet and the press maker's instructions always win over what stands here.",
    "Names are matched without regard to capitals and spaces, but must otherwise be the same on every sheet.",
    "Several names in one cell: with commas between. A blank cell means none, or as its heading says.",
    "Columns may be put in another order, and rows added or deleted; keep the headings in one row.",
    "Times of day as 16:30, dates as 2026-12-25, shares as 11 %. Seconds, minutes, mm, °C: numbers.",
    "Check your changes with: pressday check orders.xlsx --shop shop.xlsx",
)


def write_shop(shop: Shop, path: Path | str) -> None:
    """Write a shop workbook; `read_shop` gives back an equal shop, but for the sources.

    Raises
    ------
    scheduler.exceptions.BadInput
        When the file can't be written; a file that was there stays as it was.
    """
    save(shop_workbook(shop), Path(path))


def shop_workbook(shop: Shop) -> Workbook:
    """The workbook of a shop, not yet saved."""
    book = new_workbook()
    lists = {
        "presses": add_growing_list(book, "presses", layout.PRESSES.sheet),
        "circuits": add_growing_list(book, "circuits", layout.CIRCUITS.sheet),
        "platens": add_growing_list(book, "platens", layout.PLATENS.sheet),
        "transfers": add_growing_list(book, "transfers", layout.TRANSFERS.sheet),
        "fabrics": add_growing_list(book, "fabrics", layout.FABRICS.sheet),
    }
    fixed = {
        "yes_no": ("yes", "no"),
        "opening": tuple(Opening),
        "pressure": tuple(Pressure),
        "peel": tuple(Peel),
        "weekdays": layout.DAYS,
        "figures": (DEFAULT, OURS),
    }
    lists.update({key: f"list_{key}" for key in fixed})
    for table in layout.SHOP_TABLES:
        write_table(book, _with_positions(table, shop), _ROWS[table.key](shop), lists=lists)
    _format_allowances(book)
    add_lists(book, fixed)
    add_read_me(book, _READ_ME)
    return book


def known_transfers(shop: Shop) -> tuple[str, ...]:
    """Transfer types of a shop: those with a spoilage rate, then others that only recipes name."""
    return tuple(dict.fromkeys([*shop.spoilage, *(recipe.transfer for recipe in shop.recipes)]))


def known_fabrics(shop: Shop) -> tuple[str, ...]:
    """Fabrics of a shop: those laid down, then others that only recipes name."""
    return tuple(dict.fromkeys([*shop.fabrics, *(recipe.fabric for recipe in shop.recipes)]))


def _position_groups(shop: Shop) -> list[str]:
    """Size groups that some placement has a position of its own for, in order of appearance."""
    groups = (group for placement in shop.placements for group in placement.positions if group)
    return list(dict.fromkeys(groups))


def _with_positions(table: Table, shop: Shop) -> Table:
    if table is not layout.PLACEMENTS:
        return table
    *first, figures = table.columns
    more = [
        Column(
            f"position {group}",
            f"{layout.POSITION_FOR} {group}",
            f"Where to lay it on size group {group}",
            width=52,
        )
        for group in _position_groups(shop)
    ]
    return Table(key=table.key, sheet=table.sheet, explain=table.explain, columns=(*first, *more, figures))


def _share(value: float) -> Written:
    # a bare 1 in a cell is ambiguous to read, so that 100 % is written as text
    return "100 %" if value == 1 else value


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _shop_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    yield {"what": "Name", "value": shop.name}


def _press_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for press in shop.presses:
        yield {
            "name": press.name,
            "opening": press.opening.value,
            "self_opening": _yes(press.self_opening),
            "on_stand": _yes(press.on_stand),
            "platen_cover": _yes(press.platen_cover),
            "temp_min_c": press.temp_min_c,
            "temp_max_c": press.temp_max_c,
            "heat_c_per_min": press.heat_c_per_min,
            "cool_c_per_min": press.cool_c_per_min,
            "warm_up_min": press.warm_up_min,
            "watts": press.watts,
            "circuit": press.circuit,
            "platens": ", ".join(press.platens),
            "mounted": press.mounted,
            "skill": press.skill,
            "figures": whose(layout.PRESSES.sheet, shop.defaults),
        }


def _platen_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for platen in shop.platens:
        yield {
            "name": platen.name,
            "width_mm": platen.width_mm,
            "height_mm": platen.height_mm,
            "count": platen.count,
            "placements": ", ".join(platen.placements),
            "second_placements": ", ".join(platen.second_placements) or None,
            "second_width_mm": platen.second_width_mm,
            "second_height_mm": platen.second_height_mm,
            "size_groups": ", ".join(platen.size_groups) or None,
            "swap_min": platen.swap_min,
            "pre_heat_min": platen.pre_heat_min,
            "figures": whose(layout.PLATENS.sheet, shop.defaults),
        }


def _placement_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for placement in shop.placements:
        row: dict[str, Written] = {
            "name": placement.name,
            "width_mm": placement.width_mm,
            "height_mm": placement.height_mm,
            "inside": _yes(placement.inside),
            "turnable": _yes(placement.turnable),
            "after": ", ".join(placement.after) or None,
            "pairs_with": ", ".join(placement.pairs_with) or None,
            "position": placement.positions.get(""),
            "figures": whose(layout.PLACEMENTS.sheet, shop.defaults),
        }
        row.update({f"position {group}": placement.positions.get(group) for group in _position_groups(shop)})
        yield row


def _recipe_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for recipe in shop.recipes:
        yield {
            "transfer": recipe.transfer,
            "fabric": recipe.fabric,
            "temp_c": recipe.temp_c,
            "pressure": recipe.pressure.value,
            "pre_press_s": recipe.pre_press_s or None,
            "dwell_s": recipe.dwell_s,
            "peel": recipe.peel.value,
            "cooling_s": recipe.cooling_s or None,
            "second_press_s": recipe.second_press_s or None,
            "figures": whose(layout.RECIPES.sheet, shop.defaults),
        }


def _crew_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for person in shop.crew:
        for weekdays, hours in _alike(person.hours):
            yield {
                "name": person.name,
                "start": hours.start,
                "end": hours.end,
                "overtime_end": hours.overtime_end,
                "breaks": ", ".join(f"{first:%H:%M}-{last:%H:%M}" for first, last in hours.breaks) or None,
                "skills": ", ".join(person.skills) or None,
                "pace": person.pace,
                "weekdays": ", ".join(layout.DAYS[day] for day in weekdays),
            }


def _alike(week: Mapping[int, OperatorHours]) -> list[tuple[list[int], OperatorHours]]:
    """The hours of a person, each once with its weekdays; those of the week's first day first."""
    found: list[tuple[list[int], OperatorHours]] = []
    for weekday, hours in sorted(week.items()):
        there = next((days for days, other in found if other == hours), None)
        if there is None:
            found.append(([weekday], hours))
        else:
            there.append(weekday)
    return found


def _pair_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for pair in shop.press_pairs:
        yield {"first": pair.first, "second": pair.second, "walk_s": pair.walk_s or None}


def _circuit_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for circuit in shop.circuits:
        yield {
            "name": circuit.name,
            "volts": circuit.volts,
            "amps": circuit.amps,
            "continuous_share": _share(circuit.continuous_share),
            "figures": whose(layout.CIRCUITS.sheet, shop.defaults),
        }


def _hours_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for day, name in enumerate(layout.DAYS):
        hours = shop.hours.get(day)
        yield {
            "weekday": name,
            "open": hours.open if hours else None,
            "close": hours.close if hours else None,
            "overtime_end": hours.overtime_end if hours else None,
        }


def _courier_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for courier in shop.couriers:
        row: dict[str, Written] = {"name": courier.name}
        row.update({f"day_{day}": at for day, at in courier.cut_offs.items()})
        yield row


def _closed_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for day in shop.closed_days:
        yield {"date": day}


def _element_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for element in Element:
        row: dict[str, Written] = {
            key: shop.elements.get((element, setup)) for key, setup in layout.SETUP_COLUMNS.items()
        }
        yield {
            "element": element.value,
            **row,
            "figures": whose(layout.ELEMENT_TIMES.sheet, shop.defaults),
        }


def _allowance_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for row in layout.ALLOWANCE_ROWS:
        value = getattr(shop.allowances, row.field)
        yield {
            "what": row.label,
            "value": _share(value) if row.unit == "%" else value,
            "unit": row.unit,
            "meaning": row.meaning,
            "figures": whose(layout.ALLOWANCES.sheet, shop.defaults),
        }


def _format_allowances(book: Workbook) -> None:
    for number, row in enumerate(layout.ALLOWANCE_ROWS, start=HEADING_ROW + 1):
        if row.unit == "%":
            book[layout.ALLOWANCES.sheet].cell(row=number, column=2).number_format = "0.0%"


def _size_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for size, group in shop.size_groups.items():
        yield {"size": size, "group": group}


def _transfer_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for transfer in known_transfers(shop):
        spoilage = shop.spoilage.get(transfer)
        yield {
            "name": transfer,
            "spoilage": None if spoilage is None else _share(spoilage),
            "figures": whose(layout.TRANSFERS.sheet, shop.defaults),
        }


def _fabric_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for fabric in known_fabrics(shop):
        yield {"name": fabric}


def _colour_rows(shop: Shop) -> Iterator[dict[str, Written]]:
    for name, others in shop.colours.items():
        yield {"name": name, "others": ", ".join(others)}


_ROWS = {
    "shop": _shop_rows,
    "presses": _press_rows,
    "platens": _platen_rows,
    "placements": _placement_rows,
    "recipes": _recipe_rows,
    "crew": _crew_rows,
    "press_pairs": _pair_rows,
    "circuits": _circuit_rows,
    "hours": _hours_rows,
    "couriers": _courier_rows,
    "closed_days": _closed_rows,
    "element_times": _element_rows,
    "allowances": _allowance_rows,
    "sizes": _size_rows,
    "transfers": _transfer_rows,
    "fabrics": _fabric_rows,
    "colours": _colour_rows,
}
