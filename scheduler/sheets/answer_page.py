"""A command's answer as one web page: its words, tables and pictures. Nothing is fetched, no script runs.

Black on white, large enough to be read at arm's length, and the same bytes for the same answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

from scheduler.sheets.html_table import table
from scheduler.sheets.typeset import template

KINDS = ("html",)
"""Kinds of files that a page can be, by the end of the name."""

_POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'"


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table: what it shows, its headings, and its cells as texts; the first of a row names the row."""

    label: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A picture: its title, its SVG with a text alternative in it, and what helps to read it."""

    title: str
    svg: str
    note: str = ""


def answer_page(
    *,
    title: str,
    about: str,
    lines: Sequence[str],
    tables: Iterable[Table] = (),
    pictures: Iterable[Shown] = (),
    cautions: Iterable[str] = (),
    details: tuple[str, Sequence[str]] | None = None,
) -> bytes:
    """The page as UTF-8 HTML.

    Parameters
    ----------
    about
        What the figures are of, below the title.
    lines
        The answer as the terminal has it; lines that are set in belong to the one above.
    cautions
        What nobody may overlook; framed.
    details
        A heading and more lines, at the end.

    Every text is escaped but the SVG, whose maker has done it.
    """
    shown = "".join(
        f"<figure><h2>{escape(one.title)}</h2>{one.svg}"
        + (f"<figcaption>{escape(one.note)}</figcaption>" if one.note else "")
        + "</figure>"
        for one in pictures
    )
    drawn = "".join(
        f"<section><h2>{escape(one.label)}</h2>{table(one.label, one.head, one.rows)}</section>"
        for one in tables
    )
    more = (
        f"<section><h2>{escape(details[0])}</h2>{words(details[1])}</section>" if details is not None else ""
    )
    warned = "".join(f'<p class="caution">{escape(one)}</p>' for one in cautions)
    text = (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{escape(_POLICY, quote=False)}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{template('answer.css')}</style></head><body>"
        f"<header><h1>{escape(title)}</h1><p>{escape(about)}</p></header><main>"
        f'{warned}<section class="words">{words(lines)}</section>{shown}{drawn}{more}</main></body></html>\n'
    )
    return text.encode()


def words(lines: Iterable[str]) -> str:
    """Lines of the terminal as HTML: what is set in becomes a list below the line that it belongs to."""
    parts: list[str] = []
    depth = 0
    for line in lines:
        text = line.lstrip(" ")
        level = min((len(line) - len(text)) // 2, depth + 1) if text else 0
        while depth > level:
            parts.append("</li></ul>")
            depth -= 1
        if not text:
            continue
        if level == 0:
            parts.append(f"<p>{escape(text)}</p>")
        elif level > depth:
            parts.append(f"<ul><li>{escape(text)}")
            depth = level
        else:
            parts.append(f"</li><li>{escape(text)}")
    parts.append("</li></ul>" * depth)
    return "".join(parts)
