"""What cells mean: shares, clocks, dates, lists; and what is refused rather than guessed."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.intake.cells import clock_values, values
from scheduler.intake.cells.dates import Dates
from scheduler.intake.cells.findings import near, propose, shown
from scheduler.intake.cells.lengths import length_mm
from scheduler.intake.cells.quantities import pieces
from scheduler.intake.cells.sizes import Sizes, looks_like_a_size
from scheduler.intake.cells.values import Unfit
from scheduler.intake.files.grid import Unread
from scheduler.intake.words import clean, heading_key, name_key, size_key


@pytest.mark.parametrize(
    ("written", "one_is", "share"),
    [
        (11, 0.01, 0.11),
        (0.11, 0.01, 0.11),
        ("11 %", 0.01, 0.11),
        ("11%", 0.01, 0.11),
        ("11,5 %", 0.01, 0.115),
        ("0.5 %", 0.01, 0.005),
        ("0,11", 0.01, 0.11),
        (1, 0.01, 0.01),
        (1.0, 1.0, 1.0),
        ("1 %", 1.0, 0.01),
        (100, 1.0, 1.0),
        (0, 0.01, 0.0),
        (29, 0.01, 0.29),
    ],
)
def test_shares_are_read_the_same_however_they_are_typed(written: Any, one_is: float, share: float) -> None:
    assert values.share(one_is=one_is)(written) == share


@given(st.integers(min_value=2, max_value=100))
def test_percent_is_exact(percent: int) -> None:
    assert (
        values.share(one_is=1.0)(percent)
        == values.share(one_is=1.0)(f"{percent} %")
        == float(f"{percent}e-2")
    )


@pytest.mark.parametrize("written", [101, -1, "101 %", "eleven", True, "%", "1,100 %"])
def test_what_is_no_share_is_refused(written: Any) -> None:
    with pytest.raises(Unfit):
        values.share(one_is=0.01)(written)


@pytest.mark.parametrize(
    ("written", "pace"), [(1, 1.0), (1.1, 1.1), (110, 1.1), ("110 %", 1.1), ("90%", 0.9), (3, 3.0)]
)
def test_pace(written: Any, pace: float) -> None:
    assert values.pace(written) == pace


@pytest.mark.parametrize(
    ("written", "hour", "minute"),
    [
        ("8:30", 8, 30),
        ("08.30", 8, 30),
        ("8:30:59", 8, 30),
        ("12 am", 0, 0),
        ("12 pm", 12, 0),
        ("4:05 p.m.", 16, 5),
        (time(8, 30, 20), 8, 30),
        (timedelta(hours=8, minutes=30), 8, 30),
        (datetime(1899, 12, 31, 8, 30), 8, 30),
    ],
)
def test_clock(written: Any, hour: int, minute: int) -> None:
    assert clock_values.clock(written) == time(hour, minute)


@pytest.mark.parametrize(
    ("written", "mend"),
    [
        ("24:00", "23:59"),
        ("24:01", "Hours go to 23"),
        ("8:60", "minutes to 59"),
        ("13 pm", "hours:minutes"),
        (8, "08:00"),
        (0.35416666, "08:30"),
        (30, "hours:minutes"),
        ("half past eight", "hours:minutes"),
        (timedelta(hours=30), "hours:minutes"),
        (datetime(2026, 3, 2, 8, 30), "hours:minutes"),
        (True, "hours:minutes"),
    ],
)
def test_what_is_no_clock_is_refused_with_its_mend(written: Any, mend: str) -> None:
    with pytest.raises(Unfit) as caught:
        clock_values.clock(written)
    assert mend in caught.value.mend


@pytest.mark.parametrize(
    ("written", "expected"),
    [("5", 5), (5.0, 5), (" 5 ", 5), ("+5", 5), ("5.0", 5), ("5,0", 5)],
)
def test_whole_numbers(written: Any, expected: int) -> None:
    assert values.whole(0, 10)(written) == expected


@pytest.mark.parametrize(
    "written", ["1,000", "1.000", "1.000.000", "5 pcs", "5-6", "", "1e3", True, time(5, 0), "٥ pieces"]
)
def test_what_is_no_whole_number_is_refused(written: Any) -> None:
    with pytest.raises(Unfit, match="whole number"):
        values.whole(0, 1_000_000)(written)


@pytest.mark.parametrize(
    ("written", "mend"),
    [
        ("1,500", "Write 1500 or 1.5, whichever is meant."),
        ("12.000", "Write 12000 or 12, whichever is meant."),
        ("-1,250", "Write -1250 or -1.25, whichever is meant."),
        ("1.500.000", "Write a number, without other signs."),
    ],
)
def test_a_number_that_can_be_two_is_refused_with_both(written: str, mend: str) -> None:
    with pytest.raises(Unfit) as unfit:
        values.number(-10_000, 10_000_000)(written)
    assert unfit.value.mend == mend


@pytest.mark.parametrize(
    ("written", "expected"), [("0.375", 0.375), ("0,125", 0.125), ("1,5", 1.5), ("1500.125", 1500.125)]
)
def test_what_can_be_no_thousands_is_a_part_of_one(written: str, expected: float) -> None:
    assert values.number(0, 10_000)(written) == expected


@pytest.mark.parametrize(
    ("written", "mend"),
    [
        ("1.000", "Write 1000 or 1, whichever is meant."),
        ("1,500", "Write 1500, if that is meant."),
        ("1500.000", "Write a whole number"),
    ],
)
def test_whole_numbers_with_three_digits_behind_a_mark_are_refused(written: str, mend: str) -> None:
    with pytest.raises(Unfit) as unfit:
        values.whole(0, 10_000_000)(written)
    assert unfit.value.mend.startswith(mend)


@given(st.text())
def test_no_text_breaks_the_parsers(written: str) -> None:
    for parse in (
        values.whole(0, 10),
        values.number(0, 10),
        values.share(one_is=1.0),
        values.pace,
        clock_values.clock,
        Dates().day,
        clock_values.spans,
        clock_values.weekdays,
        values.yes_no,
        values.choice("peel", what="peel"),
        Dates(today=date(2026, 3, 2)).moment(date(2026, 3, 2), lambda _: time(8, 0)),
        Dates(today=date(2026, 3, 2)).day_and_time,
        Dates(today=date(2026, 3, 2), order="day-first", weekdays="next").day,
        pieces,
        lambda value: length_mm(value, "mm", what="width"),
    ):
        try:
            parse(written)
        except Unfit as unfit:
            assert unfit.expected and unfit.mend and unfit.code


@pytest.mark.parametrize(
    ("written", "days"),
    [
        ("Mon-Fri", (0, 1, 2, 3, 4)),
        ("Sat", (5,)),
        ("Mon, Wed–Thu; sunday", (0, 2, 3, 6)),
        ("tue to thu", (1, 2, 3)),
    ],
)
def test_weekdays(written: str, days: tuple[int, ...]) -> None:
    assert clock_values.weekdays(written) == days


def test_spellings_of_one_name_share_a_key() -> None:
    assert name_key("  Left\u00a0 CHEST\u200b ") == name_key("left chest")
    assert clean("e\u0301") == "é"
    assert heading_key("Cut-off  date:") == heading_key("cut off DATE")
    assert size_key("y-l") == size_key("Y L") == "YL"


@pytest.mark.parametrize(
    ("written", "label"),
    [
        ("XXL", "2XL"),
        ("2xl", "2XL"),
        ("2X", "2XL"),
        ("youth M", "Y-M"),
        ("YM", "Y-M"),
        ("medium", "M"),
        ("OSFA", "one size"),
        ("6XL", None),
        ("40", None),
    ],
)
def test_sizes_by_all_their_names(written: str, label: str | None) -> None:
    sizes = Sizes(["Y-M", "M", "2XL", "one size"])
    assert sizes.find(written) == label
    assert sizes.in_heading(f"qty {written}") == label


@pytest.mark.parametrize(
    ("heading", "yes"), [("6XL", True), ("Qty 40", True), ("4T", True), ("Price", False), ("Rep", False)]
)
def test_headings_that_look_like_sizes(heading: str, yes: bool) -> None:
    assert looks_like_a_size(heading) is yes


def test_proposals_are_near_or_none() -> None:
    assert near("left chst", ["right chest", "left chest", "nape"]) == "left chest"
    assert near("zebra", ["left chest", "nape"]) is None
    assert propose("zebra", ["a", "b"]) == "Take one of: a, b."
    many = [f"{n}." for n in range(30)]
    assert propose("zebra", many[:20]).endswith("18., 19..")
    assert propose("zebra", many) == "Take one of: 0., 1., 2., 3., 4., 5. and 24 more."
    sides = ["full front", "cap front", "nape"]
    assert propose("Front", sides) == 'Did you mean "full front" or "cap front"? Write it like that.'
    assert propose("full frnt", sides) == 'Did you mean "full front"? Write it like that.'
    assert 'add "zebra" to sheet Fabrics' in propose("zebra", ["a", "b"], "Fabrics")


def test_what_was_found_is_printable_and_short() -> None:
    assert shown("a\x07b\n" * 100).startswith('"a b ')
    assert len(shown("x" * 500)) < 70
    assert shown(None) == "nothing"
    assert shown(3.0) == '"3"'
    assert shown(Unread("error", "#N/A")) == '"#N/A"'


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf"), 1e300])
def test_what_is_no_finite_number_breaks_no_parser(value: float) -> None:
    for parse in (
        values.whole(0, 10),
        values.number(0, 10),
        values.share(one_is=1.0),
        values.pace,
        clock_values.clock,
        Dates(today=date(2026, 3, 2)).day,
        Dates(today=date(2026, 3, 2)).moment(date(2026, 3, 2), lambda _: time(8, 0)),
        pieces,
        lambda value: length_mm(value, "mm", what="width"),
    ):
        with pytest.raises(Unfit):
            parse(value)
    assert values.whole(0, 10)(9.0) == 9
