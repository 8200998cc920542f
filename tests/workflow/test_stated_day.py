"""The day that orders are most likely meant for."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from scheduler.intake import read_shop
from scheduler.workflow.stated_day import day_of


@pytest.mark.parametrize(
    ("dates", "today", "day"),
    [
        ([], "2027-03-09", "2027-03-10"),
        ([], "2027-03-12", "2027-03-15"),  # Friday: the shop opens again on Monday
        (["2027-03-16", "2027-03-11"], "2027-03-09", "2027-03-11"),
        (["2027-03-09"], "2027-03-09", "2027-03-09"),
        (["2027-03-11", "2027-03-16"], "2027-03-12", "2027-03-16"),
        (["2027-03-14"], "2027-03-09", "2027-03-12"),  # due on Sunday: pressed on Friday
        (["2027-03-14"], "2027-03-13", "2027-03-15"),  # no working day before it is left
        (["2027-03-14", "2027-03-16"], "2027-03-29", "2027-03-12"),  # all past
    ],
)
def test_the_day_that_orders_are_checked_for(shop: Path, dates: list[str], today: str, day: str) -> None:
    read = read_shop(shop / "shop.xlsx")
    written = [date.fromisoformat(on) for on in dates]
    assert day_of(written, read, date.fromisoformat(today)) == date.fromisoformat(day)
