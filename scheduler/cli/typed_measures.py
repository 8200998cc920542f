"""What `--cycle` and `--measure` of `pressday savings` say."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

import typer

from scheduler.cli.typed_numbers import number_of, share_of, why_no_number
from scheduler.domain.studies import Held
from scheduler.workflow.shop_cycle import OPENS, SET_UP

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.savings.measures import Change, Measure
    from scheduler.workflow.shop_cycle import ShopCycle

WHOLE = "cycle"
"""The one element of a cycle that was timed in one piece."""

PRICE = "price"
# a comma followed by digits alone is a decimal comma: "load=6,5"
_APART = re.compile(r"\s*;\s*|,(?!\d+(?:\s*%?\s*(?:[,;]|\Z)))")
_NOT_IN_NAMES = "=;"


def cycle_of(written: str) -> dict[str, Fraction]:
    """Seconds by element: "41" for a whole cycle, or "load=13, dwell=12".

    Raises
    ------
    typer.BadParameter
        When something of it can't be understood; says what.
    """
    if not written.strip():
        raise _unclear(
            written, 'write the seconds of a whole cycle as 41, or its elements as "load=13"', "--cycle"
        )
    whole = number_of(written)
    if whole is not None:
        return {WHOLE: whole}
    if why := why_no_number(written):
        raise _unclear(written, why, "--cycle")
    cycle: dict[str, Fraction] = {}
    for part in _APART.split(written):
        if not part.strip():
            raise _unclear(written, "nothing stands before or after a comma or semicolon", "--cycle")
        name, equals, seconds = part.rpartition("=")
        found = number_of(seconds)
        key = " ".join(name.split()).casefold()
        if "=" in name:
            raise _unclear(part, "write a comma or semicolon between elements; a name has no =", "--cycle")
        if not equals or not key or found is None:
            why = why_no_number(seconds) if equals else ""
            raise _unclear(part, why or "write an element with its seconds as load=13", "--cycle")
        if key in cycle:
            raise _unclear(part, f"{key} stands there twice", "--cycle")
        cycle[key] = found
    return cycle


def measures_of(
    written: Iterable[str], cycle: dict[str, Fraction], shop: ShopCycle | None = None
) -> list[Measure]:
    """Measures in the order given, each with a name of its own.

    Raises
    ------
    typer.BadParameter
        As `measure_of`; also when two have the same name.
    """
    measures: dict[str, Measure] = {}
    for one in written:
        measure = measure_of(one, cycle, shop)
        key = " ".join(measure.name.split()).casefold()
        if key in measures:
            raise _unclear(one, f'two measures are called "{measure.name}"; give each a name of its own')
        measures[key] = measure
    return list(measures.values())


def measure_of(written: str, cycle: dict[str, Fraction], shop: ShopCycle | None = None) -> Measure:
    """A measure: "cover: load=6, unload=3, price=150", or "practice: load -10%".

    Parameters
    ----------
    cycle
        The cycle that it changes. For a whole cycle the new time alone will do: "cover: 30".
    shop
        The press of a shop that the cycle is of: then "set-up=cover" and "opens=by itself" say what changes.

    Raises
    ------
    typer.BadParameter
        When something of it can't be understood, or it names an element that the cycle doesn't have.
    """
    from scheduler.savings.measures import Measure

    name, colon, changes = written.partition(":")
    if not colon or not name.strip():
        raise _unclear(written, "write the name, a colon and what changes")
    if any(sign in name for sign in _NOT_IN_NAMES):
        raise _unclear(name, "a name has no = and no semicolon; write the name, a colon and what changes")
    made: list[Change] = []
    special: dict[str, str] = {}
    price = None
    for part in _APART.split(changes):
        key, _, value = part.rpartition("=")
        word = key.strip().casefold()
        if "=" in key:
            raise _unclear(part, "write a comma or semicolon between changes; a name has no =")
        if (word == PRICE and price is not None) or word in special:
            raise _unclear(written, f"{word} stands there twice")
        if word == PRICE:
            price = number_of(value)
            if price is None:
                raise _unclear(part, why_no_number(value) or "write the price as price=150")
            continue
        if shop is not None and word in (SET_UP, OPENS):
            special[word] = value.strip()
            continue
        change = _change(part, cycle)
        if shop is not None and change.element in list(Held):
            raise _unclear(part, "the recipe says how long; it is no measure to press otherwise")
        made.append(change)
    try:
        if shop is not None and special:
            made = [*shop.changes(special), *made]
        return Measure(name=name.strip(), changes=tuple(made), price=price)
    except ValueError as error:
        raise _unclear(written, str(error)) from None


def _change(part: str, cycle: dict[str, Fraction]) -> Change:
    from scheduler.intake.cells.findings import propose
    from scheduler.savings.measures import Change

    plain = part.strip()
    alone = number_of(plain)
    if alone is not None and set(cycle) == {WHOLE}:
        return Change(element=WHOLE, to_s=alone)
    if why := why_no_number(plain):
        raise _unclear(part, why)
    name, equals, value = plain.rpartition("=")
    if not equals:
        name, minus, value = plain.rpartition("-")
        share = share_of(value) if minus else None
        if share is None:
            raise _unclear(part, "write a new time as load=6, or a share off as load -10%")
    key = " ".join(name.split()).casefold()
    if key not in cycle:
        mend = propose(key, cycle) if key else "Name the element."
        raise _unclear(part, f"the cycle has no such element. {mend}")
    if not equals:
        return Change(element=key, share_off=share)
    seconds = number_of(value)
    if seconds is None:
        raise _unclear(part, why_no_number(value) or "write a new time as load=6, in seconds")
    return Change(element=key, to_s=seconds)


def _unclear(written: str, why: str, option: str = "--measure") -> typer.BadParameter:
    end = "" if why.endswith((".", "?")) else "."
    return typer.BadParameter(f'"{written.strip()}": {why}{end}', param_hint=option)
