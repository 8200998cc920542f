"""A table on a web page, for eyes and for whoever has it read out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape


def table(
    label: str,
    head: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    raw: Sequence[int] = (),
    ids: Sequence[str] = (),
) -> str:
    """A table as HTML that scrolls sideways by itself; every cell is escaped but those in columns `raw`.

    Parameters
    ----------
    label
        What the table shows, for whoever has it read out.
    rows
        Cells as texts; the first of a row names the row.
    ids
        One for each row, so that links lead to it.
    """
    top = "".join(f'<th scope="col">{escape(name)}</th>' for name in head)
    body = []
    for index, row in enumerate(rows):
        cells = [text if column in raw else escape(text) for column, text in enumerate(row)]
        mark = f' id="{ids[index]}" tabindex="-1"' if ids else ""
        body.append(
            f'<tr{mark}><th scope="row">{cells[0]}</th>'
            + "".join(f"<td>{cell}</td>" for cell in cells[1:])
            + "</tr>"
        )
    return (
        f'<div class="scroll" tabindex="0" role="region" aria-label="{escape(label, quote=True)}"><table>'
        f"<thead><tr>{top}</tr></thead><tbody>{''.join(body)}</tbody></table></div>"
    )
