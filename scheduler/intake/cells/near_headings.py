"""Which known heading a mistyped one is taken for."""

from __future__ import annotations

from collections.abc import Mapping

from scheduler.intake.words import heading_key

NEAR_ENOUGH = 85.0
"""Least likeness, of 100, by which a heading is taken for a known one, with a doubt."""
WORTH_ASKING = 90.0
"""Least likeness by parts by which a known heading is proposed. A proposal is never used unasked."""

_SHORTEST = 4
_SHORT = 3


def nearly(heading: str, known: Mapping[str, str]) -> str | None:
    """The known heading that a mistyped one is safely taken for; None when there is none, or two.

    Parameters
    ----------
    known
        Key of a heading to the column that it means.
    """
    found = like(heading, known, safe=True)
    return found[0] if len({known[key] for key in found}) == 1 else None


def like(heading: str, known: Mapping[str, str], *, safe: bool) -> list[str]:
    """The known headings that one not known is like, the likest first.

    Parameters
    ----------
    safe
        Like as a whole, so that it may be taken for it; otherwise by parts, so that it is only proposed.
    """
    from rapidfuzz import fuzz, process

    key = heading_key(heading)
    if len(key) < _SHORTEST or any(letter.isdigit() for letter in key):
        return []
    scorer, least = (fuzz.token_sort_ratio, NEAR_ENOUGH) if safe else (fuzz.WRatio, WORTH_ASKING)
    choices = [one for one in known if len(one) >= _SHORTEST]
    found = process.extract(key, choices, scorer=scorer, score_cutoff=least, limit=5)
    return [choice for choice, _, _ in found]


def same_short_words(heading: str, other: str) -> bool:
    """Whether two headings have the same short words: another unit is no typing error."""
    return _short_words(heading) == _short_words(other)


def _short_words(heading: str) -> list[str]:
    return sorted(word for word in heading_key(heading).split() if len(word) <= _SHORT)
