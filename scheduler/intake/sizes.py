"""Size labels, by all the ways in which they are written."""

from __future__ import annotations

import re
from collections.abc import Iterable

from scheduler.intake.words import heading_key, size_key, words

_SIZE_LIKE = re.compile(r"Y?(\d?X{0,5}[SML]|\d{1,2}[TM]?|\d{1,2}\d{2})\Z")


class Sizes:
    """The shop's size labels, by all the ways in which they are written.

    With `unread`, the sheet that lays them down is a fault already: whatever looks like a size is one.
    """

    def __init__(self, labels: Iterable[str], *, unread: bool = False) -> None:
        self.labels = tuple(labels)
        self.unread = unread
        self._by_key: dict[str, str] = {}
        for label in self.labels:
            self._by_key.setdefault(size_key(label), label)
        for label in self.labels:
            for key in words().sizes.get(size_key(label), ()):
                self._by_key.setdefault(key, label)
        self._places = {label: place for place, label in enumerate(self.labels)}

    def find(self, written: str) -> str | None:
        """The shop's label for a size as written: XXL is 2XL where the shop has that; None when unknown."""
        found = self._by_key.get(size_key(written)) or self._in_group(written)
        return size_key(written) if found is None and self.unread and looks_like_a_size(written) else found

    def _in_group(self, written: str) -> str | None:
        """The label of a size with the word of its group before or behind it, such as "M youth"."""
        parts = heading_key(written).split()
        groups = [words().groups.get(part, "") for part in parts]
        named = [group for group in groups if group in ("youth", "toddler", "adult")]
        rest = "".join(part for part, group in zip(parts, groups, strict=True) if group not in named)
        if len(named) != 1 or not rest:
            return None
        if named[0] == "adult":
            return self._by_key.get(size_key(rest))
        begins = {"youth": ("Y{}", "YOUTH{}"), "toddler": ("{}T", "{}")}[named[0]]
        keys = (size_key(form.format(rest)) for form in begins)
        known = (self._by_key[key] for key in keys if key in self._by_key)
        return next((label for label in known if named[0] == "youth" or label.endswith("T")), None)

    def in_heading(self, heading: str) -> str | None:
        """The size in a heading such as "M" or "qty M"."""
        whole = self.find(heading)
        if whole:
            return whole
        rest = without_quantity_words(heading)
        return self.find(rest) if rest else None

    def place(self, label: str) -> int:
        """Where a label stands in the shop's order of sizes; behind all others when it is none of them."""
        return self._places.get(label, len(self.labels))


def without_quantity_words(heading: str) -> str:
    """A heading without words such as "qty", which say nothing of the size."""
    return " ".join(word for word in heading_key(heading).split() if word not in words().quantity_words)


def looks_like_a_size(heading: str) -> bool:
    """True for a heading that is a size, though perhaps not one of the shop's."""
    rest = without_quantity_words(heading)
    key = size_key(rest)
    if key in words().sizes or _SIZE_LIKE.match(key):
        return True
    parts = rest.split()
    return (
        len(parts) == 2
        and any(
            part not in words().groups
            and (size_key(part) in words().sizes or _SIZE_LIKE.match(size_key(part)))
            for part in parts
        )
        and any(words().groups.get(part, "plain") != "plain" for part in parts)
    )
