"""Readings named by their cells, and those that look like slips of their unit."""

from __future__ import annotations

from fractions import Fraction

import pytest

from scheduler.domain.faults import Severity, Source
from scheduler.domain.studies import Reading, Studied
from scheduler.intake.studies.places import leave_out, place_of, slips


def readings(
    *seconds: float, element: str = "load", file: str = "a.csv", left_out: bool = False
) -> tuple[Reading, ...]:
    return tuple(
        Reading(
            studied=Studied(element=element),
            seconds=Fraction(str(one)),
            rating=Fraction(1),
            left_out=left_out,
            source=Source(file=file, cell=f"C{row}"),
        )
        for row, one in enumerate(seconds, start=2)
    )


@pytest.mark.parametrize(
    ("seconds", "doubted"),
    [
        # 0.22 and 13 in a column of minutes: either may be the wrong one
        ((13.2, 780), ["C2", "C3"]),
        ((13, 12, 780), ["C4"]),
        ((13, 0.22, 12, 14), ["C3"]),
        ((13, 12, 11, 11.5 * 20 + 11), ["C5"]),
        # an odd garment is no slip
        ((13, 12, 11, 220), []),
        ((10, 200), []),
        ((780,), []),
    ],
)
def test_a_reading_far_beyond_the_median_is_doubted(seconds: tuple[float, ...], doubted: list[str]) -> None:
    found = slips(readings(*seconds))
    assert [one.source.cell for one in found] == doubted
    assert all(one.severity is Severity.DOUBT for one in found)


def test_a_slip_is_said_with_what_others_are() -> None:
    low, high = slips(readings(13.2, 780))
    assert low.found == 'a reading of 13.2 s of "load" where others are 780 s, 59 times as much'
    assert high.found == 'a reading of 780 s of "load" where others are 13.2 s, 59 times less'
    assert "another unit" in low.mend


def test_only_readings_of_one_element_that_count_are_compared() -> None:
    assert slips((*readings(13, 12, 14), *readings(780, 760, element="whole cycle"))) == ()
    assert slips((*readings(13, 12, 14), *readings(780, left_out=True))) == ()


def test_the_place_that_is_shown_is_the_one_that_is_taken() -> None:
    alone = readings(12, 13)
    assert place_of(alone[1], alone) == "C3"
    both = (*alone, *readings(12, 13, file="b.csv"))
    assert [place_of(one, both) for one in both] == ["a.csv, C2", "a.csv, C3", "b.csv, C2", "b.csv, C3"]
    kept, faults = leave_out(both, [place_of(both[3], both)])
    assert ([one.left_out for one in kept], faults) == ([False, False, False, True], ())
