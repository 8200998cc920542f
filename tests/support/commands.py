"""A shop folder as `pressday new` lays it out, and a way to run commands inside this process."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner, Result

from scheduler.cli.main import app

__all__ = [
    "a_day_of_its_own",
    "clock",
    "laid_out",
    "new_orders",
    "plain_search",
    "planned_once",
    "plans",
    "run",
    "shop",
]
"""The fixtures, which the conftest of a folder takes from here.

Not for all tests: two of them hold wherever they are known.
"""

DAY = "2027-03-09"
AT = f"{DAY}T08:10"
"""A moment of that day from which it is planned again."""

TODAY = "2026-11-24T09:30:20"
"""What the clock says unless a test sets it: no day that any test plans."""

Run = Callable[..., Result]
Clock = Callable[[str], None]


@pytest.fixture(scope="session", autouse=True)
def a_day_of_its_own() -> Iterator[None]:
    """The tests say the same on every day of the year."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("scheduler.now.clock", lambda: datetime.fromisoformat(TODAY))
        yield


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """Set the computer's clock to a moment such as 2027-03-09T08:45."""

    def to(moment: str) -> None:
        monkeypatch.setattr("scheduler.now.clock", lambda: datetime.fromisoformat(moment))

    return to


@pytest.fixture(autouse=True)
def plain_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """Days of a few runs need no compiled search, and compiling aside would slow other tests down."""
    monkeypatch.setenv("PRESSDAY_COMPILE", "0")


def hold(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    """Have files of that name open in a program that locks them, as some systems do."""
    replace = Path.replace

    def locked(self: Path, target: Path) -> Path:
        if target.name == name:
            raise PermissionError(13, "Permission denied")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", locked)


@pytest.fixture
def run() -> Run:
    """Run one command line; nothing but its own exit may come out of it."""

    def run_it(*words: object) -> Result:
        result = CliRunner().invoke(app, [str(word) for word in words])
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result

    return run_it


@pytest.fixture(scope="session")
def laid_out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new shop folder; for copying only."""
    folder = tmp_path_factory.mktemp("laid out") / "shop"
    result = CliRunner().invoke(app, ["new", str(folder)])
    assert result.exit_code == 0, result.output
    return folder


@pytest.fixture
def shop(laid_out: Path, tmp_path: Path) -> Path:
    """A shop folder of the test's own."""
    return Path(shutil.copytree(laid_out, tmp_path / "shop"))


@pytest.fixture(scope="session")
def plans(laid_out: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of plans with one plan of the sample orders; for copying only."""
    folder = tmp_path_factory.mktemp("planned") / "plans"
    words = ["plan", str(laid_out / "orders.xlsx"), "--day", DAY, "--out", str(folder)]
    result = CliRunner().invoke(app, [*words, "--effort", "quick", "--seconds", "0"])
    assert result.exit_code == 0, result.output
    return folder


@pytest.fixture
def planned_once(plans: Path, shop: Path) -> Path:
    """The dated folder of a plan made in the test's own shop folder."""
    return Path(shutil.copytree(plans, shop / "plans")) / DAY


@pytest.fixture
def new_orders(shop: Path) -> Path:
    """The first sample row once more, under another number."""
    workbook = openpyxl.load_workbook(shop / "orders.xlsx")
    sheet = workbook["Orders"]
    head = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "Order")
    for row in range(sheet.max_row, head.row + 1, -1):
        sheet.delete_rows(row)
    sheet.cell(head.row + 1, head.column, "N1")
    workbook.save(shop / "new.xlsx")
    return shop / "new.xlsx"


def change(book: Path, sheet: str, heading: str, row: int, value: object) -> str:
    """Write a value under a heading, in the row so many below it; the cell's address."""
    workbook = openpyxl.load_workbook(book)
    for cells in workbook[sheet].iter_rows():
        for cell in cells:
            if cell.value == heading:
                changed = workbook[sheet].cell(cell.row + row, cell.column, value)
                workbook.save(book)
                return str(changed.coordinate)
    raise AssertionError(f"no heading {heading} in {sheet}")


def large(orders: Path, factor: int) -> Path:
    """The orders of a file with so many times as many pieces."""
    workbook = openpyxl.load_workbook(orders)
    sheet = workbook["Orders"]
    head = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "Order")
    for cell in sheet[head.row]:
        if isinstance(sheet.cell(head.row + 1, cell.column).value, int):
            sheet.cell(head.row + 1, cell.column).value *= factor
    workbook.save(orders)
    return orders
