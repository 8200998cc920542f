"""Dates as people write them: what is read, what is doubted and what is asked."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.intake.cells.date_readings import DAY_FIRST, day_readings
from scheduler.intake.cells.dates import Dates
from scheduler.intake.cells.values import Taken, Unfit

MONDAY = date(2026, 3, 2)
DATES = Dates(today=MONDAY)


@pytest.mark.parametrize(
    "written",
    [
        "2026-03-31",
        "2026/3/31",
        "2026.03.31",
        "20260331",
        20260331,
        date(2026, 3, 31),
        datetime(2026, 3, 31),
        # one reading only: there is no thirty-first month
        "31/03/2026",
        "03/31/26",
        "31.3.2026",
        "31 March 2026",
        "March 31st, 2026",
        "31-Mar-26",
        "Tue 31 March 2026",
        "Tuesday, 2026-03-31",
        "３１/０３/２０２６",
    ],
)
def test_a_date_that_can_be_read_in_one_way_is_read(written: Any) -> None:
    assert DATES.day(written) == date(2026, 3, 31)


@pytest.mark.parametrize(
    ("written", "code", "mend"),
    [
        # 3 Feb and 2 Mar: 46056 and 46083 in the spreadsheet programs' count of days from 1900
        ("02/03/2026", "date-ambiguous", "2026-03-02 or 2026-02-03"),
        ("02/03/2026", "date-ambiguous", "--dates day-first"),
        ("4/5", "date-ambiguous", "2026-05-04 or 2026-04-05"),
        (46056, "date-is-a-bare-number", "2026-02-03"),
        ("46083", "date-is-a-bare-number", "2026-03-02"),
        (45292, "date-is-a-bare-number", "2024-01-01"),
        (46023, "date-is-a-bare-number", "2026-01-01"),
        ("31/02/2026", "not-a-date", "no such day"),
        ("2026-02-29", "not-a-date", "no such day"),
        ("31 April 2026", "not-a-date", "no such day"),
        ("Fri", "date-by-weekday", "2026-03-06"),
        ("friday", "date-by-weekday", "--weekdays next"),
        ("Wed 31 March 2026", "weekday-differs", "2026-03-31"),
        ("ASAP", "date-by-word", "rush"),
        ("tomorrow", "date-by-word", "year-month-day"),
        ("20 Feb", "date-without-year", "2026-02-20 or 2027-02-20"),
        ("12.30", "not-a-date", "year-month-day"),
        ("soonish", "not-a-date", "year-month-day"),
        (12, "not-a-date", "year-month-day"),
        (float("nan"), "not-a-date", "year-month-day"),
        ("1900-01-01", "date-out-of-range", "year"),
        (date(1900, 1, 1), "date-out-of-range", "year"),
        (True, "not-a-date", "year-month-day"),
    ],
)
def test_what_is_no_date_or_two_is_refused_with_its_mend(written: Any, code: str, mend: str) -> None:
    with pytest.raises(Unfit) as caught:
        DATES.day(written)
    assert caught.value.code == code
    assert mend in caught.value.mend


@pytest.mark.parametrize(
    ("written", "on"),
    [("31 March", date(2026, 3, 31)), ("31.3.", date(2026, 3, 31)), ("3/31", date(2026, 3, 31))],
)
def test_a_date_without_a_year_is_the_coming_one_with_a_doubt(written: str, on: date) -> None:
    found = DATES.day(written)
    assert isinstance(found, Taken)
    assert found.value == on and found.code == "date-without-year" and str(on) in found.mend
    # at the end of a year the coming one may be of the next
    later = Dates(today=date(2026, 11, 25)).day("3 Jan")
    assert isinstance(later, Taken) and later.value == date(2027, 1, 3)
    with pytest.raises(Unfit):
        Dates().day(written)


def test_the_order_of_day_and_month_that_the_owner_has_said_holds_for_all() -> None:
    for order, on in (("day-first", date(2026, 3, 2)), ("month-first", date(2026, 2, 3))):
        assert Dates(order=order).day("02/03/2026") == on
    with pytest.raises(Unfit, match="date") as caught:
        Dates(order="month-first").day("31/03/2026")
    assert caught.value.code == "date-against-order" and "2026-03-31" in caught.value.mend
    assert Dates(order="day-first").day("31/03/2026") == date(2026, 3, 31)


def test_a_day_name_is_read_once_the_owner_has_said_how() -> None:
    by_name = Dates(today=MONDAY, weekdays="next")
    for written, on in (("Fri", date(2026, 3, 6)), ("Monday", MONDAY), ("Sun", date(2026, 3, 8))):
        found = by_name.day(written)
        assert isinstance(found, Taken) and found.value == on and found.code == "date-by-weekday"


@pytest.mark.parametrize(
    ("written", "on", "at"),
    [
        ("2026-03-31 14:05", date(2026, 3, 31), time(14, 5)),
        ("2026-03-31T14:05:30", date(2026, 3, 31), time(14, 5)),
        ("2026-03-31T14:05:30.250", date(2026, 3, 31), time(14, 5)),
        ("31/03/2026 2:05 pm", date(2026, 3, 31), time(14, 5)),
        ("31 March 2026 2 pm", date(2026, 3, 31), time(14, 0)),
        ("2026-03-31 00:00:00", date(2026, 3, 31), None),
        ("2026-03-31", date(2026, 3, 31), None),
        (datetime(2026, 3, 31, 14, 5, 9), date(2026, 3, 31), time(14, 5)),
    ],
)
def test_dates_with_a_time(written: Any, on: date, at: time | None) -> None:
    assert DATES.day_and_time(written) == (on, at)


def test_a_time_of_another_zone_is_asked() -> None:
    for written in ("2026-03-31T14:05:00Z", "2026-03-31T14:05:00+01:00"):
        with pytest.raises(Unfit) as caught:
            DATES.day_and_time(written)
        assert caught.value.code == "time-with-zone"


@given(st.dates(min_value=date(2000, 1, 1), max_value=date(2099, 12, 31)))
def test_every_date_is_read_from_its_own_text(on: date) -> None:
    assert DATES.day(on.isoformat()) == on
    assert DATES.day(f"{on:%d %B %Y}") == on
    assert on in day_readings(f"{on:%d/%m/%Y}")
    assert Dates(order="day-first").day(f"{on:%d.%m.%Y}") == on
    assert Dates(order="month-first").day(f"{on:%m/%d/%Y}") == on


@pytest.mark.parametrize(
    "written",
    [
        "12 Mar 2026",
        "Mar 12, 2026",
        "12-Mar-26",
        "Thu 12 Mar 2026",
        "jeu. 12 mars 2026",
        "jueves 12 mar 2026",
    ],
)
def test_mar_beside_a_number_is_march(written: str) -> None:
    """In French and Spanish it is Tuesday too; a full date of figures beside it leaves it that."""
    assert Dates(today=date(2026, 3, 2)).day(written) == date(2026, 3, 12)


def test_mar_alone_or_beside_a_whole_date_is_tuesday() -> None:
    dates = Dates(today=date(2026, 3, 2), order=DAY_FIRST)
    assert dates.day("mar 10/03/2026") == dates.day("mardi 10 mars 2026") == date(2026, 3, 10)
    with pytest.raises(Unfit) as asked:
        dates.day("mar 11/03/2026")
    assert asked.value.code == "weekday-differs"
    with pytest.raises(Unfit) as asked:
        dates.day("Mar")
    assert (asked.value.code, "2026-03-03" in asked.value.mend) == ("date-by-weekday", True)
