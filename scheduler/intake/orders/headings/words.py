"""What one heading of an orders sheet means: confirmed, known, a size, a length, or nearly known."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from scheduler.intake.cells import near_headings
from scheduler.intake.cells.known import Known
from scheduler.intake.cells.lengths import split_unit
from scheduler.intake.cells.rows import How
from scheduler.intake.cells.sizes import Sizes, speaks_of_a_size
from scheduler.intake.orders.layout import SIZE
from scheduler.intake.words import heading_key, name_key, words

MOST_PLACEMENTS = 4
"""Numbered placement columns in one row: "placement 1" to "placement 4"."""

OF_A_PLACEMENT = ("placement", "transfer", "artwork", "width_mm", "height_mm", "both_mm")

_DIGIT = re.compile(r"(?<!\S)([1-9])(?!\S)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """What a heading means.

    Attributes
    ----------
    unit
        "mm", "cm" or "in"; "?" for a length whose unit must stand in every cell; empty for all others.
    placement
        The placement that the heading names: its column is about that one alone.
    """

    key: str
    how: How = How.KNOWN
    unit: str = ""
    placement: str = ""


class HeadingWords:
    """The meanings of headings for one kind of file.

    Parameters
    ----------
    confirmed
        Name key of a heading to what the owner has said it means; with it the unit, if any.
    placements
        Names that a heading may hold; None: none is looked for.
    """

    def __init__(
        self,
        sizes: Sizes,
        confirmed: Mapping[str, Meaning] | None = None,
        placements: Known | None = None,
    ) -> None:
        self.sizes = sizes
        self.placements = placements
        self.confirmed = confirmed or {}
        self._cache: dict[str, Meaning | None] = {}

    def meaning(self, heading: str) -> Meaning | None:
        """What a heading means; None when it is not known."""
        if heading not in self._cache:
            self._cache[heading] = self._meaning(heading)
        return self._cache[heading]

    def is_said_otherwise(self, heading: str, key: str) -> bool:
        """Whether a heading would mean a column, had the owner not said that it means something else."""
        said = self.confirmed.get(name_key(heading))
        if said is None or said.key == key:
            return False
        own = _known(heading) or _length(heading)
        return own is not None and own.key == key

    def _meaning(self, heading: str) -> Meaning | None:
        if (said := self.confirmed.get(name_key(heading))) is not None:
            return said
        return _known(heading) or _length(heading) or self._size(heading) or self._of_one_placement(heading)

    def _of_one_placement(self, heading: str) -> Meaning | None:
        """What a heading that names a placement means: its artwork when it says no more."""
        if self.placements is None or self.placements.unread:
            return None
        parts = name_key(heading).split()
        for count in range(len(parts), 0, -1):
            for first, rest in ((parts[:count], parts[count:]), (parts[-count:], parts[:-count])):
                placement = self.placements.find(" ".join(first))
                if placement is None:
                    continue
                about = " ".join(rest).strip(" -:/()")
                meaning = (_known(about) or _length(about)) if about else Meaning(key="artwork")
                if meaning is not None and meaning.key == "size":
                    meaning = Meaning(key="both_mm", unit="?")
                if meaning is not None and meaning.key in OF_A_PLACEMENT[1:]:
                    return replace(meaning, placement=placement, how=How.NEAR)
        return None

    def _size(self, heading: str) -> Meaning | None:
        size = self.sizes.in_heading(heading)
        return Meaning(key=f"{SIZE}{size}") if size else None

    def joined(self, upper: str, lower: str) -> tuple[str, Meaning | None]:
        """A heading in two rows, as one: its text and its meaning."""
        both = f"{upper} {lower}"
        digit = _DIGIT.search(heading_key(upper))
        alone = self.meaning(lower)
        candidates = [both, f"{lower} {upper}"]
        if digit and alone is not None and alone.key in OF_A_PLACEMENT:
            candidates.append(f"{lower} {digit[1]}")
        for candidate in candidates:
            if (found := self.meaning(candidate)) is not None:
                return both, found
        group = words().groups.get(heading_key(upper))
        if alone is None or not alone.key.startswith(SIZE):
            return lower, alone
        known = self.meaning(upper)
        plain = known is not None and known.key in ("size", "quantity", "total")
        return (lower, alone) if plain or group in ("plain", "adult") else (both, None)


def _known(heading: str) -> Meaning | None:
    """An alias, alone or numbered ("transfer 2")."""
    known = words().headings["orders"]
    key = heading_key(heading)
    if key in known:
        return _of(known[key])
    ordinals = words().ordinals
    key = " ".join(str(ordinals.get(part, part)) for part in key.split())
    digit = _DIGIT.search(key)
    if digit and int(digit[1]) <= MOST_PLACEMENTS:
        base = known.get(_without(key, digit))
        if base in OF_A_PLACEMENT:
            return _of(base if digit[1] == "1" else f"{base} {digit[1]}")
    return None


def _of(key: str) -> Meaning:
    if key == "not_needed":
        return Meaning(key="", how=How.NOT_NEEDED)
    return Meaning(key=key, unit="mm" if key.startswith(("width_mm", "height_mm")) else "")


def _length(heading: str) -> Meaning | None:
    """A width or height by its base and its unit, or without one."""
    base, unit = split_unit(heading)
    key = heading_key(base)
    digit = _DIGIT.search(key)
    number = ""
    if digit and int(digit[1]) <= MOST_PLACEMENTS:
        key = _without(key, digit)
        number = "" if digit[1] == "1" else f" {digit[1]}"
    side = words().sides.get(key)
    return Meaning(key=f"{side}{number}", unit=unit or "?") if side else None


def _without(key: str, digit: re.Match[str]) -> str:
    return " ".join((key[: digit.start()] + key[digit.end() :]).split())


def nearly(heading: str) -> str | None:
    """The known heading that a mistyped one is safely taken for; None when there is none, or two."""
    return None if speaks_of_a_size(heading) else near_headings.nearly(heading, words().headings["orders"])


def likely(heading: str) -> str | None:
    """The known heading that one not known may mean; only ever proposed."""
    if speaks_of_a_size(heading):
        return None
    found = near_headings.like(heading, words().headings["orders"], safe=False)
    return found[0] if found else None
