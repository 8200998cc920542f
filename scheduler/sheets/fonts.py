"""Whether the machine's fonts can print every name of a plan."""

from __future__ import annotations

import json
import re
import unicodedata
from typing import TYPE_CHECKING

from scheduler.domain.plan import Plan
from scheduler.sheets.typeset import families, fonts

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

_PROBE = """
#let data = json(bytes(sys.inputs.data))
#set text(font: data.families)
#for letter in data.letters { page(width: 40pt, height: 40pt, margin: 2pt, letter) }
"""

_NOWHERE = "\U000f1234"
"""A private letter that no font has: it shows what a missing letter looks like."""

_SCRIPTS = (
    ("CJK", "Chinese and Japanese"),
    ("HIRAGANA", "Japanese"),
    ("KATAKANA", "Japanese"),
    ("HANGUL", "Korean"),
    ("BOPOMOFO", "Chinese"),
    ("GREEK", "Greek"),
    ("CYRILLIC", "Cyrillic"),
    ("ARABIC", "Arabic"),
    ("HEBREW", "Hebrew"),
    ("THAI", "Thai"),
    ("DEVANAGARI", "Devanagari"),
    ("BENGALI", "Bengali"),
    ("TAMIL", "Tamil"),
    ("GEORGIAN", "Georgian"),
    ("ARMENIAN", "Armenian"),
    ("LATIN", "Latin"),
)
"""First word of a letter's Unicode name, and the script as people call it."""

_FONT = {
    "Chinese and Japanese": "Noto Sans CJK",
    "Japanese": "Noto Sans CJK JP",
    "Korean": "Noto Sans CJK KR",
    "Chinese": "Noto Sans CJK SC",
    "other signs": "Noto Sans Symbols 2 and Noto Emoji",
}

_EAST_ASIAN = "Noto Sans CJK"


def missing_scripts(plan: Plan, *, system_fonts: bool = True) -> tuple[str, ...]:
    """Scripts of the plan's names that no font at hand can print, sorted; empty when all can.

    Every letter beyond plain ASCII is set once and compared with the sign that stands for a missing
    letter, so the answer does not depend on what fonts are called.

    Parameters
    ----------
    system_fonts
        False: ask only the fonts that the typesetter brings (Latin, Greek and Cyrillic).
    """
    return tuple(sorted({script(letter) for letter in missing_letters(_texts(plan), system_fonts)}))


def font_warnings(plan: Plan, *, system_fonts: bool = True) -> tuple[str, ...]:
    """One plain sentence on the scripts that would print as empty squares; nothing when there are none."""
    return no_font(missing_scripts(plan, system_fonts=system_fonts))


def no_font(scripts: Iterable[str]) -> tuple[str, ...]:
    """That there is no font for some scripts, and what to install; nothing when there are none.

    The same words for sheets and pictures, so that it need not be said of both.
    """
    names = list(scripts)
    if not names:
        return ()
    fonts_for = [_FONT.get(name, f"Noto Sans {name}") for name in names]
    if sum(name.startswith(_EAST_ASIAN) for name in fonts_for) > 1:
        # One font for all of them; that of one country has the letters of the others, too.
        fonts_for = [_EAST_ASIAN if name.startswith(_EAST_ASIAN) else name for name in fonts_for]
    fonts_for = list(dict.fromkeys(fonts_for))
    names = sorted({part for name in names for part in name.split(" and ")})
    what = "a font" if len(fonts_for) == 1 else "fonts"
    whom = "it" if len(names) == 1 else "them"
    return (
        f"No font for {_listed(names)} found: such names come out as empty squares. "
        f"Install {what} for {whom}, such as {_listed(fonts_for)}, and print or draw again.",
    )


def _listed(names: Iterable[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def script(letter: str) -> str:
    """The script a letter belongs to, as people call it."""
    first = unicodedata.name(letter, "").split(" ")[0].split("-")[0]
    return dict(_SCRIPTS).get(first, "other signs")


def missing_letters(texts: Iterable[str], system_fonts: bool) -> tuple[str, ...]:
    """Letters of some texts that would print as the sign for a missing letter, sorted."""
    letters = sorted(
        {
            letter
            for text in texts
            for letter in text
            if ord(letter) > 126 and unicodedata.category(letter)[0] not in "MZC"
        }
    )
    if not letters:
        return ()
    nowhere, *shapes = _shapes([_NOWHERE, *letters], system_fonts)
    return tuple(letter for letter, shape in zip(letters, shapes, strict=True) if shape == nowhere)


def _shapes(letters: list[str], system_fonts: bool) -> list[tuple[str, ...]]:
    """For each letter, the names that the typesetter gives to the outlines it draws."""
    import typst

    sent = json.dumps({"letters": letters, "families": families(system_fonts)})
    compiler = typst.Compiler(_PROBE.encode(), font_paths=fonts(system_fonts))
    made = compiler.compile(format="svg", sys_inputs={"data": sent})
    pages = made if isinstance(made, list) else [made or b""]
    return [tuple(re.findall(r'href="#([^"]+)"', page.decode())) or (page.decode(),) for page in pages]


def _texts(plan: Plan) -> Iterator[str]:
    """Every text of a plan that reaches paper."""
    yield plan.shop.name
    for order in plan.orders:
        yield from (order.id, order.customer, order.reason)
    for run in plan.runs:
        yield from (*run.presses, run.platen, run.operator)
        for one in run.content.pieces:
            yield from (one.garment, one.colour, one.fabric, one.size)
        for laid in run.content.laid:
            yield from (laid.placement, laid.position, laid.transfer, laid.artwork)
        yield from run.content.notes
        for named in run.content.names:
            yield from (named.name, named.number)
    for change in plan.changeovers:
        for part in change.parts:
            yield from (part.name, part.before, part.after)
    for left in plan.left_over:
        yield from (left.order, left.reason, *left.placements)
    for load in (*plan.press_loads, *plan.crew_loads):
        yield load.name
    for warm in plan.warm_ups:
        yield warm.circuit
    yield from plan.notes
