"""Numbers, shares and names as typed in options of the commands on times and savings."""

from __future__ import annotations

import re
from fractions import Fraction

import typer

from scheduler.domain.figures import two_readings

_NUMBER = re.compile(r"\d{1,9}(?:[.,]\d{1,9})?\Z")


def number_of(written: str) -> Fraction | None:
    """A number that is not negative, with a point or a comma; None when it is none, or can be two."""
    plain = written.strip()
    return _number(plain) if two_readings(plain) is None else None


def _number(plain: str) -> Fraction | None:
    return Fraction(plain.replace(",", ".")) if _NUMBER.match(plain) else None


def why_no_number(written: str) -> str:
    """Why `number_of` doesn't take what looks like a number, and what to write; empty when it doesn't."""
    plain = written.strip()
    if plain.startswith("-") and _NUMBER.match(plain[1:].strip()):
        return "it may not be below 0"
    both = two_readings(plain)
    return f"that can be {both[0]} or {both[1]}; write {both[0]} or {both[1]}" if both else ""


def share_of(written: str) -> Fraction | None:
    """A share written as 11 %; None when it isn't, or is above 100 %."""
    plain = written.strip()
    # no share is in thousands of percent
    found = _number(plain[:-1].strip()) if plain.endswith("%") else None
    return found / 100 if found is not None and found <= 100 else None


def amount_option(written: str | Fraction) -> Fraction:
    """The number that an option gives, 0 or more.

    Raises
    ------
    typer.BadParameter
        When it is none.
    """
    if isinstance(written, Fraction):
        return written
    found = number_of(written)
    if found is None:
        why = why_no_number(written) or "write a number such as 8 or 7.5"
        raise typer.BadParameter(f'"{written}": {why}.')
    return found


def share_option(written: str | Fraction) -> Fraction:
    """The share that an option gives.

    Raises
    ------
    typer.BadParameter
        When it is written in another way than 11 %, or is above 100 %.
    """
    if isinstance(written, Fraction):
        return written
    found = share_of(written if written.strip().endswith("%") else f"{written}%")
    if found is None:
        raise typer.BadParameter(f'"{written}": write a share as 11 %, at most 100 %.')
    return found
