"""What changed since the sheets in hand, for the page of a day that was planned again."""

from __future__ import annotations

from html import escape

from scheduler.domain.clock import moment_words
from scheduler.sheets.changes import no_new_sheets, told, whose
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
    at = f" at {moment_words(new.at, new.day)}" if new.at is not None else ""
    lead = f"Planned again{at}. Against version {old.version}, {counts(old, new, paper_of.found)}."
    ready = ready_lines(old, new)
    told_of = [f"{ready_title(ready_orders(old, new))}: {'; '.join(ready)}."] if ready else []
    told_of += [f"{line}." for line in cost_lines(old, new)]
    costs = "".join(f"<p>{escape(line)}</p>" for line in told_of)
    swaps = [swap for swap in paper_of.change.swaps if swap.one.side == "operator"]
    kept = [one for one in paper_of.change.kept if one.side == "operator"]
    says_days = paper_of.change.says_days("operator", new.day)
    swapped = whose((swap.new for swap in swaps if swap.new is not None), says_days=says_days)
    stay = whose(kept, says_days=says_days)
    fine = [
        f"New sheets for {', '.join(swapped)}." if swapped else no_new_sheets(paper_of.change),
        *([f"Sheets in hand that stay valid: {', '.join(stay)}."] if stay else []),
    ]
    return (
        f'<section id="changes"><h2>What changed since version {old.version}</h2>'
        f'<p class="lead">{escape(lead)}</p>{costs}{table}'
        f'<p class="fine">{escape(" ".join(fine))}</p></section>'
    )
