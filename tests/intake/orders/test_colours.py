"""Garment colours by the shop's own list."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.intake import ShopWords, default_shop, read_shop, write_shop
from tests.intake.orders.test_owner_sheets import HEAD, MONDAY, doubts, found, other, read

LIST = {"navy": ("marine", "dark blue"), "black": (), "sky blue": ()}
SHOP = replace(default_shop(), colours=LIST)
WORDS = ShopWords.of(SHOP).on(MONDAY)


@pytest.mark.parametrize(
    ("written", "read_as"),
    [("navy", "navy"), (" Navy ", "navy"), ("MARINE", "navy"), ("Dark  blue", "navy"), (None, "")],
)
def test_a_colour_is_said_in_the_shops_own_name(written: str | None, read_as: str) -> None:
    looked = read([HEAD, other("1", Colour=written)], WORDS)
    assert found(looked) == doubts(looked) == []
    assert looked.orders[0].lines[0].colour == read_as


def test_a_colour_that_is_not_on_the_list_is_doubted_with_the_nearest() -> None:
    looked = read([HEAD, other("1", Colour="navvy"), other("2", Colour="teal")], WORDS)
    assert found(looked) == [] and doubts(looked) == [("unknown-colour", "D2"), ("unknown-colour", "D3")]
    assert [order.lines[0].colour for order in looked.orders] == ["navvy", "teal"]
    assert 'Printed as it stands. Did you mean "navy"?' in looked.found[0].mend
    assert "Take one of: navy, black, sky blue" in looked.found[1].mend


def test_without_a_list_any_words_will_do() -> None:
    looked = read([HEAD, other("1", Colour="navvy")])
    assert doubts(looked) == [] and looked.orders[0].lines[0].colour == "navvy"


def test_the_list_stands_in_the_shop_workbook(tmp_path: Path) -> None:
    file = tmp_path / "shop.xlsx"
    write_shop(SHOP, file)
    assert read_shop(file).colours == LIST
    write_shop(default_shop(), file)
    assert read_shop(file).colours == {}
