"""Readings of a study by the names of their cells, and those that look like slips of their unit."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from statistics import median_high, median_low

from scheduler.domain.faults import Fault, Severity, Source
from scheduler.domain.figures import nearest
from scheduler.domain.studies import Reading
from scheduler.intake.cells.findings import listed, propose

_MOST_CELLS = 6

SLIP = 20
"""A reading so many times the median of its element, or so small a part of it, is doubted (own choice: units
of time differ by 60, or by 100)."""


def leave_out(
    readings: Sequence[Reading], places: Iterable[str]
) -> tuple[tuple[Reading, ...], tuple[Fault, ...]]:
    """Readings with those left out that the owner names by their cells.

    Parameters
    ----------
    places
        "F14", "Study!F14" or "tuesday.xlsx, Study!F14".

    Returns
    -------
    readings
        All of them, in order; `left_out` is set on those named.
    faults
        For every place at which there is no reading, or more than one.
    """
    out, faults = named(readings, places)
    return tuple(replace(one, left_out=one.left_out or one.source in out) for one in readings), faults


def named(readings: Sequence[Reading], places: Iterable[str]) -> tuple[set[Source], tuple[Fault, ...]]:
    """The cells of readings that the owner names, as in `leave_out`, and what is wrong with the names."""
    out: set[Source] = set()
    faults = []
    for place in places:
        key = _place_key(place)
        there = [one.source for one in readings if key in _names_of(one.source)]
        if len(there) == 1:
            out.add(there[0])
            continue
        if there:
            ways = listed([f'"{source}"' for source in there], _MOST_CELLS)
            code, found = "reading-unclear", f"cell {place} in several tables"
            mend = f"Write which: {ways}."
        else:
            mend = propose(place, [one.source.cell for one in readings], most=_MOST_CELLS)
            code, found = "no-such-reading", f"no reading in cell {place}"
        faults.append(
            Fault(
                code=code,
                source=Source(file=readings[0].source.file if readings else ""),
                found=found,
                expected="the cell of one reading",
                mend=mend,
                severity=Severity.FAULT,
            )
        )
    return out, tuple(faults)


def place_of(reading: Reading, readings: Iterable[Reading]) -> str:
    """The shortest name of a reading's cell that only that one has, as `leave_out` takes it."""
    source = reading.source
    cell = _place_key(source.cell)
    alike = sum(_place_key(one.source.cell) == cell for one in readings)
    return source.cell if alike < 2 else str(source)


def place_typed(reading: Reading, readings: Iterable[Reading]) -> str:
    """Its name as it is typed behind an option: in quotes where it needs them."""
    place = place_of(reading, readings)
    return place if place.isalnum() else f'"{place}"'


def slips(readings: Iterable[Reading]) -> tuple[Fault, ...]:
    """Doubts of readings that are far beyond the others of their element, as with a wrong unit.

    Those left out are not looked at.
    """
    elements: dict[str, list[Reading]] = {}
    for reading in readings:
        if not reading.left_out:
            elements.setdefault(reading.studied.element, []).append(reading)
    found = []
    for element, own in elements.items():
        seconds = [reading.seconds for reading in own]
        # of two readings either may be the wrong one: both are doubted
        least, most = median_low(seconds), median_high(seconds)
        for reading in own:
            many = reading.seconds > SLIP * least
            if not many and reading.seconds * SLIP >= most:
                continue
            middle = least if many else most
            times = str(nearest(max(reading.seconds / middle, middle / reading.seconds)))
            found.append(
                Fault(
                    code="reading-far-off",
                    source=reading.source,
                    found=f'a reading of {float(reading.seconds):g} s of "{element}" where others are '
                    f"{float(middle):g} s, {times} times {'less' if many else 'as much'}",
                    expected=f"no more than {SLIP} times the usual one, and no less than a part in {SLIP}",
                    mend="Look whether it is in another unit; it counts as it stands.",
                    severity=Severity.DOUBT,
                )
            )
    return tuple(found)


def _place_key(place: str) -> str:
    return re.sub(r"[\s,]+", " ", place.replace("!", " ")).strip().casefold()


def _names_of(source: Source) -> set[str]:
    """Every way to name a cell, from the shortest to the fullest."""
    return {
        _place_key(name)
        for name in (
            source.cell,
            f"{source.sheet} {source.cell}",
            f"{source.file} {source.cell}",
            str(source),
        )
    }


__all__ = ["SLIP", "leave_out", "named", "place_of", "place_typed", "slips"]
