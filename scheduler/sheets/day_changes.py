"""What changed since the sheets in hand, for the page of a day that was planned again."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from scheduler.domain.paper import PaperSheet
from scheduler.sheets.changes import told
from scheduler.sheets.clock import clock, short_date
from scheduler.sheets.new_sheets import NewPaper
from scheduler.sheets.ready import cost_lines, ready_lines, ready_orders, ready_title
from scheduler.sheets.tally import counts

CHANGES_HEAD = ("Sheet of", "", "What changed")


def change_rows(paper_of: NewPaper) -> list[tuple[str, ...]]:
    """A row for each change on a person's new sheet: whose sheet, in which way, and what."""
    sheets = told(paper_of.old, paper_of.new, paper_of.found, paper_of.change, "operator")
    return [
        (one.name, title, line[:1].upper() + line[1:])
        for one in sheets
        for title, lines in one.parts
        for line in lines
    ]


def changes_section(paper_of: NewPaper, table: str) -> str:
    """The part of the page; `table` is that of the changes, ready made, or empty."""
    old, new = paper_of.old, paper_of.new
    at = f" at {clock(new.at)}" if new.at is not None else ""
    lead = f"Planned again{at}. Against version {old.version}, {counts(old, new, paper_of.found)}."
    ready = ready_lines(old, new)
    told_of = [f"{ready_title(ready_orders(old, new))}: {'; '.join(ready)}."] if ready else []
    told_of += [f"{line}." for line in cost_lines(old, new)]
    costs = "".join(f"<p>{escape(line)}</p>" for line in told_of)
    swaps = [swap for swap in paper_of.change.swaps if swap.one.side == "operator"]
    kept = [one for one in paper_of.change.kept if one.side == "operator"]
    several = len({one.day for one in (*kept, *(swap.one for swap in swaps))}) > 1
    swapped = _whose((swap.new for swap in swaps if swap.new is not None), several_days=several)
    stay = _whose(kept, several_days=several)
    fine = [
        f"New sheets for {', '.join(swapped)}." if swapped else "Nothing on the printed sheets changes.",
        *([f"Sheets in hand that stay valid: {', '.join(stay)}."] if stay else []),
    ]
    return (
        f'<section id="changes"><h2>What changed since version {old.version}</h2>'
        f'<p class="lead">{escape(lead)}</p>{costs}{table}'
        f'<p class="fine">{escape(" ".join(fine))}</p></section>'
    )


def _whose(sheets: Iterable[PaperSheet], *, several_days: bool) -> list[str]:
    """Whose sheets these are; of several days with the day, since one of a person's may stay and one not."""
    return list(
        dict.fromkeys(f"{one.name} of {short_date(one.day)}" if several_days else one.name for one in sheets)
    )
