"""Pictures of times and savings as PNG or SVG."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil
from textwrap import fill
from typing import Any

from scheduler.domain.figures import figure
from scheduler.sheets.canvas import Picture, canvas_for, saved
from scheduler.sheets.drawn import (
    Bar,
    ChanceBar,
    Dots,
    PaybackLine,
    ShareLine,
    letters,
    mark_places,
    part_names,
    payback_reach,
    share_reach,
    shortened,
    stacked,
    with_others,
)

_HATCHES = ("", "///", "...", "\\\\\\", "xxx", "---", "ooo", "+++", "|||", "**", "OO", "//..")
_NOTE = 110
"""Letters of a line of words above a picture."""

_NAME = 40
"""Letters of a name in a picture."""

_LETTER = 0.011
"""Room that a digit takes, as a share of the longest bar."""


def saving_picture(
    bars: Sequence[Bar], paybacks: Sequence[PaybackLine], kind: str, *, note: str = ""
) -> Picture:
    """A cycle by element today and then, and what is earned over time; either may be missing.

    Parameters
    ----------
    kind
        "png" or "svg".
    note
        Why a line of the paybacks is missing; empty: none is.

    Raises
    ------
    ValueError
        When there is nothing to draw.
    """
    drawn: list[Callable[[Any], None]] = []
    if bars:
        drawn.append(lambda axes: _bars(axes, bars))
    if paybacks:
        drawn.append(lambda axes: _paybacks(axes, paybacks, fill(note, _NOTE)))
    if not drawn:
        raise ValueError("neither bars nor paybacks to draw")
    bars = with_others(bars)
    names = part_names(bars)
    heights = [1.4 + 0.6 * len(bars) + 0.2 * ceil(len(names) / _columns(names))] * bool(bars)
    heights += [3.0 + 0.2 * len(paybacks)] * bool(paybacks)
    texts = [*(bar.label for bar in bars), *names, *(line.label for line in paybacks), note]
    with canvas_for(9.0, heights, texts) as (canvas, places, fonts):
        for draw, axes in zip(drawn, places, strict=True):
            draw(axes)
        return saved(canvas, kind, fonts)


def spread_picture(rows: Sequence[Dots], kind: str) -> Picture:
    """Readings as dots, one row for each thing that was timed.

    Raises
    ------
    ValueError
        When there is none.
    """
    if not rows:
        raise ValueError("no readings to draw")
    texts = [row.label for row in rows]
    with canvas_for(9.0, [1.2 + 0.45 * len(rows)], texts) as (canvas, (axes,), fonts):
        most = max(value for row in rows for value in (*row.usual, *row.far, *row.left_out, row.mean))
        for place, row in enumerate(rows):
            dots = stacked(row.usual, most / 110)
            levels = [place + 0.11 * level for _, level in dots]
            axes.plot([one for one, _ in dots], levels, "o", color="black", markersize=4, alpha=0.6)
            axes.plot(row.far, [place] * len(row.far), "o", mfc="white", mec="black", markersize=7)
            axes.plot(row.left_out, [place] * len(row.left_out), "x", color="black", markersize=6)
            axes.plot([row.mean], [place], "|", color="black", markersize=20, markeredgewidth=2)
        axes.set_yticks(range(len(rows)), [shortened(row.label, _NAME) for row in rows])
        axes.set_ylim(len(rows) - 0.5, -0.5)
        axes.set_xlim(left=0)
        axes.set_xlabel("Seconds. Line: mean. Open dots: far from the others, counted. Crosses: left out.")
        return saved(canvas, kind, fonts)


def shares_picture(rows: Sequence[ShareLine], confidence: float, kind: str) -> Picture:
    """Shares of the planned time as dots with the reach of each; the line at 1 is as planned.

    Raises
    ------
    ValueError
        When there is none.
    """
    if not rows:
        raise ValueError("no shares to draw")
    texts = [row.label for row in rows]
    with canvas_for(9.0, [1.2 + 0.32 * len(rows)], texts) as (canvas, (axes,), fonts):
        for place, row in enumerate(rows):
            axes.plot([row.low, row.high], [place, place], "|-", color="black", linewidth=2, markersize=9)
            axes.plot([row.best], [place], "o", mfc="white", mec="black", markersize=7)
        axes.axvline(1, color="black", linewidth=0.8, linestyle="--")
        axes.set_yticks(range(len(rows)), [shortened(row.words, _NAME + 20) for row in rows])
        axes.set_ylim(len(rows) - 0.5, -0.5)
        axes.set_xlim(*share_reach(rows))
        axes.set_xlabel(f"Share of the planned time. Lines: where they lie, all at once at {confidence:.0%}")
        return saved(canvas, kind, fonts)


def chance_picture(bars: Sequence[ChanceBar], confidence: float, kind: str) -> Picture:
    """Chances as bars from the first to the last, with their intervals.

    Raises
    ------
    ValueError
        When there is none.
    """
    if not bars:
        raise ValueError("no chances to draw")
    texts = [bar.label for bar in bars]
    with canvas_for(9.0, [1.2 + 0.28 * len(bars)], texts) as (canvas, (axes,), fonts):
        for row, bar in enumerate(bars):
            axes.barh(row, 100 * bar.best, height=0.6, color="white", edgecolor="black", hatch="///")
            axes.plot([100 * bar.low, 100 * bar.high], [row, row], color="black", linewidth=2)
            axes.text(101.5, row, bar.percent, ha="left", va="center", size=8)
        axes.set_yticks(range(len(bars)), [shortened(bar.label, _NAME) for bar in bars])
        axes.set_ylim(len(bars) - 0.5, -0.5)
        axes.set_xlim(0, 110)
        axes.set_xticks(range(0, 101, 20))
        axes.set_xlabel(
            f"On time, percent of the days. Thick line: where the chance lies at {confidence:.0%}"
        )
        return saved(canvas, kind, fonts)


def _bars(axes: Any, bars: Sequence[Bar]) -> None:
    """Bars lying one above the other, each part with the same hatch in all of them."""
    names = part_names(bars)
    longest = max(bar.whole for bar in bars)
    for row, bar in enumerate(bars):
        left = 0.0
        for number, name in enumerate(names):
            seconds = bar.parts.get(name, 0.0)
            hatch = _HATCHES[number]
            axes.barh(row, seconds, left=left, height=0.55, color="white", edgecolor="black", hatch=hatch)
            words = figure(seconds)
            if len(names) > 1 and seconds > _LETTER * (1 + len(words)) * longest:
                box = {"facecolor": "white", "edgecolor": "none", "pad": 1.0}
                axes.text(left + seconds / 2, row, words, ha="center", va="center", size=8, bbox=box)
            left += seconds
        # Not spaced off by blanks: an SVG drops those at the begin of a text.
        away = {"xytext": (6, 0), "textcoords": "offset points"}
        axes.annotate(f"{figure(left)} s", (left, row), ha="left", va="center", weight="bold", **away)
    axes.set_yticks(range(len(bars)), [bar.label for bar in bars])
    axes.set_ylim(len(bars) - 0.5, -0.5)
    axes.set_xlim(0, 1.15 * longest)
    axes.set_xlabel("Seconds for one garment, without allowance")
    if len(names) > 1:
        from matplotlib.patches import Patch

        patches = [
            Patch(facecolor="white", edgecolor="black", hatch=hatch, label=shortened(name, _NAME))
            for name, hatch in zip(names, _HATCHES, strict=False)
        ]
        where = (0.5, -0.42 * 2 / (1 + len(bars)))
        columns = _columns(names)
        axes.legend(handles=patches, loc="upper center", bbox_to_anchor=where, ncols=columns, frameon=False)


def _columns(names: Sequence[str]) -> int:
    """Columns of a legend below the bars that fit beside each other."""
    longest = max((letters(shortened(name, _NAME)) for name in names), default=0)
    return max(1, min(4, 100 // (longest + 8)))


def _paybacks(axes: Any, lines: Sequence[PaybackLine], note: str) -> None:
    """Money saved less the price, over working days; it has paid where the line crosses 0."""
    reach = payback_reach(lines)
    styles = ("-", "--", ":", "-.")
    for number, (line, place) in enumerate(zip(lines, mark_places(lines), strict=True)):
        style = styles[number % len(styles)]
        values = [-line.price, reach.days * line.saved_a_day - line.price]
        axes.plot([0, reach.days], values, style, color="black", label=f"{number + 1}  {line.legend}")
        y = 0.09 * place * (reach.high - reach.low)
        axes.plot([line.days], [y], "o", mfc="white", mec="black", markersize=13, clip_on=False, zorder=3)
        axes.text(line.days, y, str(number + 1), ha="center", va="center_baseline", size=8, zorder=4)
    axes.axhline(0, color="black", linewidth=0.8)
    axes.set_xlim(0, reach.days)
    axes.set_ylim(reach.low, reach.high)
    axes.set_xlabel("Working days")
    axes.set_title(note, loc="left", size=8)
    axes.set_ylabel("Saved less the price, in your money")
    axes.legend(loc="upper left", bbox_to_anchor=(0, -0.16), frameon=False)
