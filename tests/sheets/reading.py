"""Reading printed pages back, as a reader who knows nothing of how they were made."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import pdfplumber
import pypdf

MM = 72 / 25.4


def pages(made: bytes) -> list[Any]:
    """The pages of a PDF with their words and letters."""
    return list(pdfplumber.open(io.BytesIO(made)).pages)


def text(page: Any) -> str:
    """A page's text on one line, without the invisible places where long words may break."""
    return squeezed(page.extract_text() or "")


@lru_cache(maxsize=8)
def flow(made: bytes) -> list[str]:
    """Text of each page in the order in which it was set: columns one after the other."""
    return [squeezed(page.extract_text()) for page in pypdf.PdfReader(io.BytesIO(made)).pages]


def squeezed(words: str) -> str:
    return re.sub(r"\s+", " ", words.replace("\u200b", ""))


def bare(words: str) -> str:
    """Text without any space: for names that were broken over lines."""
    return re.sub(r"[\s\u200b]+", "", words)


@dataclass(frozen=True)
class Word:
    """A printed word and its box in points, from the top left corner."""

    text: str
    left: float
    right: float
    top: float
    bottom: float


def words_of(page: Any) -> list[Word]:
    """The words of a page, from the top down."""
    found = [Word(w["text"], w["x0"], w["x1"], w["top"], w["bottom"]) for w in page.extract_words()]
    return sorted(found, key=lambda word: word.top)


def outside(page: Any, words: list[Word], rim: float) -> list[str]:
    """Words that stick out of a rim around the page, in points."""
    wide, tall = float(page.width), float(page.height)
    return [
        word.text
        for word in words
        if word.left < rim or word.right > wide - rim or word.top < rim / 2 or word.bottom > tall - rim / 2
    ]


def overlapping(words: list[Word]) -> list[tuple[str, str]]:
    """Pairs of words printed over one another."""
    # The middle three fifths of a line are where its letters stand, whatever room the font asks for.
    cores = [
        Word(w.text, w.left, w.right, w.top + (w.bottom - w.top) / 5, w.bottom - (w.bottom - w.top) / 5)
        for w in words
    ]
    cores.sort(key=lambda word: word.top)
    found = []
    for index, one in enumerate(cores):
        for other in cores[index + 1 :]:
            if other.top >= one.bottom - 0.5:
                break
            if min(one.right, other.right) - max(one.left, other.left) > 0.5:
                found.append((one.text, other.text))
    return found


def coloured(page: Any) -> list[Any]:
    """Fills and strokes that are not black, white or grey."""
    found = []
    for thing in (*page.chars, *page.rects, *page.lines, *page.curves):
        for key in ("stroking_color", "non_stroking_color"):
            colour = thing.get(key)
            if isinstance(colour, (tuple, list)) and len(colour) == 3 and len(set(colour)) > 1:
                found.append(colour)
    return found
