"""What is said of a day planned again: whose new sheets there are, and of which day."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from scheduler.answers.replan import change_lines
from scheduler.domain.clock import short_date
from scheduler.domain.paper import PaperSheet
from scheduler.sheets.new_sheets import new_sheets_data
from scheduler.sheets.page import day_page
from scheduler.sheets.paper import PaperChange, Swap
from tests.sheets.test_paper import paper_of


def test_new_sheets_are_named_with_their_day_unless_all_are_of_the_planned_one() -> None:
    paper = paper_of()
    (new,) = [swap.new for swap in paper.change.swaps if swap.one.side == "operator"]
    assert new is not None and new.day == paper.new.day
    tomorrow = replace(new, day=new.day + timedelta(days=1))
    mate = replace(new, name="Somebody else")

    def said(sheet: PaperSheet, *kept: PaperSheet) -> str:
        change = PaperChange(kept=kept, swaps=(Swap(old=None, new=sheet),))
        told = replace(paper, change=change)
        lines = [line for line in change_lines(told) if line.startswith(("New sheets", "Sheets in hand"))]
        page = day_page(paper.new, paper_of=told).decode()
        assert lines[0] in page
        front = new_sheets_data(replace(paper, change=change))["front"]
        assert isinstance(front, dict)
        assert (short_date(sheet.day) in front["swaps"][0]["name"]) == (" of " in lines[0])
        return "\n".join(lines)

    name, of_today, of_tomorrow = new.name, short_date(new.day), short_date(tomorrow.day)
    assert said(new, mate).startswith(
        f"New sheets for {name}.\nSheets in hand that stay valid: Somebody else"
    )
    assert said(tomorrow) == f"New sheets for {name} of {of_tomorrow}."
    assert said(tomorrow, new).startswith(
        f"New sheets for {name} of {of_tomorrow}.\nSheets in hand that stay valid: {name} of {of_today}, "
    )
