"""The words that sheets and headings go by, one data file a language.

A language is a file `words/<code>.toml`; adding a file adds its words to those that are understood.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from typing import Any, TypeVar

_T = TypeVar("_T")
_SPACES = re.compile(r"\s+")
_UNSEEN = re.compile(r"[\u00ad\u200b\u200e\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]+")
_ACCENTS = re.compile(r"(?<=[a-zA-Z])[\u0300-\u036f]+")
_JOINERS = re.compile(r"[\u200c\u200d]+")
_WORD = re.compile(r"\w+")
_NOT_WORD = re.compile(r"[\W_]+")


@lru_cache(maxsize=65_536)
def clean(text: str) -> str:
    """Text with Unicode composed, all kinds of spaces made one plain space, and none at the ends.

    Marks that nobody sees are taken out, but for the joiners that some scripts and pictures need.
    """
    if text.isascii() and text.isprintable() and "  " not in text:
        return text.strip()
    return _SPACES.sub(" ", _UNSEEN.sub("", unicodedata.normalize("NFC", text))).strip()


@lru_cache(maxsize=65_536)
def name_key(text: str) -> str:
    """What two spellings of one name share: case, spaces and the width of letters don't count."""
    plain = clean(text)
    if not plain.isascii():
        plain = clean(unicodedata.normalize("NFKC", _JOINERS.sub("", plain)))
    return plain.casefold()


@lru_cache(maxsize=65_536)
def heading_key(text: str) -> str:
    """What two spellings of one heading share: case, spaces, marks and accents don't count."""
    plain = name_key(text)
    if not plain.isascii():
        plain = unicodedata.normalize("NFC", _ACCENTS.sub("", unicodedata.normalize("NFD", plain)))
    return _NOT_WORD.sub(" ", plain).strip()


@lru_cache(maxsize=65_536)
def size_key(text: str) -> str:
    """What two spellings of one size label share: "y-l", "Y L" and "YL" are one."""
    return _NOT_WORD.sub("", name_key(text).upper())


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """All words that are understood.

    Attributes
    ----------
    headings
        By table ("orders", "presses", ...): heading key to column key.
    sides
        Key of a heading for a width or height, without its unit, to column key.
    units
        Unit as written, by its name key, to "mm", "cm" or "in".
    sheets
        Sheet-name key to table.
    sheets_aside
        Words in the names of sheets that are kept aside, such as "archive".
    over_dates
        Headings that mean the cut-off date where they stand over dates.
    placement_words
        Words for a place on a garment, wherever they stand in a heading.
    counting
        Words in headings that may count pieces, such as "amount".
    ordinals
        Ordinal-word key to 1 ... 4.
    yes, no
        Keys of the words for yes and no.
    weekdays
        Weekday-word key to 0 (Monday) ... 6.
    months
        Month-word key to 1 (January) ... 12.
    today, tomorrow, soon, noon, filler
        Words that stand for dates, for twelve o'clock, and that may stand beside a date without saying
        anything.
    priorities
        Priority-word key to weight.
    sizes
        Size key to all size keys that mean the same.
    quantity_words
        Words that may stand with a size in a heading ("qty M").
    groups
        Word key to "youth", "toddler", "adult", "fit" (ladies' sizes are others), or "plain" for a word over
        headings that adds nothing.
    choices
        By name of a choice ("opening", "peel" ...): word key to the program's word.
    statuses
        Status key to "done", "cancelled", "on_hold", "to_press" or "unclear".
    note_words
        By what a note says ("rush", "wait", "change"): the words, as heading keys.
    arrived, awaited
        Keys of the words for goods that are here, and for those that are not.
    dozen
        Keys of the words for twelve.
    gross
        Keys of the words for twelve dozen.
    totals
        Keys of the words that begin a row of totals.
    names
        By kind of name ("placement", "fabric", "transfer"): another way to write it, to the usual name's key.
    """

    headings: dict[str, dict[str, str]]
    sides: dict[str, str]
    units: dict[str, str]
    sheets: dict[str, str]
    sheets_aside: frozenset[str]
    over_dates: frozenset[str]
    placement_words: frozenset[str]
    counting: frozenset[str]
    ordinals: dict[str, int]
    yes: frozenset[str]
    no: frozenset[str]
    weekdays: dict[str, int]
    months: dict[str, int]
    today: frozenset[str]
    tomorrow: frozenset[str]
    soon: frozenset[str]
    filler: frozenset[str]
    noon: frozenset[str]
    priorities: dict[str, int]
    sizes: dict[str, tuple[str, ...]]
    quantity_words: frozenset[str]
    groups: dict[str, str]
    choices: dict[str, dict[str, str]]
    statuses: dict[str, str]
    note_words: dict[str, tuple[str, ...]]
    arrived: frozenset[str]
    awaited: frozenset[str]
    dozen: frozenset[str]
    gross: frozenset[str]
    totals: frozenset[str]
    names: dict[str, dict[str, str]]


@cache
def words() -> Words:
    """Read all language files once.

    Raises
    ------
    ValueError
        When two files give one word two meanings; names the file and the word.
    """
    return merge([(name, tomllib.loads(content)) for name, content in _contents()])


@cache
def accented() -> frozenset[str]:
    """The words in all language files that hold letters beyond the plain Latin ones, in small letters."""
    found = (word for _, content in _contents() for word in _WORD.findall(content) if not word.isascii())
    return frozenset(word.casefold() for word in found)


def _contents() -> list[tuple[str, str]]:
    """The language files, sorted: names and contents."""
    folder = resources.files("scheduler.intake") / "words"
    files = sorted(
        (item for item in folder.iterdir() if item.name.endswith(".toml")), key=lambda item: item.name
    )
    return [(item.name, item.read_text(encoding="utf-8")) for item in files]


def merge(files: list[tuple[str, dict[str, Any]]]) -> Words:
    """The words of several languages together; each file as its name and its parsed content.

    Raises
    ------
    ValueError
        When two files, or one, give a word two meanings; names the file and the word.
    """
    choices = _nested(files, "choices", heading_key)
    yes_no = _lists(files, "yes_no", name_key)
    dates = _lists(files, "dates", heading_key, leave=("months",))
    notes = _lists(files, "notes", heading_key)
    return Words(
        headings=_nested(files, "headings", heading_key),
        sides=_lists(files, "sides", heading_key),
        units=_lists(files, "units", name_key),
        sheets=_lists(files, "sheets", heading_key),
        sheets_aside=frozenset(_lists(files, "sheets_aside", heading_key)),
        over_dates=_of(_lists(files, "heading_words", heading_key), "over_dates"),
        placement_words=_of(_lists(files, "heading_words", heading_key), "placement"),
        counting=_of(_lists(files, "heading_words", heading_key), "counting"),
        ordinals=_numbered(files, "ordinals", "names", 1),
        yes=_of(yes_no, "yes"),
        no=_of(yes_no, "no"),
        weekdays=_numbered(files, "weekdays", "names", 0),
        months=_numbered(files, "dates", "months", 1),
        today=_of(dates, "today"),
        tomorrow=_of(dates, "tomorrow"),
        soon=_of(dates, "soon"),
        filler=_of(dates, "filler"),
        noon=_of(dates, "noon"),
        priorities=_priorities(files),
        sizes=_sizes(files),
        quantity_words=frozenset(
            heading_key(word)
            for _, content in files
            for word in content.get("sizes", {}).get("quantity_words", [])
        ),
        groups=_lists(files, "groups", heading_key),
        choices=choices,
        statuses=_lists(files, "statuses", heading_key),
        note_words={
            what: tuple(key for key in notes if notes[key] == what) for what in ("rush", "wait", "change")
        },
        arrived=_of(_lists(files, "arrivals", heading_key), "arrived"),
        awaited=_of(_lists(files, "arrivals", heading_key), "awaited"),
        dozen=_of(_lists(files, "counts", heading_key), "dozen"),
        gross=_of(_lists(files, "counts", heading_key), "gross"),
        totals=frozenset(_lists(files, "totals", heading_key)),
        names={
            kind: {key: name_key(name) for key, name in one.items()}
            for kind, one in _nested(files, "names", heading_key).items()
        },
    )


_Files = list[tuple[str, dict[str, Any]]]


def _lists(
    files: _Files, section: str, key: Callable[[str], str], *, leave: tuple[str, ...] = ()
) -> dict[str, str]:
    """A section of lists of spellings: key of a spelling to the name of its list."""
    found: dict[str, str] = {}
    for file, content in files:
        for meaning, spellings in content.get(section, {}).items():
            for spelling in () if meaning in leave else spellings:
                _put(found, key(spelling), meaning, file)
    return found


def _nested(files: _Files, section: str, key: Callable[[str], str]) -> dict[str, dict[str, str]]:
    """The same for a section of such sections."""
    tables = dict.fromkeys(table for _, content in files for table in content.get(section, {}))
    parts = {table: [(file, content.get(section, {})) for file, content in files] for table in tables}
    return {table: _lists(part, table, key) for table, part in parts.items()}


def _of(found: dict[str, str], meaning: str) -> frozenset[str]:
    return frozenset(key for key, one in found.items() if one == meaning)


def _numbered(files: _Files, section: str, table: str, first: int) -> dict[str, int]:
    """Spellings by the place of their list, such as the months of a year."""
    found: dict[str, int] = {}
    for file, content in files:
        for number, spellings in enumerate(content.get(section, {}).get(table, []), start=first):
            for spelling in spellings:
                _put(found, heading_key(spelling), number, file)
    return found


def _priorities(files: _Files) -> dict[str, int]:
    found: dict[str, int] = {}
    for file, content in files:
        for priority in content.get("priorities", []):
            for spelling in priority["names"]:
                _put(found, name_key(spelling), priority["weight"], file)
    return found


def _sizes(files: _Files) -> dict[str, tuple[str, ...]]:
    """Every size key to all that mean the same; lists that begin alike are one, in whatever file."""
    first: dict[str, str] = {}
    for file, content in files:
        for group in content.get("sizes", {}).get("same", []):
            for spelling in group:
                _put(first, size_key(spelling), size_key(group[0]), file)
    groups: dict[str, list[str]] = {}
    for key, begins in first.items():
        groups.setdefault(begins, []).append(key)
    return {key: tuple(groups[begins]) for key, begins in first.items()}


def _put(table: dict[str, _T], key: str, value: _T, file: str) -> None:
    if table.setdefault(key, value) != value:
        raise ValueError(f'{file}: "{key}" already means {table[key]!r}, not {value!r}')
