"""The letters of a text table: from bytes to text, with what had to be judged."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Severity, Source
from scheduler.intake.files.grid import Value, address
from scheduler.intake.files.guard import Refused, refuse
from scheduler.intake.words import accented

if TYPE_CHECKING:
    from collections.abc import Sequence

_MARKS = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe\x00\x00", "utf-32"),
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
_OTHERS = ("cp1252", "cp1250", "iso8859-2", "cp1251", "cp850", "mac-roman", "cp1253", "cp1254")
"""What spreadsheet programs write when they don't write UTF-8; compared with the one that was judged."""

_WESTERN = frozenset(
    "àáâãäåæçèéêëìíîïñòóôõöøœùúûüýÿßÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÑÒÓÔÕÖØŒÙÚÛÜÝ’‘“”„‚‹›«»–—…•·€£°ºª²³½¼¾¡¿©®™´×±§µ\u00a0\u00ad"
)
_BROKEN = re.compile(r"[a-zà-ÿ][“”„‚‹›«»¡¿³²½¼¾°ºª±§µ©®™´•…](?=[a-zà-ÿ])|[À-ÿ]{3}|[a-z][À-ÞŒ]")
"""What hardly stands within a word of those languages: marks between letters, many such letters in a row, a
capital behind a small letter."""
_ODD_WORD = re.compile(rb"[A-Za-z\x80-\xff]+")
_CONTROL = re.compile(r"[\x80-\x9f]")
_EXPECTED = "a text table in UTF-8"
_MEND = 'Save it as "CSV UTF-8" or as .xlsx.'
_LONGEST = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Letters:
    """A text and how its bytes were read.

    Attributes
    ----------
    judged
        The encoding was judged by the look of the letters.
    raw
        The bytes, while the encoding is a judgement.
    """

    text: str
    encoding: str
    judged: bool = False
    raw: bytes = b""


def decoded(file: str, data: bytes, encoding: str = "") -> Letters:
    """The text of a file: by its mark, by what is told, as UTF-8, and else by the look of its letters.

    Raises
    ------
    scheduler.intake.files.guard.Refused
        When its letters can't be made out, or it holds zero bytes.
    """
    letters = _decoded(file, data, encoding)
    if "\x00" in letters.text:
        line = letters.text.count("\n", 0, letters.text.index("\x00")) + 1
        found = f"line {line} holds bytes that are no letters"
        raise refuse(file, "file-damaged", found, "a text table", "Export it again, or save it as .xlsx.")
    return letters


def _decoded(file: str, data: bytes, told: str) -> Letters:
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return Letters(text=_strictly(file, data, encoding), encoding=encoding)
    if told:
        return Letters(text=_strictly(file, data, told), encoding=told)
    start = data[:4096]
    zeros = start[::2].count(0), start[1::2].count(0)
    if max(zeros) * 3 > len(start) // 2 and min(zeros) == 0:
        wide = "utf-16-be" if zeros[0] else "utf-16-le"
        return Letters(text=_strictly(file, data, wide), encoding=wide)
    try:
        return Letters(text=data.decode("utf-8"), encoding="utf-8")
    except UnicodeDecodeError:
        pass
    encoding = _judged(data)
    fitting = _with_known_words(data)
    if fitting and encoding not in fitting:
        encoding = fitting[0]
    if not encoding:
        raise _unclear(file)
    return Letters(text=_strictly(file, data, encoding), encoding=encoding, judged=True, raw=data)


def _judged(data: bytes) -> str:
    """The encoding by the look of the letters; nothing when none fits."""
    if _is_western(data):
        return "cp1252"
    from charset_normalizer import from_bytes

    best = from_bytes(data).best()
    return best.encoding if best is not None else ""


def _with_known_words(data: bytes) -> list[str]:
    """The encodings that give most of the words that sheets go by: "Annulé", "Größe". None when none does.

    They say more than the letters of names can: a status that is misread is a row pressed in vain.
    """
    odd = {word for word in _ODD_WORD.findall(data) if not word.isascii()}
    hits: dict[str, int] = {}
    for encoding in _OTHERS:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if not _CONTROL.search(text):
            hits[encoding] = sum(word.decode(encoding).casefold() in accented() for word in odd)
    most = max(hits.values(), default=0)
    return [encoding for encoding, count in hits.items() if count == most] if most else []


def _is_western(data: bytes) -> bool:
    """Whether bytes read in the usual encoding of Western Europe give letters and marks of its languages.

    A judge of languages has too little to go by in a table of names; this encoding is by far the commonest.
    """
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError:
        return False
    return set(filter(lambda letter: letter > "\x7f", text)) <= _WESTERN and not _BROKEN.search(text)


def _unclear(file: str) -> Refused:
    return refuse(file, "letters-unclear", "the letters can't be made out", _EXPECTED, _MEND)


def _strictly(file: str, data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except (UnicodeDecodeError, LookupError):
        raise _unclear(file) from None


def letters_doubt(file: str, letters: Letters, rows: Sequence[Sequence[Value]]) -> list[Fault]:
    """The doubt about letters that were judged: the first line with such letters, and its other readings."""
    if not letters.judged:
        return []
    odd = next((line for line in letters.raw.splitlines() if not line.isascii()), b"")
    read_as = _short(odd.decode(letters.encoding, "replace"))
    others: list[tuple[str, str]] = []
    for encoding in _OTHERS:
        try:
            other = _short(odd.decode(encoding))
        except UnicodeDecodeError:
            continue
        if other != read_as and other not in [reading for _, reading in others] and other.isprintable():
            others.append((encoding, other))
    also = "; ".join(f'as {encoding} it is "{reading}"' for encoding, reading in others[:3])
    return [
        Fault(
            code="letters-judged",
            source=Source(file=file, cell=_first_odd(rows)),
            found=f'letters that are not UTF-8, read as {letters.encoding}: "{read_as}"',
            expected=_EXPECTED,
            mend=f"Check the names with accents{f' ({also})' if also else ''}; if they are wrong, "
            'save the table as "CSV UTF-8" or as .xlsx.',
            severity=Severity.DOUBT,
        )
    ]


def _first_odd(rows: Sequence[Sequence[Value]]) -> str:
    for number, row in enumerate(rows):
        for column, value in enumerate(row):
            if isinstance(value, str) and not value.isascii():
                return address(number, column)
    return ""


def _short(line: str) -> str:
    """The part of a line around its first odd letter."""
    line = " ".join(line.split())
    at = next((place for place, letter in enumerate(line) if not letter.isascii()), 0)
    start = max(0, at - _LONGEST // 2)
    return line[start : start + _LONGEST]
