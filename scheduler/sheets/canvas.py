"""What pictures are drawn on: PNG or SVG, by a plotting library that is an extra of its own.

Black, white and hatches tell everything; no shade alone does. The same figures make the same file.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput
from scheduler.sheets.fonts import no_font
from scheduler.sheets.one_file import check_name
from scheduler.sheets.picture_fonts import PictureFonts, picture_fonts, quiet_fonts

KINDS = ("png", "svg")
"""Kinds of files that are written, by the end of the name."""

_DPI = 150


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture ready to be written.

    Attributes
    ----------
    no_font
        Scripts with letters that no installed font has.
    """

    content: bytes
    no_font: tuple[str, ...] = ()

    @property
    def notes(self) -> tuple[str, ...]:
        """What should be said of it."""
        return no_font(self.no_font)


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


@contextmanager
def canvas_for(
    width: float, heights: Sequence[float], texts: Iterable[str]
) -> Iterator[tuple[Any, list[Any], PictureFonts]]:
    """A figure with one place above the other, in inches, and fonts for the texts that stand in it."""
    import matplotlib
    from matplotlib.figure import Figure

    fonts = picture_fonts(texts)
    settings: Any = {
        "font.family": list(fonts.families),
        "svg.hashsalt": "pressday",
        "svg.fonttype": "none",
        "font.size": 9,
        # A name with dollar signs is a name, not a formula.
        "text.parse_math": False,
        "hatch.linewidth": 0.5,
    }
    with matplotlib.rc_context(settings), warnings.catch_warnings(), quiet_fonts():
        # Letters that no font has become boxes, which the notes say; that is no reason to fail.
        warnings.filterwarnings("ignore", message="Glyph", category=UserWarning)
        canvas = Figure(figsize=(width, sum(heights)), dpi=_DPI, layout="constrained")
        places = canvas.subplots(len(heights), 1, squeeze=False, height_ratios=list(heights))
        yield canvas, [row[0] for row in places], fonts


def saved(canvas: Any, kind: str, fonts: PictureFonts) -> Picture:
    """What was drawn, as a file of that kind, and what is to be said of its letters."""
    out = io.BytesIO()
    metadata = {"Date": None} if kind == "svg" else {"Software": None}
    canvas.savefig(out, format=kind, metadata=metadata)
    return Picture(out.getvalue(), fonts.missing)
