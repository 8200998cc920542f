"""Collecting faults and doubts while reading goes on."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Severity, Source
from scheduler.intake.files.grid import Unread

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from scheduler.intake.files.grid import Value

_LONGEST = 60
_LONG = 4
_NEAR = 70.0
_MISTYPED = 85.0
_LEAST_WORD = 3
_MOST_NAMED = 6
_FEW = 6
"""Names that are listed of too many."""

_MOST_LISTED = 20
"""Words of the program's own, such as columns and elements, are listed whole: they stand nowhere else."""

_WORD = re.compile(r"[^\W\d_]+")
_NEAR_PART = 80.0
"""Least likeness, of 100, for a name to be proposed. A proposal is only ever printed, never used."""


def shown(value: Value) -> str:
    """A cell's value, short and printable, for the "found" of a fault."""
    if value is None:
        return "nothing"
    if isinstance(value, Unread):
        return f'"{_short(value.text)}"' if value.kind == "error" else f"the formula {_short(value.text)}"
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        value = int(value)
    return f'"{_short(str(value))}"'


def _short(text: str) -> str:
    text = "".join(c if c.isprintable() else " " for c in text)
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"


def near(name: str, names: Iterable[str]) -> str | None:
    """The known name most like a mistyped one; None when nothing comes near."""
    from rapidfuzz import fuzz, process

    choices = list(dict.fromkeys(names))
    keys = [choice.casefold() for choice in choices]
    best = process.extractOne(name.casefold(), keys, scorer=fuzz.token_sort_ratio, score_cutoff=_NEAR)
    if best is None and len(name) >= _LONG:
        # parts of names count too, but any short word is part of some long one
        long = [key if len(key) >= _LONG else "" for key in keys]
        best = process.extractOne(name.casefold(), long, scorer=fuzz.WRatio, score_cutoff=_NEAR_PART)
    return choices[best[2]] if best else None


def listed(names: Sequence[str], most: int) -> str:
    """Names with commas between; of more than so many the first few, and how many there are besides."""
    if len(names) <= most:
        return ", ".join(names)
    return f"{', '.join(names[:_FEW])} and {len(names) - _FEW} more"


def propose(name: str, names: Iterable[str], sheet: str = "", *, most: int = _MOST_LISTED) -> str:
    """What to do about a name that is not known: the near match, or where the names stand.

    With a sheet, adding the name there is a way too; without, only the known names will do.

    Parameters
    ----------
    most
        Of more known names than so many only the first few are listed.
    """
    choices = list(dict.fromkeys(names))
    add = f', or add "{_short(name)}" to sheet {sheet}' if sheet else ""
    meant = _mistyped(name, choices) or _sharing_words(name, choices)
    if not meant:
        match = near(name, choices)
        meant = [match] if match else []
    if len(meant) > 1:
        named = ", ".join(f'"{choice}"' for choice in meant[:-1]) + f' or "{meant[-1]}"'
        return f"Did you mean {named}? Write it like that{add}."
    if meant:
        return f'Did you mean "{meant[0]}"? Write it like that{add}.'
    if choices and (len(choices) <= 12 or not sheet):
        return f"Take one of: {listed(choices, most)}{add}."
    return f'Add "{_short(name)}" to sheet {sheet}, or take a name that stands there.'


def _mistyped(name: str, choices: Sequence[str]) -> list[str]:
    """The one choice that a name is all but equal to; none when two come close."""
    from rapidfuzz import fuzz, process

    keys = [choice.casefold() for choice in choices]
    found = process.extract(name.casefold(), keys, scorer=fuzz.ratio, score_cutoff=_MISTYPED, limit=2)
    return [choices[found[0][2]]] if found and (len(found) == 1 or found[1][1] < found[0][1]) else []


def _sharing_words(name: str, choices: Sequence[str]) -> list[str]:
    """The choices that share most words with a name: any of them may be meant; none when too many do."""
    parts = {part.removesuffix("s") for part in _WORD.findall(name.casefold()) if len(part) >= _LEAST_WORD}
    shares: dict[str, tuple[int, float]] = {}
    for choice in choices:
        there = _WORD.findall(choice.casefold())
        begun = sum(any(word.startswith(part) for word in there) for part in parts)
        whole = sum(word in parts or word.removesuffix("s") in parts for word in there)
        if begun:
            shares[choice] = begun, whole / len(there)
    best = max(shares.values(), default=(0, 0.0))
    found = [choice for choice, share in shares.items() if share == best]
    return found if len(found) <= _MOST_NAMED else []


class Findings:
    """The faults and doubts found so far, in reading order."""

    def __init__(self) -> None:
        self._all: list[Fault] = []
        self._count = 0

    def fault(self, code: str, source: Source, found: str, expected: str, mend: str) -> None:
        """Note something that can't be planned from."""
        self._count += 1
        self._all.append(Fault(code=code, source=source, found=found, expected=expected, mend=mend))

    def doubt(self, code: str, source: Source, found: str, expected: str, mend: str) -> None:
        """Note something that is planned with an assumption."""
        self._all.append(
            Fault(
                code=code, source=source, found=found, expected=expected, mend=mend, severity=Severity.DOUBT
            )
        )

    def extend(self, faults: Iterable[Fault]) -> None:
        """Take over what another reader found."""
        for one in faults:
            self._all.append(one)
            self._count += one.severity is Severity.FAULT

    @property
    def all(self) -> tuple[Fault, ...]:
        """Everything found."""
        return tuple(self._all)

    @property
    def fault_count(self) -> int:
        """How many faults there are; asked for at every order."""
        return self._count

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Only what can't be planned from."""
        return tuple(fault for fault in self._all if fault.severity is Severity.FAULT)
