"""What is written is safe to open: no text becomes a formula, in any workbook or text table."""

from __future__ import annotations

import csv
import io
import zipfile
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from scheduler.domain.faults import Fault, Source
from scheduler.domain.orders import Order, OrderLine, Print, Sized
from scheduler.intake import default_shop
from scheduler.intake.orders.writer import orders_workbook
from scheduler.intake.shop.writer import shop_workbook
from scheduler.intake.writing.marked_copy import write_marked_copies

STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", " =", "\u00a0=", "=cmd|' /C calc'!A0", "＝", '"=')
evil = st.builds(str.__add__, st.sampled_from(STARTS), st.text(st.characters(codec="utf-8"), max_size=8))
proof = settings(max_examples=40, deadline=None, derandomize=True, phases=[Phase.generate])


def formulas(book: bytes) -> list[str]:
    """Parts of a workbook with a formula, by the bytes alone."""
    with zipfile.ZipFile(io.BytesIO(book)) as archive:
        sheets = [name for name in archive.namelist() if name.startswith("xl/worksheets/sheet")]
        return [name for name in sheets if b"<f>" in archive.read(name) or b"<f " in archive.read(name)]


def saved(book: Any) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def unquoted(book: bytes) -> list[str]:
    """Cells whose text would turn into a formula when somebody edits it and leaves it as it is."""
    sheets = load_workbook(io.BytesIO(book)).worksheets
    cells = (cell for sheet in sheets for row in sheet.iter_rows() for cell in row)
    return [
        cell.coordinate
        for cell in cells
        if isinstance(cell.value, str) and cell.value.lstrip().startswith(("=", "+", "-", "@"))
        and not (cell.data_type == "s" and cell.quotePrefix)
    ]  # fmt: skip


@proof
@given(evil, evil, evil)
def test_the_orders_workbook(order: str, customer: str, note: str) -> None:
    line = OrderLine(
        garment=customer,
        colour=note,
        fabric="cotton",
        sizes=(Sized(size="M", quantity=1),),
        prints=(Print(placement=note, transfer=order, artwork=note, width_mm=1, height_mm=1),),
        note=note,
    )
    one = Order(id=order, customer=customer, cut_off=datetime(2026, 3, 2), lines=(line,))
    book = saved(orders_workbook([one]))
    assert formulas(book) == [] and unquoted(book) == []


@settings(proof, max_examples=6)
@given(evil, evil)
def test_the_shop_workbook(name: str, other: str) -> None:
    shop = default_shop()
    crew = tuple(replace(person, name=name) for person in shop.crew[:1])
    couriers = tuple(replace(courier, name=other) for courier in shop.couriers[:1])
    book = saved(shop_workbook(replace(shop, name=name, crew=crew, couriers=couriers)))
    assert formulas(book) == [] and unquoted(book) == []


@proof
@given(evil, evil)
def test_the_marked_copy_of_a_text_table(
    tmp_path_factory: pytest.TempPathFactory, one: str, two: str
) -> None:
    folder = tmp_path_factory.mktemp("marked")
    text = io.StringIO(newline="")
    csv.writer(text).writerows([["Order", "Customer"], [one.replace("\0", ""), two.replace("\0", "")]])
    path: Path = folder / "orders.csv"
    path.write_text(text.getvalue(), encoding="utf-8", newline="")
    source = Source(file="orders.csv", cell="A2")
    found = Fault(code="x", source=source, found=one, expected=two, mend=one)
    (copy,) = write_marked_copies({"orders.csv": path}, [found], folder)
    assert formulas(copy.read_bytes()) == [] and unquoted(copy.read_bytes()) == []
