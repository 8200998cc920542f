"""What `--cycle` and `--measure` of `pressday savings` say."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

import typer

from scheduler.cli.figures import number_of, share_of
from scheduler.cli.shop_cycle import OPENS, SET_UP
from scheduler.domain.studies import Held

if TYPE_CHECKING:
    from scheduler.cli.shop_cycle import ShopCycle
    from scheduler.savings.measures import Change, Measure

WHOLE = "cycle"
"""The one element of a cycle that was timed in one piece."""

PRICE = "price"
# a comma followed by digits alone is a decimal comma: "load=6,5"
_COMMA = re.compile(r",(?!\d+(?:\s*%?\s*(?:,|\Z)))")


def cycle_of(written: str) -> dict[str, Fraction]:
    """Seconds by element: "41" for a whole cycle, or "load=13, dwell=12".

    Raises
    ------
    typer.BadParameter
        When something of it can't be understood; says what.
    """
    whole = number_of(written)
    if whole is not None:
        return {WHOLE: whole}
    cycle: dict[str, Fraction] = {}
    for part in _COMMA.split(written):
        name, equals, seconds = part.rpartition("=")
        found = number_of(seconds)
        key = " ".join(name.split()).casefold()
        if not equals or not key or found is None:
            raise typer.BadParameter(
                f'"{part.strip()}": write an element as load=13, seconds after the sign.',
                param_hint="--cycle",
            )
        if key in cycle:
            raise typer.BadParameter(f'"{part.strip()}": {key} stands there twice.', param_hint="--cycle")
        cycle[key] = found
    return cycle


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
    made: list[Change] = []
    special: dict[str, str] = {}
    price = None
    for part in _COMMA.split(changes):
        key, _, value = part.rpartition("=")
        if key.strip().casefold() == PRICE:
            price = number_of(value)
            if price is None:
                raise _unclear(part, "write the price as price=150")
            continue
        if shop is not None and key.strip().casefold() in (SET_UP, OPENS):
            special[key.strip().casefold()] = value.strip()
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
    from scheduler.intake.findings import propose
    from scheduler.savings.measures import Change

    plain = part.strip()
    alone = number_of(plain)
    if alone is not None and set(cycle) == {WHOLE}:
        return Change(element=WHOLE, to_s=alone)
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
        raise _unclear(part, "write a new time as load=6, in seconds")
    return Change(element=key, to_s=seconds)


def _unclear(written: str, why: str) -> typer.BadParameter:
    return typer.BadParameter(f'"{written.strip()}": {why}', param_hint="--measure")
