"""Pictures of times and savings as PNG or SVG, by a plotting library that is an extra of its own.

Black, white and hatches tell everything; no shade alone does. The same figures make the same file.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput
from scheduler.sheets.drawn import Bar, ChanceBar, Dots, PaybackLine
from scheduler.sheets.one_file import check_name

KINDS = ("png", "svg")
"""Kinds of files that are written, by the end of the name."""

_DPI = 150
_HATCHES = ("", "///", "...", "\\\\\\", "xxx", "---", "ooo", "+++", "|||", "**")
_LEAST_LABEL = 0.035
"""Share of the longest bar below which a part has no label inside."""


def kind_of(path: Path) -> str:
    """The kind of a picture by its name: "png" for spread.PNG."""
    return path.suffix.casefold().lstrip(".")


def check_kind(path: Path) -> None:
    """See that a picture can be written under a name, before any work is done.

    Raises
    ------
    BadInput
        When it ends in neither .png nor .svg, or the plotting library is not installed.
    """
    check_name(path, KINDS, "a picture")
    if find_spec("matplotlib") is None:
        mend = (
            "Install it: .venv/bin/pip install -c constraints.txt -e '.[pictures]'; or leave the picture out."
        )
        fault = Fault(
            code="pictures-missing",
            source=Source(file=str(path)),
            found="no plotting library here",
            expected="the extra for pictures",
            mend=mend,
        )
        raise BadInput([fault])


def saving_picture(bars: Sequence[Bar], paybacks: Sequence[PaybackLine], kind: str) -> bytes:
    """A cycle by element today and then, and what is earned over time; either may be missing.

    Parameters
    ----------
    kind
        "png" or "svg".

    Raises
    ------
    ValueError
        When there is nothing to draw.
    """
    drawn: list[Callable[[Any], None]] = []
    if bars:
        drawn.append(lambda axes: _bars(axes, bars))
    if paybacks:
        drawn.append(lambda axes: _paybacks(axes, paybacks))
    if not drawn:
        raise ValueError("neither bars nor paybacks to draw")
    heights = [1.5 + 0.6 * len(bars)] * bool(bars) + [3.2] * bool(paybacks)
    with _figure(9.0, heights) as (figure, places):
        for draw, axes in zip(drawn, places, strict=True):
            draw(axes)
        return _saved(figure, kind)


def spread_picture(rows: Sequence[Dots], kind: str) -> bytes:
    """Readings as dots, one row for each thing that was timed.

    Raises
    ------
    ValueError
        When there is none.
    """
    if not rows:
        raise ValueError("no readings to draw")
    with _figure(9.0, [1.2 + 0.45 * len(rows)]) as (figure, (axes,)):
        for place, row in enumerate(rows):
            axes.plot(row.usual, [place] * len(row.usual), "o", color="black", markersize=4, alpha=0.6)
            axes.plot(row.far, [place] * len(row.far), "o", mfc="white", mec="black", markersize=7)
            axes.plot(row.left_out, [place] * len(row.left_out), "x", color="black", markersize=6)
            axes.plot([row.mean], [place], "|", color="black", markersize=20, markeredgewidth=2)
        axes.set_yticks(range(len(rows)), [row.label for row in rows])
        axes.set_ylim(len(rows) - 0.5, -0.5)
        axes.set_xlim(left=0)
        axes.set_xlabel("Seconds. Line: mean. Open dots: far from the others, counted. Crosses: left out.")
        return _saved(figure, kind)


def chance_picture(bars: Sequence[ChanceBar], confidence: float, kind: str) -> bytes:
    """Chances as bars from the first to the last, with their intervals.

    Raises
    ------
    ValueError
        When there is none.
    """
    if not bars:
        raise ValueError("no chances to draw")
    with _figure(9.0, [1.2 + 0.28 * len(bars)]) as (figure, (axes,)):
        for row, bar in enumerate(bars):
            axes.barh(row, 100 * bar.best, height=0.6, color="white", edgecolor="black", hatch="///")
            axes.plot([100 * bar.low, 100 * bar.high], [row, row], color="black", linewidth=2)
            axes.text(101.5, row, f"{100 * bar.best:.0f} %", ha="left", va="center", size=8)
        axes.set_yticks(range(len(bars)), [bar.label for bar in bars])
        axes.set_ylim(len(bars) - 0.5, -0.5)
        axes.set_xlim(0, 110)
        axes.set_xticks(range(0, 101, 20))
        axes.set_xlabel(
            f"On time, percent of the days. Thick line: where the chance lies at {confidence:.0%}"
        )
        return _saved(figure, kind)


def _bars(axes: Any, bars: Sequence[Bar]) -> None:
    """Bars lying one above the other, each part with the same hatch in all of them."""
    names = list(dict.fromkeys(name for bar in bars for name in bar.parts))
    longest = max(sum(bar.parts.values()) for bar in bars)
    for row, bar in enumerate(bars):
        left = 0.0
        for number, name in enumerate(names):
            seconds = bar.parts.get(name, 0.0)
            hatch = _HATCHES[number % len(_HATCHES)]
            axes.barh(row, seconds, left=left, height=0.55, color="white", edgecolor="black", hatch=hatch)
            if seconds > _LEAST_LABEL * longest:
                box = {"facecolor": "white", "edgecolor": "none", "pad": 1.0}
                axes.text(left + seconds / 2, row, f"{seconds:g}", ha="center", va="center", size=8, bbox=box)
            left += seconds
        axes.text(left, row, f"  {left:g} s", ha="left", va="center", weight="bold")
    axes.set_yticks(range(len(bars)), [bar.label for bar in bars])
    axes.set_ylim(len(bars) - 0.5, -0.5)
    axes.set_xlim(0, 1.15 * longest)
    axes.set_xlabel("Seconds for one garment, without allowance")
    if len(names) > 1:
        from matplotlib.patches import Patch

        patches = [
            Patch(facecolor="white", edgecolor="black", hatch=_HATCHES[number % len(_HATCHES)], label=name)
            for number, name in enumerate(names)
        ]
        axes.legend(handles=patches, loc="upper center", bbox_to_anchor=(0.5, -0.28), ncols=4, frameon=False)


def _paybacks(axes: Any, lines: Sequence[PaybackLine]) -> None:
    """Money saved less the price, over working days; it has paid where the line crosses 0."""
    ends = [line.price / line.saved_a_day for line in lines]
    last = max(1.0, 1.6 * max(ends))
    styles = ("-", "--", "-.", ":")
    for number, (line, end) in enumerate(zip(lines, ends, strict=True)):
        style = styles[number % len(styles)]
        values = [-line.price, last * line.saved_a_day - line.price]
        axes.plot([0, last], values, style, color="black", label=f"{line.label}: paid after {end:.4g} days")
        axes.plot([end], [0], "o", color="black")
    axes.axhline(0, color="black", linewidth=0.8)
    axes.set_xlim(0, last)
    axes.set_xlabel("Working days")
    axes.set_ylabel("Saved less the price")
    axes.legend(loc="upper left", frameon=False)


@contextmanager
def _figure(width: float, heights: Sequence[float]) -> Iterator[tuple[Any, list[Any]]]:
    """A figure with one place above the other, in inches; nothing outside of it is touched."""
    import matplotlib
    from matplotlib.figure import Figure

    settings: Any = {
        "svg.hashsalt": "pressday",
        "svg.fonttype": "none",
        "font.size": 9,
        # A name with dollar signs is a name, not a formula.
        "text.parse_math": False,
        "hatch.linewidth": 0.5,
    }
    with matplotlib.rc_context(settings), warnings.catch_warnings():
        # Letters that the library's font lacks become boxes; that is no reason to fail.
        warnings.filterwarnings("ignore", message="Glyph", category=UserWarning)
        figure = Figure(figsize=(width, sum(heights)), dpi=_DPI, layout="constrained")
        places = figure.subplots(len(heights), 1, squeeze=False, height_ratios=list(heights))
        yield figure, [row[0] for row in places]


def _saved(figure: Any, kind: str) -> bytes:
    out = io.BytesIO()
    metadata = {"Date": None} if kind == "svg" else {"Software": None}
    figure.savefig(out, format=kind, metadata=metadata)
    return out.getvalue()
