"""Timed elements into the shop workbook: what changes, what stays, and what is kept of before."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from openpyxl.chart import BarChart

from scheduler.domain.faults import Severity
from scheduler.domain.figures import figure
from scheduler.domain.shop import Element, Setup
from scheduler.exceptions import BadInput, PressdayError
from scheduler.intake import default_shop, read_shop, scan_shop, write_shop
from scheduler.intake.shop import take_over
from scheduler.intake.shop.take_over import BEFORE, NewTime

ON = date(2027, 3, 9)
LOAD = NewTime(element=Element.LOAD, set_up=Setup.PLAIN, seconds=11.237, readings=12, spread_s=0.941)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    path = tmp_path / "shop.xlsx"
    write_shop(default_shop(), path)
    return path


def before_rows(path: Path) -> list[tuple[object, ...]]:
    sheet = openpyxl.load_workbook(path)[BEFORE.sheet]
    return [row for row in sheet.iter_rows(min_row=4, max_col=9, values_only=True) if row[1]]


def put_over(path: Path, *times: NewTime) -> take_over.TakenOver:
    return take_over.take_over(path, times, on=ON, study="tuesday.csv")


def test_one_cell_changes_and_the_old_value_is_kept_with_the_date(shop: Path) -> None:
    before = read_shop(shop)
    old = shop.read_bytes()
    taken = put_over(shop, LOAD)
    after, found = scan_shop(shop)
    assert found == ()
    assert after is not None
    assert after.elements == {**before.elements, (Element.LOAD, Setup.PLAIN): 11.24}
    assert replace(after, elements=before.elements) == before
    (change,) = taken.changes
    assert (change.before_s, change.time.seconds, change.source.cell) == (13, 11.24, "B4")
    assert taken.kept is not None
    assert taken.kept.name == "shop-before-2027-03-09.xlsx"
    assert taken.kept.read_bytes() == old
    ((on, *rest),) = before_rows(shop)
    assert str(on).startswith("2027-03-09")
    assert rest == ["load", "plain", 13, 11.24, 12, 0.94, "default", "tuesday.csv"]
    assert sorted(one.name for one in shop.parent.iterdir()) == ["shop-before-2027-03-09.xlsx", "shop.xlsx"]


def test_half_a_hundredth_is_rounded_as_the_pages_round_it(shop: Path) -> None:
    taken = put_over(shop, replace(LOAD, seconds=6.765, spread_s=0.945))
    assert taken.changes[0].time.seconds == 6.77 == float(figure(6.765, 2))
    ((*_, spread, _, _),) = before_rows(shop)
    assert spread == 0.95


def test_a_second_study_adds_its_rows_and_keeps_another_copy(shop: Path) -> None:
    put_over(shop, LOAD)
    taken = put_over(shop, replace(LOAD, seconds=10.0))
    assert taken.kept is not None
    assert taken.kept.name == "shop-before-2027-03-09-2.xlsx"
    assert [row[3:5] for row in before_rows(shop)] == [(13, 11.24), (11.24, 10)]


def test_the_same_study_again_is_nothing_new(shop: Path) -> None:
    put_over(shop, LOAD)
    old = shop.read_bytes()
    taken = put_over(shop, LOAD)
    assert (taken.changes, taken.kept) == ((), None)
    assert shop.read_bytes() == old
    assert len(list(shop.parent.iterdir())) == 2
    assert put_over(shop, replace(LOAD, readings=15)).kept is not None


def test_a_row_is_the_shops_own_once_all_its_set_ups_were_timed(shop: Path) -> None:
    """Three of four set-ups timed leave a default in the row, so the mark stays."""

    def mark() -> object:
        return openpyxl.load_workbook(shop)["Element times"]["F4"].value

    first, *others = [replace(LOAD, set_up=set_up) for set_up in Setup]
    put_over(shop, *others)
    assert mark() == "default"
    put_over(shop, first)
    assert mark() == "our own"


def test_formats_and_checks_of_the_workbook_stay(shop: Path) -> None:
    book = openpyxl.load_workbook(shop)
    book["Presses"]["A4"].font = openpyxl.styles.Font(bold=True, color="FFFF0000")
    checks = len(book["Presses"].data_validations.dataValidation)
    book.save(shop)
    put_over(shop, LOAD)
    after = openpyxl.load_workbook(shop)
    assert after["Presses"]["A4"].font.color.rgb == "FFFF0000"
    assert len(after["Presses"].data_validations.dataValidation) == checks > 0


def test_a_workbook_with_a_fault_is_left_as_it_is(shop: Path) -> None:
    book = openpyxl.load_workbook(shop)
    book["Element times"]["B4"] = "fast"
    book.save(shop)
    old = shop.read_bytes()
    with pytest.raises(BadInput, match="Element times!B4"):
        put_over(shop, LOAD)
    assert shop.read_bytes() == old
    assert [one.name for one in shop.parent.iterdir()] == ["shop.xlsx"]


def test_a_workbook_with_macros_or_of_an_older_kind_is_not_written(shop: Path) -> None:
    """Written by this library it would open in no spreadsheet program under such a name."""
    other = shop.rename(shop.with_suffix(".xlsm"))
    with pytest.raises(BadInput, match=r"expected a workbook of kind \.xlsx"):
        put_over(other, LOAD)
    assert [one.name for one in shop.parent.iterdir()] == ["shop.xlsm"]


def test_charts_and_pictures_are_told_to_be_in_the_copy(shop: Path) -> None:
    assert not put_over(shop, LOAD).drawings
    book = openpyxl.load_workbook(shop)
    book["Presses"].add_chart(BarChart(), "K4")
    book.save(shop)
    assert put_over(shop, replace(LOAD, seconds=10.0)).drawings


def test_a_link_stays_a_link(shop: Path, tmp_path: Path) -> None:
    link = tmp_path / "elsewhere" / "link.xlsx"
    link.parent.mkdir()
    link.symlink_to(shop)
    put_over(link, LOAD)
    assert link.is_symlink()
    assert read_shop(shop).elements[Element.LOAD, Setup.PLAIN] == 11.24
    assert [one.name for one in link.parent.iterdir()] == ["link.xlsx"]


def test_no_workbook_and_no_shop(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="there is no such file"):
        put_over(tmp_path / "shop.xlsx", LOAD)
    other = tmp_path / "other.csv"
    other.write_text("a,b\n1,2\n", encoding="utf-8")
    with pytest.raises(BadInput, match="a file without any sheet of a shop"):
        put_over(other, LOAD)


def test_a_folder_that_cannot_be_written(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(self: Path, data: bytes) -> int:
        raise OSError(28, "No space left on device")

    old = shop.read_bytes()
    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(BadInput, match=r"it can't be written \(No space left on device\)"):
        put_over(shop, LOAD)
    assert shop.read_bytes() == old
    assert [one.name for one in shop.parent.iterdir()] == ["shop.xlsx"]


def test_a_workbook_that_somebody_changes_meanwhile_stays_theirs(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = take_over._kept

    def slow(path: Path, data: bytes, on: date) -> Path:
        path.write_bytes(path.read_bytes() + b"more")
        return true(path, data, on)

    theirs = shop.read_bytes() + b"more"
    monkeypatch.setattr(take_over, "_kept", slow)
    with pytest.raises(BadInput, match="it was changed by another program meanwhile"):
        put_over(shop, LOAD)
    assert shop.read_bytes() == theirs
    assert [one.name for one in shop.parent.iterdir()] == ["shop.xlsx"]


def test_what_reads_otherwise_after_writing_is_not_put_in_place(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = shop.read_bytes()
    monkeypatch.setattr(take_over, "_write", lambda *_, **__: None)
    with pytest.raises(PressdayError, match="would read otherwise after writing"):
        put_over(shop, LOAD)
    assert shop.read_bytes() == old
    assert [one.name for one in shop.parent.iterdir()] == ["shop.xlsx"]


def test_the_sheet_of_before_is_known_and_no_doubt(shop: Path) -> None:
    put_over(shop, LOAD)
    assert [one for one in scan_shop(shop)[1] if one.severity is Severity.DOUBT] == []
