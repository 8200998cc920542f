"""Fonts for the letters of a picture: the plotting library's own, and installed ones for what it lacks."""

from __future__ import annotations

import logging
import unicodedata
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from scheduler.sheets.fonts import script
from scheduler.sheets.typeset import FAMILIES

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

OWN = "DejaVu Sans"
"""The font that the plotting library brings along."""


_NO_LETTERS = "Last Resort"
"""Begins the name of fonts that draw a box for every letter there is."""


@dataclass(frozen=True, slots=True)
class PictureFonts:
    """What the letters of a picture are drawn with.

    Attributes
    ----------
    families
        In order: each letter is drawn with the first that has it.
    missing
        Scripts with a letter that no installed font has, sorted.
    """

    families: tuple[str, ...]
    missing: tuple[str, ...] = ()


def picture_fonts(texts: Iterable[str]) -> PictureFonts:
    """The fonts that have the letters of some texts: only as many as are needed.

    Installed fonts are opened one by one, those that the sheets like first, until every letter is found;
    with plain Latin names none is opened.
    """
    lacking = _letters(texts)
    chosen = [OWN]
    if lacking:
        lacking -= _known(OWN, lacking)
    with quiet_fonts():
        for family in _installed() if lacking else ():
            there = _known(family, lacking)
            if there:
                chosen.append(family)
                lacking -= there
            if not lacking:
                break
    return PictureFonts(tuple(chosen), tuple(sorted({script(letter) for letter in lacking})))


@contextmanager
def quiet_fonts() -> Iterator[None]:
    """No word of the plotting library about a font that has no such weight: it takes the nearest one."""
    logger = logging.getLogger("matplotlib.font_manager")
    level = logger.level
    logger.setLevel(logging.ERROR)
    try:
        yield
    finally:
        logger.setLevel(level)


def _letters(texts: Iterable[str]) -> set[str]:
    return {
        letter
        for text in texts
        for letter in text
        if ord(letter) > 126 and unicodedata.category(letter)[0] not in "MZC"
    }


def _installed() -> Iterator[str]:
    """Families that can be drawn with: the liked ones first, then plain ones, then the others by name."""
    from matplotlib.font_manager import findSystemFonts, fontManager

    there = {entry.name for entry in fontManager.ttflist if not entry.name.startswith(_NO_LETTERS)}
    liked = [name for name in FAMILIES if name in there]
    yield from (name for name in liked if name != OWN)
    yield from sorted(there - {*liked, OWN}, key=lambda name: (not name.startswith("Noto Sans"), name))
    # The library keeps its list of fonts for long; what was installed since is looked for last.
    listed = {entry.fname for entry in fontManager.ttflist}
    for file in sorted(set(findSystemFonts()) - listed):
        with suppress(OSError, RuntimeError, ValueError):
            fontManager.addfont(file)
    added = {entry.name for entry in fontManager.ttflist} - there
    yield from sorted(name for name in added if not name.startswith(_NO_LETTERS))


def _known(family: str, letters: set[str]) -> set[str]:
    """Which letters a family has; none when its file is gone, or is one of dots that can't be scaled."""
    font = _font(family)
    if font is None:
        return set()
    return {letter for letter in letters if font.get_char_index(ord(letter))}


def _font(family: str) -> Any:
    from matplotlib.font_manager import FontProperties, findfont, get_font

    try:
        font = get_font(findfont(FontProperties(family=[family]), fallback_to_default=False))
    except (OSError, RuntimeError, ValueError):
        return None
    # Fonts of ready-made dots, as those of coloured signs are, can't be drawn in any size.
    return font if getattr(font, "scalable", True) else None
