"""From a template and data to a PDF: the one place that talks to the typesetter.

Data travels as one JSON text, so that nothing a customer writes is ever read as markup.
"""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, time
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Literal

from scheduler.domain.plan import Plan
from scheduler.exceptions import PressdayError

if TYPE_CHECKING:
    from collections.abc import Mapping

Paper = Literal["a4", "letter"]

PAPERS: tuple[Paper, ...] = ("a4", "letter")

FAMILIES = (
    "Noto Sans",
    "Segoe UI",
    "Helvetica Neue",
    "Liberation Sans",
    "Arial",
    "DejaVu Sans",
    "Libertinus Serif",
    "Noto Sans CJK JP",
    "Yu Gothic",
    "Hiragino Sans",
    "Noto Sans CJK SC",
    "Microsoft YaHei",
    "PingFang SC",
    "Noto Sans CJK KR",
    "Malgun Gothic",
    "Apple SD Gothic Neo",
    "Droid Sans Fallback",
)
"""Font families in order of liking. Any other font of the machine is used for letters these lack."""


@lru_cache(maxsize=2)
def fonts(system: bool) -> Any:
    """The fonts at hand, searched once a process."""
    import typst

    return typst.Fonts(include_system_fonts=system)


def families(system: bool) -> list[str]:
    """Those of the liked families that are there, in order of liking."""
    there = {family.lower() for family in fonts(system).families()}
    return [family for family in FAMILIES if family.lower() in there]


def template(name: str) -> str:
    """The text of a template that ships with the package."""
    return files("scheduler.sheets").joinpath("templates", name).read_text(encoding="utf-8")


def pdf(
    plan: Plan,
    sheet: str | tuple[str, ...],
    data: Mapping[str, object],
    paper: Paper,
    *,
    system_fonts: bool = True,
) -> bytes:
    """Typeset a sheet of a plan; see `typeset`.

    Parameters
    ----------
    plan
        Gives the time stamp, so that the same plan makes the same bytes.
    """
    return typeset(sheet, data, paper, plan.day, system_fonts=system_fonts)


def typeset(
    sheet: str | tuple[str, ...],
    data: Mapping[str, object],
    paper: Paper,
    stamp: date,
    *,
    system_fonts: bool = True,
) -> bytes:
    """Typeset a sheet.

    Parameters
    ----------
    sheet
        File name of the template, or of several, one after the other; `look.typ` goes before them.
    data
        What the template reads as `data`: JSON values only.
    paper
        "a4" or "letter".
    stamp
        The day that the file says it was made on.
    system_fonts
        False: only the fonts that the typesetter brings, so that pages are equal on all machines.

    Raises
    ------
    ValueError
        When the paper is neither.
    PressdayError
        When the typesetter refuses the sheet: always a defect of the program.
    """
    import typst

    if paper not in PAPERS:
        raise ValueError(f"paper {paper!r} is none of {', '.join(PAPERS)}")
    text = "".join(template(name) for name in ("look.typ", *((sheet,) if isinstance(sheet, str) else sheet)))
    sent = {**data, "paper": "us-letter" if paper == "letter" else "a4", "families": families(system_fonts)}
    compiler = typst.Compiler(text.encode(), font_paths=fonts(system_fonts))
    try:
        made = compiler.compile(
            format="pdf",
            sys_inputs={"data": json.dumps(sent, ensure_ascii=False)},
            timestamp=int(datetime.combine(stamp, time(), tzinfo=UTC).timestamp()),
            pdf_tags=False,
        )
    except typst.TypstError as error:
        raise PressdayError(f"{sheet} could not be typeset: {error.diagnostic}") from error
    if not isinstance(made, bytes):
        raise PressdayError(f"{sheet} came back as several files")
    return made
