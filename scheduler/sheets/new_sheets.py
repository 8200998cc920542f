"""The paper of a day that was planned again: what changed, and only the sheets that did."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scheduler.domain.clock import clock, long_date, moment_words, short_date
from scheduler.domain.differences import Difference
from scheduler.domain.paper import Side
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.sheets.changes import Told, came_in_between, told
from scheduler.sheets.dayview import sheet_days
from scheduler.sheets.lines import soft
from scheduler.sheets.paper import PaperChange, Swap
from scheduler.sheets.ready import cost_lines, ready_orders, ready_row, ready_title
from scheduler.sheets.run_sheets import sheets_data
from scheduler.sheets.tally import counts
from scheduler.sheets.typeset import Paper, pdf

EARLIER = "They are on the sheet that you had before: hand it in"
"""Said of runs that are over; what of them is still to be entered follows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPaper:
    """All that is needed to print what changed.

    Attributes
    ----------
    old, new
        The plan that was, and the one that takes its place.
    found
        Where they differ.
    change
        What becomes of the sheets in hand.
    entered
        Runs of which nothing is to be entered any more if they are over; None: that is not known.
    """

    old: Plan
    new: Plan
    found: tuple[Difference, ...]
    change: PaperChange
    entered: frozenset[str] | None = None


def new_sheets(
    paper_of: NewPaper, *, by: Side = "operator", paper: Paper = "a4", system_fonts: bool = True
) -> bytes:
    """A page that says what changed and which sheets in hand hold, then the sheets to swap, as one PDF.

    Parameters
    ----------
    by
        Sheets of operators, or of presses.
    paper
        "a4" or "letter".
    system_fonts
        False: only the typesetter's own fonts.
    """
    return pdf(
        paper_of.new,
        ("changes.typ", "run_sheets.typ"),
        new_sheets_data(paper_of, by=by),
        paper,
        system_fonts=system_fonts,
    )


def new_sheets_data(paper_of: NewPaper, *, by: Side = "operator") -> dict[str, object]:
    """All texts of the page of changes and the new sheets, ready for the templates."""
    new = paper_of.new
    swaps = [swap for swap in paper_of.change.swaps if swap.one.side == by]
    wanted = {(swap.new.name, swap.new.day) for swap in swaps if swap.new is not None}
    names = dict.fromkeys(name for name, _ in wanted)
    in_order = [
        sheet
        for name in dict.fromkeys(swap.one.name for swap in swaps)
        if name in names
        for sheet in sheet_days(new, by, name)
        if (name, sheet.day) in wanted
    ]
    data = sheets_data(
        new,
        in_order,
        since=new.at,
        earlier=lambda over: _earlier(over, paper_of.entered),
    )
    return {**data, "front": _front(paper_of, swaps, by)}


def _earlier(over: Sequence[PlannedRun], entered: frozenset[str] | None) -> str:
    """Where runs that are over are to be found, and which of them are still to be entered."""
    if entered is None:
        return f"{EARLIER}, its counts are still to be entered."
    numbers = [str(run.number) for run in over if run.id not in entered]
    if not numbers:
        return f"{EARLIER}; all of them are entered."
    if len(numbers) == len(over) > 1:
        return f"{EARLIER}; all of them are still to be entered."
    runs = f"run {numbers[0]} is" if len(numbers) == 1 else f"runs {', '.join(numbers)} are"
    return f"{EARLIER}; {runs} still to be entered."


def _front(paper_of: NewPaper, swaps: Sequence[Swap], side: Side) -> dict[str, object]:
    old, new, change = paper_of.old, paper_of.new, paper_of.change
    assert new.at is not None
    kept = [one for one in change.kept if one.side == side]
    says_days = change.says_days(side, new.day)
    sentences = told(old, new, paper_of.found, change, side)
    ready = ready_orders(old, new)
    return {
        "kind": "For whoever hands out the sheets",
        "name": "What changed for whom" if side == "operator" else "What changed at which press",
        "date": long_date(new.day),
        "badge": {"version": f"V{new.version}", "code": "", "at": f"from {clock(new.at)}", "later": True},
        "facts": " ".join(
            [
                f"Version {new.version} takes the place of version {old.version}. Planned again at "
                f"{moment_words(new.at, new.day)}. Against version {old.version}, "
                f"{counts(old, new, paper_of.found, side)}.",
                *(f"{line}." for line in cost_lines(old, new)),
            ]
        ),
        "between": [soft(line) for line in came_in_between(old, new)],
        "ready_title": ready_title(ready),
        "ready": [[soft(cell) for cell in ready_row(one, new)] for one in ready],
        "who": "Operator" if side == "operator" else "Press",
        "swaps": [_swap(swap, says_days=says_days) for swap in swaps],
        "kept": [
            {
                "name": soft(one.name + (f", {short_date(one.day)}" if says_days else "")),
                "version": f"V{one.version}",
                "code": one.code,
            }
            for one in kept
        ],
        "told": [_sentences(one) for one in sentences],
        "note": (
            "A sheet that stays valid says the same runs and presses to switch on in the same order, and the "
            "same cut-offs; starts may be off by less than 5 minutes. Take every other sheet back. Enter "
            "what is ticked and counted on it (pressday done, or progress with a table); then throw it away. "
            "The day lists are new with every version."
        ),
    }


def _swap(swap: Swap, *, says_days: bool) -> dict[str, str]:
    old, new = swap.old, swap.new
    return {
        "name": soft(swap.one.name + (f", {short_date(swap.one.day)}" if says_days else "")),
        "old": f"V{old.version} {old.code}" if old else "none",
        "new": f"V{new.version} {new.code}" if new else "none: nothing left to do",
    }


def _sentences(one: Told) -> dict[str, object]:
    return {
        "name": soft(one.name),
        "parts": [{"title": title, "lines": [soft(line) for line in lines]} for title, lines in one.parts],
    }
