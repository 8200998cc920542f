"""A new shop folder: a shop workbook and an orders workbook to fill in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.aside import file_present, move_without_overwriting, part_of, save, unwritable
from scheduler.domain.faults import Fault, Source
from scheduler.domain.shop import Shop
from scheduler.exceptions import BadInput
from scheduler.intake.orders.layout import SAMPLE, SAMPLE_NOTE, SIZE
from scheduler.intake.orders.writer import drop_down_lists, workbook_of_rows
from scheduler.intake.shop.defaults import default_shop
from scheduler.intake.shop.reader import scan_shop
from scheduler.intake.shop.writer import shop_workbook
from scheduler.intake.writing.sheets import Written

if TYPE_CHECKING:
    from openpyxl import Workbook

SHOP_FILE = "shop.xlsx"
ORDERS_FILE = "orders.xlsx"
# order, garment, colour, fabric, placement, transfer, artwork, pieces by size, priority
_SAMPLES: tuple[tuple[str, str, str, str, str, str, str, dict[str, int], str], ...] = (
    (
        "S1",
        "t-shirt",
        "navy",
        "cotton",
        "left chest",
        "film hot peel",
        "club badge",
        {"S": 4, "M": 8, "L": 6},
        "normal",
    ),
    (
        "S1",
        "t-shirt",
        "navy",
        "cotton",
        "full back",
        "film hot peel",
        "club name",
        {"S": 4, "M": 8, "L": 6},
        "normal",
    ),
    (
        "S2",
        "sweater",
        "grey",
        "cotton-polyester blend",
        "full front",
        "film hot peel",
        "rocket",
        {"M": 5, "XL": 5},
        "rush",
    ),
    (
        "S2",
        "sweater",
        "grey",
        "cotton-polyester blend",
        "neck label",
        "film hot peel",
        "label",
        {"M": 5, "XL": 5},
        "rush",
    ),
    ("S3", "cap", "black", "cotton", "cap front", "flock vinyl", "anchor", {"one size": 12}, "normal"),
    (
        "S4",
        "bag",
        "natural",
        "canvas",
        "bag front",
        "screen-printed hot split",
        "leaf",
        {"one size": 20},
        "high",
    ),
)


def write_shop_folder(folder: Path | str) -> list[Path]:
    """Lay out a shop folder: `shop.xlsx` with default figures and `orders.xlsx` with sample rows.

    The folder is made when it is not there. Nothing is ever overwritten: of two files one of which is there,
    only the other is written. Orders beside a shop that can be read get its sizes and drop-downs, and the
    samples that fit it.

    Returns
    -------
    list of Path
        The files that were written; what was there is not among them.

    Raises
    ------
    scheduler.exceptions.BadInput
        When both files are there, or the folder can't be written.
    """
    folder = Path(folder)
    targets = [target for target in (folder / SHOP_FILE, folder / ORDERS_FILE) if not _is_there(target)]
    if not targets:
        raise BadInput([_both_there(folder)])
    books = [
        shop_workbook(default_shop()) if target.name == SHOP_FILE else _orders_workbook(folder / SHOP_FILE)
        for target in targets
    ]
    moved: list[Path] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with ExitStack() as parts:
            aside = [parts.enter_context(part_of(target)) for target in targets]
            for book, part in zip(books, aside, strict=True):
                book.save(part)
                save(part)
            for part, target in zip(aside, targets, strict=True):
                _move(part, target)
                moved.append(target)
            save(folder)
    except (OSError, BadInput) as error:
        for target in moved:
            target.unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise unwritable(folder, error) from None
        raise
    return targets


def _move(part: Path, target: Path) -> None:
    try:
        move_without_overwriting(part, target)
    except FileExistsError:
        raise file_present(target) from None


def _orders_workbook(shop_file: Path) -> Workbook:
    """The orders workbook for the shop that is there, or for the default one."""
    shop = scan_shop(shop_file)[0] if _is_there(shop_file) else None
    shop = shop or default_shop()
    return workbook_of_rows(sample_rows(shop), shop.size_groups, drop_down_lists((), shop))


def sample_rows(shop: Shop | None = None) -> Iterator[Mapping[str, Written]]:
    """Rows of sample orders that a shop has words for; without a cut-off, so that they are never past.

    Parameters
    ----------
    shop
        The shop; the default one when there is none.
    """
    shop = shop or default_shop()
    placements = {one.name for one in shop.placements}
    strange = {
        order
        for order, _, _, fabric, placement, transfer, _, pieces, _ in _SAMPLES
        if placement not in placements
        or shop.recipe(transfer, fabric) is None
        or not set(pieces) <= set(shop.size_groups)
    }
    for order, garment, colour, fabric, placement, transfer, artwork, pieces, priority in _SAMPLES:
        if order in strange:
            continue
        usual = shop.placement(placement)
        yield {
            "order": order,
            "customer": f"{SAMPLE} {order}",
            "priority": priority,
            "garment": garment,
            "colour": colour,
            "fabric": fabric,
            "placement": placement,
            "transfer": transfer,
            "artwork": artwork,
            "width_mm": usual.width_mm,
            "height_mm": usual.height_mm,
            **{f"{SIZE}{size}": quantity for size, quantity in pieces.items()},
            "total": sum(pieces.values()),
            "notes": SAMPLE_NOTE,
        }


def _is_there(target: Path) -> bool:
    return target.exists() or target.is_symlink()


def _both_there(folder: Path) -> Fault:
    return Fault(
        code="file-present",
        source=Source(file=str(folder)),
        found=f"{SHOP_FILE} and {ORDERS_FILE} are both there already",
        expected="a folder in which one of them is missing",
        mend="There is nothing to do and nothing is overwritten; name another folder for a new shop.",
    )
