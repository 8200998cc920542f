"""The words that sheets and headings go by, one data file a language.

A language is a file `words/<code>.toml`; adding a file adds its words to those that are understood.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from typing import Any, TypeVar

_T = TypeVar("_T")
_SPACES = re.compile(r"[\s\u00a0\u2007\u202f\u200b\u200c\u200d\ufeff]+")
_NOT_WORD = re.compile(r"[\W_]+")


@lru_cache(maxsize=65_536)
def clean(text: str) -> str:
    """Text with Unicode composed, all kinds of spaces made one plain space, and none at the ends."""
    return _SPACES.sub(" ", unicodedata.normalize("NFC", text)).strip()


def name_key(text: str) -> str:
    """What two spellings of one name share: case and spaces don't count."""
    return clean(text).casefold()


def heading_key(text: str) -> str:
    """What two spellings of one heading share: case, spaces and marks don't count."""
    return _NOT_WORD.sub(" ", clean(text).casefold()).strip()


def size_key(text: str) -> str:
    """What two spellings of one size label share: "y-l", "Y L" and "YL" are one."""
    return _NOT_WORD.sub("", clean(text).upper())


@dataclass(frozen=True, slots=True)
class Words:
    """All words that are understood.

    Attributes
    ----------
    headings
        By table ("orders", "presses", ...): heading key to column key.
    sheets
        Sheet-name key to table.
    yes, no
        Keys of the words for yes and no.
    weekdays
        Weekday-word key to 0 (Monday) ... 6.
    priorities
        Priority-word key to weight.
    sizes
        Size key to all size keys that mean the same.
    quantity_words
        Words that may stand with a size in a heading ("qty M").
    choices
        By name of a choice ("opening", "peel" ...): word key to the program's word.
    """

    headings: dict[str, dict[str, str]]
    sheets: dict[str, str]
    yes: frozenset[str]
    no: frozenset[str]
    weekdays: dict[str, int]
    priorities: dict[str, int]
    sizes: dict[str, tuple[str, ...]]
    quantity_words: frozenset[str]
    choices: dict[str, dict[str, str]]


@cache
def words() -> Words:
    """Read all language files once.

    Raises
    ------
    ValueError
        When two files give one word two meanings; names the file and the word.
    """
    folder = resources.files("scheduler.intake") / "words"
    files = sorted(
        (item for item in folder.iterdir() if item.name.endswith(".toml")), key=lambda item: item.name
    )
    return merge([(item.name, tomllib.loads(item.read_text(encoding="utf-8"))) for item in files])


def merge(files: list[tuple[str, dict[str, Any]]]) -> Words:
    """The words of several languages together; each file as its name and its parsed content."""
    headings: dict[str, dict[str, str]] = {}
    sheets: dict[str, str] = {}
    yes_no: dict[str, str] = {}
    weekdays: dict[str, int] = {}
    priorities: dict[str, int] = {}
    sizes: dict[str, tuple[str, ...]] = {}
    quantity: set[str] = set()
    choices: dict[str, dict[str, str]] = {}
    for file, content in files:
        for table, columns in content.get("headings", {}).items():
            for column, spellings in columns.items():
                for spelling in spellings:
                    _put(headings.setdefault(table, {}), heading_key(spelling), column, file)
        for table, spellings in content.get("sheets", {}).items():
            for spelling in spellings:
                _put(sheets, heading_key(spelling), table, file)
        for answer, spellings in content.get("yes_no", {}).items():
            for spelling in spellings:
                _put(yes_no, name_key(spelling), answer, file)
        for number, spellings in enumerate(content.get("weekdays", {}).get("names", [])):
            for spelling in spellings:
                _put(weekdays, heading_key(spelling), number, file)
        for priority in content.get("priorities", []):
            for spelling in priority["names"]:
                _put(priorities, name_key(spelling), priority["weight"], file)
        for group in content.get("sizes", {}).get("same", []):
            keys = tuple(size_key(spelling) for spelling in group)
            for key in keys:
                _put(sizes, key, keys, file)
        quantity.update(heading_key(word) for word in content.get("sizes", {}).get("quantity_words", []))
        for choice, meanings in content.get("choices", {}).items():
            for meaning, spellings in meanings.items():
                for spelling in spellings:
                    _put(choices.setdefault(choice, {}), heading_key(spelling), meaning, file)
    return Words(
        headings=headings,
        sheets=sheets,
        yes=frozenset(key for key, answer in yes_no.items() if answer == "yes"),
        no=frozenset(key for key, answer in yes_no.items() if answer == "no"),
        weekdays=weekdays,
        priorities=priorities,
        sizes=sizes,
        quantity_words=frozenset(quantity),
        choices=choices,
    )


def _put(table: dict[str, _T], key: str, value: _T, file: str) -> None:
    if table.setdefault(key, value) != value:
        raise ValueError(f'{file}: "{key}" already means {table[key]!r}, not {value!r}')
