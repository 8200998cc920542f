"""Sheets in hand after a day was planned again: which hold, which are swapped, and what the paper says."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from html import escape

import pytest

from scheduler.domain.clock import short_date
from scheduler.domain.paper import PaperSheet
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.planning.differences import differences
from scheduler.sheets.changes import told
from scheduler.sheets.day_changes import change_rows
from scheduler.sheets.dayview import names, sheet_days
from scheduler.sheets.new_sheets import NewPaper, new_sheets, new_sheets_data
from scheduler.sheets.page import day_page
from scheduler.sheets.paper import PaperChange, Swap, compare, in_hand, sheets_of
from scheduler.sheets.run_sheets import run_sheets, section, sheet_code
from tests.sheets.reading import MM, bare, coloured, flow, outside, overlapping, pages, words_of
from tests.sheets.sample_plan import DAY, sample_plan

AT = datetime.combine(DAY, datetime.min.time()) + timedelta(hours=9)


def morning() -> Plan:
    return sample_plan()


def later(plan: Plan, runs: tuple[PlannedRun, ...], at: datetime = AT) -> Plan:
    """The next version, its runs as given."""
    return replace(plan, version=plan.version + 1, fingerprint="AAAA-AAAA", runs=runs, at=at)


def last_of_day(plan: Plan, number: int = -1) -> PlannedRun:
    """A late run of the planned day with a person."""
    return sorted(
        (run for run in plan.runs if run.start.date() == DAY and run.operator), key=lambda r: r.start
    )[number]


def moved(plan: Plan, run: PlannedRun, minutes: float) -> tuple[PlannedRun, ...]:
    shift = timedelta(minutes=minutes)
    there = replace(
        run, start=run.start + shift, pressing_start=run.pressing_start + shift, end=run.end + shift
    )
    return tuple(there if one.id == run.id else one for one in plan.runs)


def people(change: PaperChange) -> set[str]:
    return set(change.new_for("operator"))


def test_nothing_changed_all_sheets_hold_with_their_codes() -> None:
    plan = morning()
    change = compare(plan, later(plan, plan.runs), AT)
    assert change.swaps == ()
    assert set(change.kept) == {one for one in sheets_of(plan) if one.day >= DAY}
    assert {one.version for one in change.in_hand} == {plan.version}


@pytest.mark.parametrize(("minutes", "new"), [(4.9, False), (5, True), (-4.9, False), (-5, True)])
def test_a_start_that_is_five_minutes_off_is_worth_a_new_sheet(minutes: float, new: bool) -> None:
    plan = morning()
    run = last_of_day(plan)
    change = compare(plan, later(plan, moved(plan, run, minutes)), AT)
    assert people(change) == ({run.operator} if new else set())
    assert set(change.new_for("press")) == ({run.press} if new else set())


def test_small_delays_add_up_against_the_sheet_in_hand() -> None:
    plan = morning()
    run = last_of_day(plan)
    second = later(plan, moved(plan, run, 3))
    second = replace(second, paper=compare(plan, second, AT).in_hand)
    assert {one.version for one in in_hand(second)} == {plan.version}
    third = later(second, moved(plan, run, 6))
    change = compare(second, third, AT)
    assert people(change) == {run.operator}
    (sentences,) = told(second, third, differences(second, third), change, "operator")
    was, is_now = run.pressing_start, run.pressing_start + timedelta(minutes=6)
    assert f"{was:%H:%M} becomes {is_now:%H:%M}" in sentences.moved[0], "against the sheet, not version 2"


def test_other_pieces_need_a_new_sheet_and_say_how_many() -> None:
    plan = morning()
    run = last_of_day(plan)
    more = tuple(replace(one, quantity=one.quantity + 1) for one in run.content.pieces)
    runs = tuple(
        replace(one, content=replace(one.content, pieces=more)) if one.id == run.id else one
        for one in plan.runs
    )
    new = later(plan, runs)
    change = compare(plan, new, AT)
    assert run.operator in people(change)
    sentences = {one.name: one for one in told(plan, new, differences(plan, new), change, "operator")}
    assert f"become {run.content.quantity + len(more)}" in sentences[run.operator].moved[0]


def test_a_run_that_goes_to_somebody_else_is_added_there_and_dropped_here() -> None:
    plan = morning()
    run = last_of_day(plan)
    other = next(name for name in names(plan, "operator") if name and name != run.operator)
    runs = tuple(replace(one, operator=other) if one.id == run.id else one for one in plan.runs)
    new = later(plan, runs)
    change = compare(plan, new, AT)
    sentences = {one.name: one for one in told(plan, new, differences(plan, new), change, "operator")}
    assert run.operator in sentences[other].added[0]
    assert other in sentences[run.operator].dropped[0]
    assert set(sentences) == {run.operator, other}


def test_the_last_run_dropped_takes_the_sheet_away() -> None:
    plan = morning()
    name = last_of_day(plan).operator
    gone = {run.id for run in plan.runs if run.operator == name and run.end > AT}
    new = later(plan, tuple(run for run in plan.runs if run.id not in gone))
    new = replace(new, warm_ups=tuple(one for one in plan.warm_ups if one.by != name or one.start <= AT))
    change = compare(plan, new, AT)
    mine = [swap for swap in change.swaps if swap.one.side == "operator" and swap.one.name == name]
    assert mine and all(swap.new is None for swap in mine)
    assert name not in people(change)
    assert all(one.name != name for one in change.in_hand if one.side == "operator")


def test_what_is_over_changes_no_sheet() -> None:
    plan = morning()
    first = min((run for run in plan.runs if run.operator), key=lambda run: run.end)
    at = first.end + timedelta(minutes=1)
    runs = tuple(
        replace(run, pressing_start=run.pressing_start + timedelta(seconds=6)) if run is first else run
        for run in moved(plan, first, -7)
    )
    assert compare(plan, later(plan, runs, at), at).swaps == ()


def test_the_same_sheet_has_the_same_code_and_another_one_another() -> None:
    plan = morning()
    run = last_of_day(plan)
    new = later(plan, moved(plan, run, 6))
    for name in names(plan, "operator"):
        before = sheet_days(plan, "operator", name)
        after = sheet_days(new, "operator", name)
        for one, other in zip(before, after, strict=True):
            same = section(plan, one) == section(new, other)
            assert (sheet_code(plan, one) == sheet_code(new, other)) == same
            assert not (same and name == run.operator and one.day == DAY)
    every = [one.code for one in sheets_of(plan)]
    assert len(set(every)) == len(every)


def paper_of(minutes: float = 30) -> NewPaper:
    plan = morning()
    new = later(plan, moved(plan, last_of_day(plan), minutes))
    change = compare(plan, new, AT)
    return NewPaper(old=plan, new=new, found=differences(plan, new), change=change)


@pytest.mark.parametrize("by", ["operator", "press"])
def test_the_new_paper_is_one_page_of_changes_and_only_the_sheets_that_changed(by: str) -> None:
    paper = paper_of()
    run = last_of_day(morning())
    name = run.operator if by == "operator" else run.press
    made = new_sheets(paper, by=by, system_fonts=False)  # type: ignore[arg-type]
    read = flow(made)
    assert "What changed" in read[0] and "page 1 of 1" in read[0]
    assert bare(name) in bare(read[0])
    assert "These sheets in hand stay valid" in read[0]
    for one in paper.change.kept:
        if one.side == by and one.name.isascii():
            assert one.code in read[0]
    for page in read[1:]:
        assert bare(name) in bare(page)
    (swap,) = [swap for swap in paper.change.swaps if swap.one.side == by]
    assert swap.new is not None and swap.old is not None
    assert swap.new.code in read[1] and swap.old.code not in read[1]
    assert all("Sheet version 3, from 09:00 on" in page for page in read[1:])
    for page in pages(made):
        words = words_of(page)
        assert outside(page, words, 11 * MM - 1) == []
        assert overlapping(words) == []
        assert coloured(page) == []


def test_new_sheets_leave_out_what_is_done_and_say_so() -> None:
    paper = paper_of()
    data = new_sheets_data(paper)
    (section,) = data["sections"]  # type: ignore[misc]
    run = last_of_day(morning())
    over = [one for one in morning().runs if one.operator == run.operator and one.end <= AT]
    numbers = [entry["number"] for entry in section["entries"] if entry["type"] == "run"]
    assert str(run.number) in numbers
    assert not {str(one.number) for one in over} & set(numbers)
    for one in over:
        assert str(one.number) in section["before"]


def test_new_sheets_say_which_runs_are_still_to_be_entered() -> None:
    paper = paper_of()
    last_run = last_of_day(morning())
    at = last_run.start - timedelta(minutes=1)
    paper = replace(paper, new=replace(paper.new, at=at))
    over = sorted(
        (run for run in morning().runs if run.operator == last_run.operator and run.end <= at),
        key=lambda run: run.number,
    )
    every = frozenset(run.id for run in paper.new.runs)

    def before(entered: frozenset[str] | None) -> str:
        (section,) = new_sheets_data(replace(paper, entered=entered))["sections"]  # type: ignore[misc]
        return str(section["before"])

    assert over and before(every).endswith("hand it in; all of them are entered.")
    last = over[-1]
    assert before(every - {last.id}).endswith(f"hand it in; run {last.number} is still to be entered.")
    later = min((run for run in paper.new.runs if run.start > at), key=lambda run: run.start)
    assert before(every - {later.id}) == before(every), "of what is to come nobody can have said anything"
    assert before(None).endswith("its counts are still to be entered.")
    assert len(over) > 2
    assert before(frozenset()).endswith("hand it in; all of them are still to be entered.")
    numbers = ", ".join(str(run.number) for run in over[1:])
    assert before(frozenset({over[0].id})).endswith(f"hand it in; runs {numbers} are still to be entered.")


def test_printing_all_shows_the_code_that_the_page_of_changes_names() -> None:
    paper = paper_of()
    (swap,) = [swap for swap in paper.change.swaps if swap.one.side == "operator"]
    every = flow(run_sheets(paper.new, operators=[swap.one.name], system_fonts=False))
    assert swap.new is not None and swap.new.code in every[0]


def test_the_page_of_the_day_names_the_day_where_sheets_are_of_several() -> None:
    """Otherwise somebody of whom one sheet stays and one is new is in both lists."""
    paper = paper_of()
    (new,) = [swap.new for swap in paper.change.swaps if swap.one.side == "operator"]
    assert new is not None
    other = replace(new, day=new.day + timedelta(days=1))
    swaps = (Swap(old=None, new=new),)

    def said(*kept: PaperSheet) -> str:
        change = PaperChange(kept=kept, swaps=swaps)
        return day_page(paper.new, paper_of=replace(paper, change=change)).decode()

    told_of = (
        f"New sheets for {new.name} of {short_date(new.day)}. Sheets in hand that stay valid: {new.name} of "
        f"{short_date(other.day)}."
    )
    assert told_of in said(other)
    mate = replace(new, name="Somebody else")
    assert f"New sheets for {new.name}. Sheets in hand that stay valid: Somebody else." in said(mate)


def test_the_page_of_the_day_has_a_row_for_each_change() -> None:
    paper = paper_of()
    (run,) = [run for run in paper.new.runs if run.id == last_of_day(morning()).id]
    rows = change_rows(paper)
    sentences = told(paper.old, paper.new, paper.found, paper.change, "operator")
    assert len(rows) == sum(len(lines) for one in sentences for _, lines in one.parts)
    (row,) = [row for row in rows if f"Run {run.number}, " in row[2]]
    assert row[:2] == (run.operator, "Moved")
    page = day_page(paper.new, paper_of=paper).decode()
    assert escape(row[2]) in page
    assert f"What changed since version {paper.old.version}" in page
    day = short_date(DAY)
    assert f"New sheets for {run.operator} of {day}." in page and "Sheets in hand that stay valid: " in page
    still = replace(paper, found=(), change=compare(paper.old, paper.old, AT))
    nothing = day_page(paper.new, paper_of=still).decode()
    assert "Nothing on the printed sheets changes." in nothing and 'aria-label="What changed"' not in nothing
    assert 'id="changes"' not in day_page(paper.new).decode()
