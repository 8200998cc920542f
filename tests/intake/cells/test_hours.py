"""Hours and dates as people write them: read where surely meant, doubted where they may be others."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

import pytest

from scheduler.intake.cells.clock_values import clock
from scheduler.intake.cells.values import Unfit
from tests.intake.orders.test_owner_sheets import HEAD, ROW, doubts, found, other, read


@pytest.mark.parametrize(
    ("written", "at"),
    [("14h", (14, 0)), ("14h30", (14, 30)), ("14 h 30", (14, 30)), ("14 Uhr", (14, 0)),
     ("14:30 Uhr", (14, 30)),
     ("um 9 Uhr", (9, 0)), ("14 Uhr 30", (14, 30)), ("1430", (14, 30)), (1430, (14, 30)), ("0930", (9, 30)),
     ("14:30 hrs", (14, 30)), ("noon", (12, 0)), ("Mittag", (12, 0)), ("midi", (12, 0)), ("à 9h", (9, 0))],
)  # fmt: skip
def test_times_that_are_surely_meant(written: Any, at: tuple[int, int]) -> None:
    assert clock(written) == time(*at)


@pytest.mark.parametrize(
    ("written", "mend"),
    [("14", "Write 14:00."), ("2", "Write 02:00 or 14:00."), ("0.6", "14:24"), ("1475", "hours:minutes"),
     ("25 Uhr", "Hours go to 23"), ("14h75", "minutes to 59"), ("before 3pm", "hours:minutes")],
)  # fmt: skip
def test_times_that_are_asked(written: Any, mend: str) -> None:
    with pytest.raises(Unfit) as refused:
        clock(written)
    assert mend in refused.value.mend


@pytest.mark.parametrize(
    ("heading", "written", "doubt"),
    [("Cut-off time", "2:30", "14:30"), ("Cut-off time", "12am", "12:00"), ("Garments in", "2:00", "14:00"),
     ("Transfers in", datetime(2026, 3, 2, 1, 15), "13:15"), ("Cut-off time", "14:30", ""),
     ("Garments in", "9:00", ""),
     ("Garments in", date(2026, 3, 2), "")],
)  # fmt: skip
def test_hours_before_the_shop_opens_are_doubted(heading: str, written: Any, doubt: str) -> None:
    looked = read([[*HEAD, heading], [*ROW, written]])
    assert found(looked) == []
    night = [one for one in looked.found if one.code == "hour-at-night"]
    assert [one.source.cell for one in night] == (["L2"] if doubt else []) and len(looked.orders) == 1
    assert not doubt or f"if {doubt} is meant" in night[0].mend


def test_of_two_times_the_earlier_is_taken() -> None:
    head = [*HEAD, "Due date", "Cut-off time"]
    looked = read([head, [*ROW, datetime(2026, 3, 4, 11), "14:30"]])
    assert doubts(looked) == [("two-times", "M2")] and looked.orders[0].cut_off.hour == 11
    assert doubts(read([head, [*ROW, datetime(2026, 3, 4, 11), "11:00"]])) == []


def due(*written: Any) -> tuple[list[date], list[str]]:
    rows = [[*other(str(number)), one] for number, one in enumerate(written, start=1)]
    looked = read([[*HEAD, "Due date"], *rows])
    return [order.cut_off.date() for order in looked.orders], [
        code for code, _ in doubts(looked) + found(looked)
    ]


def test_the_other_dates_of_a_sheet_settle_day_and_month() -> None:
    """Planned and read on Monday 2 March 2026."""
    assert due("09/03/2026", "16/03/2026") == ([date(2026, 3, 9), date(2026, 3, 16)], ["dates-settled"])
    assert due("03/09/2026", "03/16/2026") == ([date(2026, 3, 9), date(2026, 3, 16)], ["dates-settled"])
    assert due("09/03", "16/03")[0] == [date(2026, 3, 9), date(2026, 3, 16)]
    # two orders on one sheet settle nothing, and neither does a date by itself
    assert due("09/03/2026", "16/03/2026", "03/17/2026")[1] == ["date-ambiguous"]
    assert due("09/03/2026", "2026-03-16")[1] == ["date-ambiguous"]
    assert due("17/03/2026", "16/03/2026")[1] == []


@pytest.mark.parametrize(
    ("written", "on", "codes"),
    [
        ("Tue 10/3", date(2026, 3, 10), ["date-without-year"]),
        ("Tue 10/03/2026", date(2026, 3, 10), []),
        ("9.3.2026", date(2026, 3, 9), ["date-with-points"]),
        ("9.3.", date(2026, 3, 9), ["date-without-year"]),
        ("Mon 10/3", None, ["date-ambiguous"]),
    ],
)
def test_a_weekday_or_points_settle_a_date(written: str, on: date | None, codes: list[str]) -> None:
    assert due(written) == ([on] if on else [], codes)
