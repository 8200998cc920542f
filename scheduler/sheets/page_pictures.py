"""Pictures of times and savings as SVG inside a page, black and white with hatches.

They are drawn here in plain Python, not taken from the plotting library that makes PNG files: a page then
needs no extra, its letters stay letters that any browser can read out and print in any script, and its
bytes don't depend on the version of a library. What is drawn is the same, see `drawn`.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from math import ceil, floor, log10

from scheduler.domain.figures import figure
from scheduler.sheets.drawn import (
    Bar,
    Dots,
    PaybackLine,
    ShareLine,
    bars_words,
    letters,
    mark_places,
    part_names,
    payback_reach,
    share_reach,
    shortened,
    stacked,
    with_others,
)

WIDTH = 860
"""Width of a picture in its own units; on paper and screen it takes the width that there is."""

LETTER = 8.2
"""Room that a letter takes, a little on the safe side; wide letters take twice that."""

_ROW = 24

_NAME = 60
"""Letters of a name in a picture."""

_TILES = (
    "",
    '<path d="M0 0V8" stroke-width="2"/>',
    '<circle cx="2" cy="2" r="1.3" fill="#000" stroke="none"/>',
    '<path d="M4 0V8" stroke-width="1.2"/>',
    '<path d="M0 4H8M4 0V8" stroke-width="1.2"/>',
    '<path d="M0 4H8" stroke-width="1.6"/>',
    '<circle cx="4" cy="4" r="2.4" fill="none" stroke-width="1.1"/>',
    '<path d="M0 4H8M4 0V8" stroke-width="1.1"/>',
    '<path d="M4 0V8" stroke-width="1.6"/>',
    '<path d="M2 0V8" stroke-width="5"/>',
    '<circle cx="4" cy="4" r="2.8" fill="#000" stroke="none"/>',
    '<path d="M0 2H8" stroke-width="4.5"/>',
)
_TURNED = {1: 45, 3: -45, 4: 45, 9: 45}
"""Tiles that are turned, and by how many degrees."""

_DASHES = ("", "9 5", "2 4", "12 4 2 4", "16 6", "5 3 2 3")


def bars_svg(key: str, bars: Sequence[Bar]) -> str:
    """Bars one above the other, each part with the same hatch in all of them, and what the hatches mean.

    Parameters
    ----------
    key
        Goes before every id, so that several pictures can be on a page: letters only.
    """
    words = bars_words(bars)
    bars = with_others(bars)
    names = part_names(bars)
    longest = max(bar.whole for bar in bars) or 1.0
    parts, y = [_tiles(key, len(names))], 0.0
    for bar in bars:
        y += _ROW
        parts.append(_text(0, y - 7, f"{bar.label}: {figure(bar.whole)} s", bold=True))
        x = 1.0
        for number, name in enumerate(names):
            seconds = bar.parts.get(name, 0.0)
            if not seconds:
                continue
            wide = seconds / longest * (WIDTH - 2)
            parts.append(_rect(x, y, wide, 36, _fill(key, number)))
            label = figure(seconds)
            room = text_width(label) + 6
            if len(names) > 1 and wide > room + 4:
                parts.append(_rect(x + (wide - room) / 2, y + 8, room, 20, "#fff", edge=False))
                parts.append(_text(x + wide / 2, y + 23, label, anchor="middle"))
            x += wide
        y += 48
    if len(names) > 1:
        drawn, y = _legend(key, names, y)
        parts.append(drawn)
    return _svg(key, "A cycle by element, in seconds for one garment", words, y + 4, parts)


def paybacks_svg(key: str, lines: Sequence[PaybackLine]) -> str:
    """Money saved less the price, over working days; it has paid where a line crosses 0."""
    reach = payback_reach(lines)
    end, low, high = reach.days, reach.low, reach.high
    left, top, bottom = 90.0, 12.0, 312.0

    def across(day: float) -> float:
        return left + day / end * (WIDTH - left - 12)

    def up(money: float) -> float:
        return bottom - (money - low) / (high - low) * (bottom - top)

    parts = []
    for money in ticks(low, high):
        parts.append(_line(left, up(money), WIDTH - 12, up(money), width=1.6 if money == 0 else 0.4))
        parts.append(_text(left - 8, up(money) + 5, figure(money), anchor="end"))
    for day in ticks(0, end):
        parts.append(_line(across(day), bottom, across(day), bottom + 6))
        parts.append(_text(across(day), bottom + 24, figure(day), anchor="middle"))
    parts.append(_line(left, top, left, bottom))
    parts.append(_text(left, bottom + 46, "Working days. At the left, saved less the price, in your money."))
    for number, line in enumerate(lines):
        dash = _DASHES[number % len(_DASHES)]
        out = min(end, (high + line.price) / line.saved_a_day)
        money = out * line.saved_a_day - line.price
        parts.append(_line(left, up(-line.price), across(out), up(money), width=2, dash=dash))
    parts += [
        _numbered(across(line.days), up(0) - 22 * place, number)
        for number, (line, place) in enumerate(zip(lines, mark_places(lines), strict=True), start=1)
    ]
    y = bottom + 58
    for number, line in enumerate(lines):
        y += _ROW
        parts.append(_line(2, y - 6, 44, y - 6, width=2, dash=_DASHES[number % len(_DASHES)]))
        parts.append(_numbered(60, y - 6, number + 1))
        parts.append(_text(78, y, line.legend))
    words = " ".join(f"{line.words}." for line in lines)
    return _svg(key, "What is earned over time", words, y + 10, parts)


def spread_svg(key: str, rows: Sequence[Dots]) -> str:
    """Readings as dots in seconds, one row for each thing that was timed, its name above."""
    most = max(value for row in rows for value in (*row.usual, *row.far, *row.left_out, row.mean)) or 1.0
    end = ticks(0, most * 1.02)[-1]
    if end < most:
        end = most * 1.02

    def across(seconds: float) -> float:
        return 10 + seconds / end * (WIDTH - 30)

    parts, y = [], 0.0
    for row in rows:
        y += _ROW
        parts.append(_text(0, y - 6, f"{shortened(row.label, _NAME)}, mean {figure(row.mean)} s", bold=True))
        middle = y + 15
        parts.append(_line(across(0), middle, across(end), middle, width=0.4))
        parts.append(_line(across(row.mean), middle - 15, across(row.mean), middle + 15, width=2.4))
        dots = stacked(row.usual, 8 * end / (WIDTH - 30))
        parts += [_circle(across(one), middle + 5 * place, 4, "#000") for one, place in dots]
        parts += [_circle(across(one), middle, 6, "#fff") for one in row.far]
        parts += [_cross(across(one), middle) for one in row.left_out]
        y += 36
    parts += [_line(across(one), y, across(one), y + 6) for one in ticks(0, end)]
    parts += [_text(across(one), y + 22, figure(one), anchor="middle") for one in ticks(0, end)]
    parts.append(_line(across(0), y, across(end), y))
    y += 50
    parts.append(_text(0, y, "Seconds."))
    x = 84.0
    for sign, words in (
        (_line(x, y - 16, x, y + 4, width=2.4), "mean"),
        (_circle(x + 84, y - 5, 4, "#000"), "a reading"),
        (_circle(x + 204, y - 5, 6, "#fff"), "far from the others, counted"),
        (_cross(x + 476, y - 5), "left out"),
    ):
        parts.append(sign)
        at = {"mean": 12.0, "a reading": 96.0, "far from the others, counted": 218.0}.get(words, 490.0)
        parts.append(_text(x + at, y, words))
    said = " ".join(f"{row.words}." for row in rows)
    return _svg(key, "Every reading, in seconds", said, y + 12, parts)


def shares_svg(key: str, rows: Sequence[ShareLine]) -> str:
    """Shares of the planned time as dots with the reach of each; the line at 1 is as planned."""
    low, high = share_reach(rows)

    def across(share: float) -> float:
        return 10 + (share - low) / (high - low) * (WIDTH - 30)

    parts, y = [], 0.0
    for row in rows:
        y += _ROW
        parts.append(_text(0, y - 6, row.words, bold=True))
        parts.append(_line(across(1), y, across(1), y + 18, dash="5 4"))
        parts.append(_line(across(row.low), y + 9, across(row.high), y + 9, width=2.4))
        parts += [_line(across(end), y + 3, across(end), y + 15, width=1.6) for end in (row.low, row.high)]
        parts.append(_circle(across(row.best), y + 9, 5, "#fff"))
        y += 22
    parts.append(_line(across(low), y, across(high), y))
    for share in ticks(low, high):
        parts.append(_line(across(share), y, across(share), y + 6))
        parts.append(_text(across(share), y + 22, figure(share), anchor="middle"))
    words = " ".join(f"{row.words}." for row in rows)
    return _svg(key, "Time taken as a share of the planned time", words, y + 30, parts)


def ticks(low: float, high: float, most: int = 8) -> list[float]:
    """Round values from low to high, in steps of 1, 2 or 5 times a power of ten."""
    rough = (high - low) / most
    power = 10 ** floor(log10(rough))
    step = next(times * power for times in (1, 2, 5, 10) if times * power >= rough * (1 - 1e-9))
    first, last = ceil(low / step - 1e-9), floor(high / step + 1e-9)
    return [round(number * step, 10) for number in range(first, last + 1)]


def text_width(text: str) -> float:
    """Room that a text takes at the usual size, in units of the picture."""
    return LETTER * letters(text)


def _svg(key: str, title: str, words: str, height: float, parts: Sequence[str]) -> str:
    return (
        f'<svg role="img" aria-labelledby="{key}-title {key}-words" viewBox="0 0 {WIDTH} {height:.0f}" '
        f'width="{WIDTH}" height="{height:.0f}" preserveAspectRatio="xMinYMin">'
        f'<title id="{key}-title">{escape(title)}</title>'
        f'<desc id="{key}-words">{escape(words)}</desc>{"".join(parts)}</svg>'
    )


def _tiles(key: str, count: int) -> str:
    made = []
    for number, tile in enumerate(_TILES[:count]):
        turn = f' patternTransform="rotate({_TURNED[number]})"' if number in _TURNED else ""
        made.append(
            f'<pattern id="{key}-{number}" width="8" height="8" patternUnits="userSpaceOnUse"{turn}>'
            f'<rect width="8" height="8" fill="#fff"/><g stroke="#000">{tile}</g></pattern>'
        )
    return f"<defs>{''.join(made)}</defs>"


def _fill(key: str, number: int) -> str:
    return f"url(#{key}-{number % len(_TILES)})"


def _legend(key: str, names: Sequence[str], y: float) -> tuple[str, float]:
    """The hatches with their names, in as many rows as they need, and where the last row ends."""
    parts, x = [], 0.0
    y += _ROW
    for number, name in enumerate(names):
        name = shortened(name, _NAME)
        wide = 44 + text_width(name) + 22
        if x and x + wide > WIDTH:
            x, y = 0.0, y + _ROW + 2
        parts.append(_rect(x + 1, y - 15, 34, 18, _fill(key, number)))
        parts.append(_text(x + 42, y, name))
        x += wide
    return "".join(parts), y + 4


def _text(x: float, y: float, text: str, *, anchor: str = "start", bold: bool = False) -> str:
    where = "" if anchor == "start" else f' text-anchor="{anchor}"'
    weight = ' font-weight="bold"' if bold else ""
    return f'<text x="{x:.1f}" y="{y:.1f}"{where}{weight}>{escape(text)}</text>'


def _rect(x: float, y: float, wide: float, tall: float, fill: str, *, edge: bool = True) -> str:
    stroke = ' stroke="#000" stroke-width="1.2"' if edge else ""
    return f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{tall:.1f}" fill="{fill}"{stroke}/>'


def _line(x1: float, y1: float, x2: float, y2: float, *, width: float = 1.0, dash: str = "") -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="#000" '
        f'stroke-width="{width:g}"{dashes}/>'
    )


def _circle(x: float, y: float, radius: float, fill: str) -> str:
    see_through = ' fill-opacity="0.6"' if fill == "#000" else ""
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" fill="{fill}"{see_through} stroke="#000" '
        'stroke-width="1"/>'
    )


def _cross(x: float, y: float) -> str:
    return _line(x - 5, y - 5, x + 5, y + 5, width=1.6) + _line(x - 5, y + 5, x + 5, y - 5, width=1.6)


def _numbered(x: float, y: float, number: int) -> str:
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="10" fill="#fff" stroke="#000" stroke-width="1.4"/>' + _text(
        x, y + 5, str(number), anchor="middle"
    )
