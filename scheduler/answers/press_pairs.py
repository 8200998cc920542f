"""Which recipes can go to two presses side by side, in words and as data."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING, Any

from scheduler.domain.figures import counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scheduler.domain.shop import PressPair, Recipe, Shop

_LONGEST = 110
"""Longer lines are broken."""


def pairs_lines(shop: Shop) -> list[str]:
    """For each pair of sheet Side by side the recipes that can use both presses."""
    return [_line(shop, pair, at_both) for pair, at_both in _pairs(shop)]


def pairs_json(shop: Shop | None) -> list[dict[str, Any]]:
    """The same as data, with the recipes that can't; nothing without a shop workbook."""
    if shop is None:
        return []
    return [
        {
            "presses": [pair.first, pair.second],
            "at_both": _named(at_both),
            "not_at_both": _named([recipe for recipe in shop.recipes if recipe not in at_both]),
        }
        for pair, at_both in _pairs(shop)
    ]


def _pairs(shop: Shop) -> list[tuple[PressPair, tuple[Recipe, ...]]]:
    from scheduler.planning.beside import recipes_beside

    return [(pair, recipes_beside(shop, pair)) for pair in shop.press_pairs]


def _line(shop: Shop, pair: PressPair, at_both: Sequence[Recipe]) -> str:
    fabrics: dict[str, list[str]] = {}
    for recipe in at_both:
        fabrics.setdefault(recipe.transfer, []).append(recipe.fabric)
    which = "; ".join(f"{transfer} on {', '.join(own)}" for transfer, own in fabrics.items())
    rest = len(shop.recipes) - len(at_both)
    others = f" {counted(rest, 'other recipe')} can't use both." if rest else ""
    pressed = f"can press {which}.{others}" if at_both else "can press nothing: no recipe can use both."
    line = f"{pair.first} and {pair.second} side by side {pressed}"
    return fill(line, _LONGEST, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)


def _named(recipes: Sequence[Recipe]) -> list[dict[str, str]]:
    return [{"transfer": recipe.transfer, "fabric": recipe.fabric} for recipe in recipes]
