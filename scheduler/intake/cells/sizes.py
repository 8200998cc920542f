"""Size labels, by all the ways in which they are written."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from scheduler.intake.words import clean, heading_key, name_key, size_key, words

_LETTERS = re.compile(r"(?:\d?X{0,5}[SL]|\d{0,2}[XM])T?\Z")
_BETWEEN = re.compile(r"[\s/,;&+|\\–—-]+|\b(?:or|and|to|oder|und|bis|ou|et|o|y)\b", re.IGNORECASE)
_UNSURE = re.compile(r"[?*+~<>=!]|\(\d+\)|\d\s*:\s*\d")
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
            if not sizes_joined(label):
                self._by_key.setdefault(size_key(label), label)
        for label in self.labels:
            for key in words().sizes.get(size_key(label), ()):
                self._by_key.setdefault(key, label)
        # a shop may well have a size "S/M"; it is none of those it is joined of
        self._joined = {joined: label for label in self.labels if (joined := sizes_joined(label))}
        self._places = {label: place for place, label in enumerate(self.labels)}

    def find(self, written: str) -> str | None:
        """The shop's label for a size as written: XXL is 2XL where the shop has that; None when unknown.

        Two sizes in one, such as S/M, are a size only where the shop has one of that name; and so is a size
        with a mark of doubt behind it.
        """
        joined = sizes_joined(written)
        if joined:
            return self._joined.get(joined) or (clean(written) if self.unread else None)
        if _UNSURE.search(written):
            return next((label for label in self.labels if name_key(label) == name_key(written)), None)
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
        if self.unread and (rest := without_quantity_words(heading)) and not _UNSURE.search(heading):
            # Where any letters may be a size, those of "Pieces" would be part of one.
            return self.find(rest)
        whole = self.find(heading)
        if whole or _UNSURE.search(heading):
            return whole
        rest = without_quantity_words(heading)
        return self.find(rest) if rest else None

    def place(self, label: str) -> int:
        """Where a label stands in the shop's order of sizes; behind all others when it is none of them."""
        return self._places.get(label, len(self.labels))


@lru_cache(maxsize=4096)
def sizes_joined(written: str) -> tuple[str, ...]:
    """The keys of two or more sizes in one text, such as "S/M" or "S, M" or "S to XL"; else none."""
    if len(whole := size_key(written)) > 3 and whole in words().sizes:
        return ()
    parts = [size_key(part) for part in _BETWEEN.split(name_key(written)) if part.strip()]
    if len(parts) < 2 or not all(_is_a_size(part) for part in parts):
        return ()
    return tuple(parts)


def _is_a_size(key: str) -> bool:
    return (bool(_LETTERS.match(key)) and key not in ("X", "T") and not key.isdigit()) or key in words().sizes


def is_unsure(written: str) -> bool:
    """Whether a size has a mark beside it that can mean anything, such as "M?" or "XL+"."""
    return bool(_UNSURE.search(written))


def without_marks(written: str) -> str:
    """A size without such marks."""
    return clean(_UNSURE.sub(" ", written))


def speaks_of_a_size(heading: str) -> bool:
    """True for a heading with a size somewhere in it, such as "S (2)" or "size L tall"."""
    return any(
        _is_a_size(size_key(part)) for part in heading_key(heading).split() if size_key(part) != "X"
    ) or bool(_LETTERS.match(size_key(heading)))


def without_quantity_words(heading: str) -> str:
    """A heading without words such as "qty", which say nothing of the size."""
    return " ".join(word for word in heading_key(heading).split() if word not in words().quantity_words)


def looks_like_a_size(heading: str) -> bool:
    """True for a heading that is a size, though perhaps not one of the shop's."""
    rest = without_quantity_words(heading)
    key = size_key(rest)
    if sizes_joined(heading) or key in words().sizes or _SIZE_LIKE.match(key):
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
