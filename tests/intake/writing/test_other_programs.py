"""What is written opens in another spreadsheet program, keeps its drop-downs and reads the same."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest
from python_calamine import CalamineWorkbook

from scheduler.intake import read_shop, scan_orders
from scheduler.intake.shop_folder import write_shop_folder
from tests.intake.books import bare
from tests.intake.orders.test_owner_sheets import MONDAY

OFFICE = shutil.which("soffice") or shutil.which("libreoffice")


def saved_again(files: list[Path], into: Path) -> list[Path]:
    """The files opened and saved by LibreOffice, with a profile of its own."""
    assert OFFICE is not None
    command = [OFFICE, f"-env:UserInstallation={(into / 'profile').as_uri()}", "--headless"]
    command += ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(into), *map(str, files)]
    subprocess.run(
        command, check=True, capture_output=True, timeout=300, env={**os.environ, "HOME": str(into)}
    )
    return [into / file.name for file in files]


def drop_downs(file: Path) -> dict[str, int]:
    """By sheet, how many cells' rules of what may stand there a workbook holds."""
    book = openpyxl.load_workbook(file)
    return {sheet.title: len(sheet.data_validations.dataValidation) for sheet in book.worksheets}


@pytest.mark.skipif(OFFICE is None, reason="LibreOffice is not installed")
def test_new_workbooks_keep_their_drop_downs_when_they_are_saved_elsewhere(tmp_path: Path) -> None:
    written = write_shop_folder(tmp_path / "new")
    saved = saved_again(written, tmp_path)
    for before, after in zip(written, saved, strict=True):
        assert drop_downs(after) == drop_downs(before)
    by_name = {file.name: file for file in (*saved,)}
    first = {file.name: file for file in written}
    shop = read_shop(first["shop.xlsx"])
    assert bare(read_shop(by_name["shop.xlsx"])) == bare(shop)
    orders, found = scan_orders([by_name["orders.xlsx"]], shop, MONDAY)
    assert bare(orders) == bare(scan_orders([first["orders.xlsx"]], shop, MONDAY)[0])
    assert [one for one in found if one.severity == "fault"] == []


def test_another_reader_sees_the_same_cells(tmp_path: Path) -> None:
    for file in write_shop_folder(tmp_path / "new"):
        book = openpyxl.load_workbook(file)
        other = CalamineWorkbook.from_path(str(file))
        assert other.sheet_names == book.sheetnames
        for sheet in book.worksheets:
            here = [
                str(cell.value) for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)
            ]
            there = [
                str(value) for row in other.get_sheet_by_name(sheet.title).to_python() for value in row
                if isinstance(value, str) and value
            ]  # fmt: skip
            assert here == there
