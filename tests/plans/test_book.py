"""Which day book is meant by a folder that is named."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.plans.book import beside, opened
from scheduler.plans.places import KEPT


def a_book(folder: Path) -> Path:
    with opened(folder, tell=lambda _: None) as book:
        book.check()
    (folder / "day-book.sqlite").touch()
    return folder


def test_a_shop_folder_with_a_book_of_its_own_does_not_use_the_one_that_lies_above(tmp_path: Path) -> None:
    a_book(tmp_path)
    plans = a_book(tmp_path / "shop" / "plans")
    assert beside(tmp_path / "shop") == plans
    assert beside(plans) == plans


def test_a_book_above_a_folder_that_is_no_plans_is_another_shops(tmp_path: Path) -> None:
    a_book(tmp_path)
    (tmp_path / "new shop").mkdir()
    assert beside(tmp_path / "new shop") is None
    assert beside(tmp_path / "new shop" / "plans") is None


@pytest.mark.parametrize(
    "name",
    ["2026-12-02", "2026-12-02-version-2", "2026-12-02/version-1", "2026-12-02/version-1/../version-1"],
)
def test_the_folder_of_a_plan_uses_the_book_of_the_folder_that_it_is_in(name: str, tmp_path: Path) -> None:
    plans = a_book(tmp_path / "plans")
    (plans / "2026-12-02" / "version-1").mkdir(parents=True)
    (plans / "2026-12-02-version-2").mkdir()
    assert beside(plans / name) == plans


def test_the_folder_of_a_plan_is_found_from_within(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plans = a_book(tmp_path / "plans")
    (plans / "2026-12-02").mkdir()
    monkeypatch.chdir(plans / "2026-12-02")
    assert beside(Path()) == plans


def test_the_folder_of_a_plan_under_another_name_is_told_by_what_is_in_it(tmp_path: Path) -> None:
    plans = a_book(tmp_path / "plans")
    (plans / "wednesday").mkdir()
    (plans / "wednesday" / KEPT).touch()
    assert beside(plans / "wednesday") == plans
