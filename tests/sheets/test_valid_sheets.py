"""A sheet in hand stays valid only when a new print would ask the same of whoever follows it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from scheduler.answers.replan import change_lines
from scheduler.domain.clock import short_date
from scheduler.domain.paper import PaperLine
from scheduler.domain.plan import Plan, PlannedRun, PlannedWarmUp
from scheduler.planning.differences import differences
from scheduler.sheets.changes import told
from scheduler.sheets.dayview import sheet_days
from scheduler.sheets.new_sheets import NewPaper
from scheduler.sheets.page import day_page
from scheduler.sheets.paper import PaperChange, Swap, compare, sheets_of
from scheduler.sheets.run_sheets import section
from tests.sheets.sample_plan import DAY
from tests.sheets.test_paper import AT, last_of_day, later, morning

ON = re.compile(r"SWITCH ON|switches it on")


def printed(plan: Plan, side: Any, name: str) -> list[tuple[str, str]]:
    """All that a person's or a press's sheet of the planned day says of switching on, with its time."""
    found: list[tuple[str, str]] = []

    def look(value: Any, clock: str) -> None:
        if isinstance(value, str) and ON.search(value):
            found.append((clock, value))
        elif isinstance(value, dict):
            for one in value.values():
                look(one, str(value.get("time", clock)))
        elif isinstance(value, (list, tuple)):
            for one in value:
                look(one, clock)

    for sheet in sheet_days(plan, side, name):
        if sheet.day == DAY:
            look(section(plan, sheet)["entries"], "")
    return found


def names_of(change: PaperChange, side: str, *, kept: bool) -> set[str]:
    if kept:
        return {one.name for one in change.kept if one.side == side and one.day == DAY}
    return {swap.one.name for swap in change.swaps if swap.one.side == side and swap.one.day == DAY}


def again(plan: Plan, by: str) -> PlannedWarmUp:
    """A press that was on since the morning switched on once more, by somebody free by then."""
    there = {press for run in plan.runs if run.operator == by for press in run.presses}
    warm = next(one for one in plan.warm_ups if one.start < AT and one.press not in there)
    last = max(run.end for run in plan.runs if run.operator == by and run.start.date() == DAY)
    return replace(warm, start=last + timedelta(minutes=6), by=by)


def test_a_press_to_switch_on_once_more_needs_a_new_sheet_for_whoever_does_it() -> None:
    """It was switched on in the morning, too: that it was then says nothing of the second time."""
    plan = morning()
    who = last_of_day(plan).operator
    warm = again(plan, who)
    new = replace(later(plan, plan.runs), warm_ups=(*plan.warm_ups, warm))
    change = compare(plan, new, AT)
    assert who in names_of(change, "operator", kept=False)
    assert who not in names_of(change, "operator", kept=True)
    said = {one.name: one for one in told(plan, new, differences(plan, new), change, "operator")}
    assert f"switch on {warm.press} at {warm.start:%H:%M}" in said[who].added
    third = replace(later(new, new.runs), warm_ups=plan.warm_ups)
    assert who in names_of(compare(replace(new, paper=change.in_hand), third, AT), "operator", kept=False)


def shifted(minutes: float) -> Callable[[PlannedWarmUp], PlannedWarmUp]:
    return lambda warm: replace(warm, start=warm.start + timedelta(minutes=minutes))


CHANGES: list[tuple[str, Callable[[PlannedWarmUp], PlannedWarmUp], str]] = [
    ("sooner", shifted(-5), "becomes"),
    ("later", shifted(30), "becomes"),
    ("hotter", lambda warm: replace(warm, temp_c=warm.temp_c + 10), "°C, not"),
    ("elsewhere", lambda warm: replace(warm, circuit="Another"), "circuit Another, not"),
]


@pytest.mark.parametrize("place", ["between", "within"])
@pytest.mark.parametrize(("what", "alter", "words"), CHANGES, ids=[what for what, _, _ in CHANGES])
def test_a_switch_on_that_changes_needs_a_new_sheet_wherever_it_stands(
    what: str, alter: Callable[[PlannedWarmUp], PlannedWarmUp], words: str, place: str
) -> None:
    """On a line of its own, or in the box of a run that goes on meanwhile; on the press's sheet, too."""
    plan = morning()
    if (what, place) == ("elsewhere", "within"):
        pytest.skip("the box of a run says no circuit")
    run = max((one for one in plan.runs if one.operator and one.start.date() == DAY), key=_length)
    warm = again(plan, run.operator)
    start = run.pressing_start + _length(run) / 2 if place == "within" else AT + timedelta(minutes=6)
    warm = replace(warm, start=start, ready=start + timedelta(minutes=15))
    old = replace(plan, warm_ups=(*plan.warm_ups, warm))
    # By the sheets in hand the press is off until then.
    new = replace(later(old, old.runs), warm_ups=(*plan.warm_ups, alter(warm)), off=(warm.press,))
    at = min(AT, run.start - timedelta(minutes=1))
    change = compare(old, new, at)
    assert printed(old, "operator", run.operator) != printed(new, "operator", run.operator)
    assert run.operator in names_of(change, "operator", kept=False), what
    said = {one.name: one for one in told(old, replace(new, at=at), (), change, "operator")}
    assert any(words in line for line in said[run.operator].moved)
    still = compare(old, replace(old, version=old.version + 1), at)
    assert still.swaps == ()


def _length(run: PlannedRun) -> timedelta:
    return run.end - run.pressing_start


def test_the_sheet_of_a_press_is_new_when_it_is_switched_on_at_another_time_or_by_somebody_else() -> None:
    plan = morning()
    last = max((one for one in plan.warm_ups if one.start.date() == DAY), key=lambda one: one.start)
    at = last.start - timedelta(minutes=45)
    for warm in (shifted(-20)(last), replace(last, by=""), replace(last, temp_c=last.temp_c + 5)):
        rest = tuple(one for one in plan.warm_ups if one is not last)
        new = replace(later(plan, plan.runs, at), warm_ups=(*rest, warm))
        change = compare(plan, new, at)
        assert printed(plan, "press", last.press) != printed(new, "press", last.press)
        assert last.press in names_of(change, "press", kept=False)
        lines = [one for one in told(plan, new, (), change, "press") if one.name == last.press]
        assert lines and all(one.moved for one in lines)


@pytest.mark.parametrize("side", ["operator", "press"])
def test_another_cut_off_needs_a_new_sheet_and_says_so(side: Any) -> None:
    """Whoever packs goes by the hour on the sheet."""
    plan = morning()
    run = last_of_day(plan)
    orders = tuple(
        replace(one, cut_off=one.cut_off - timedelta(hours=1)) if one.id == run.content.order else one
        for one in plan.orders
    )
    new = replace(later(plan, plan.runs), orders=orders)
    change = compare(plan, new, AT)
    name = run.operator if side == "operator" else run.press
    assert name in names_of(change, side, kept=False)
    (cut_off,) = [one.cut_off for one in orders if one.id == run.content.order]
    said = {one.name: one for one in told(plan, new, (), change, side)}
    day = "" if cut_off.date() == run.start.date() else f"{short_date(cut_off.date())} "
    assert f"run {run.number}: cut-off {day}{cut_off:%H:%M}" in said[name].besides


def test_an_order_that_will_be_late_is_no_reason_for_a_new_sheet() -> None:
    """Nobody at a press does anything else for it."""
    plan = morning()
    run = last_of_day(plan)
    orders = tuple(
        replace(one, late_minutes=one.late_minutes + 12) if one.id == run.content.order else one
        for one in plan.orders
    )
    assert compare(plan, replace(later(plan, plan.runs), orders=orders), AT).swaps == ()


def test_every_line_that_is_printed_of_work_to_do_is_compared() -> None:
    """Validity goes by the lines of the sheet itself: as many as are printed, and none beside them."""
    plan = morning()
    for one in sheets_of(plan):
        (sheet,) = [each for each in sheet_days(plan, one.side, one.name) if each.day == one.day]
        entries: Any = section(plan, sheet)["entries"]
        duties = [each for each in entries if each["type"] != "line" or "SWITCH ON" in each["text"]]
        within = [
            text
            for each in entries
            if each["type"] != "line"
            for text in (*each["change"]["on"], *each["notes"])
            if "SWITCH ON" in text
        ]
        assert len(one.lines) == len(duties) + len(within)
        assert [
            line.start for line in one.lines if line.start < datetime.combine(DAY, datetime.min.time())
        ] == []


def test_a_new_sheet_of_a_press_alone_is_said_too() -> None:
    """A timer that goes off sooner is told to nobody but whoever sets it."""
    plan = morning()
    last = max((one for one in plan.warm_ups if one.start.date() == DAY), key=lambda one: one.start)
    rest = tuple(one for one in plan.warm_ups if one is not last)
    old = replace(plan, warm_ups=(*rest, replace(last, by="")))
    new = replace(later(old, old.runs), warm_ups=(*rest, shifted(-10)(replace(last, by=""))))
    paper = NewPaper(old=old, new=new, found=(), change=compare(old, new, AT))
    said = f"Nothing on the sheets of people changes; new press sheets for {last.press}."
    assert change_lines(paper)[-1] == said
    assert said in day_page(new, paper_of=paper).decode()


def test_whatever_else_a_sheet_asks_for_counts_until_it_is_over() -> None:
    """Anything that is no run, no switching on and no rest: it is named by its own words."""
    plan = morning()
    every = sheets_of(plan)
    mine = next(one for one in every if one.side == "operator" and one.day == DAY)
    for minutes, holds in ((-10, True), (10, False)):
        start = AT + timedelta(minutes=minutes)
        line = PaperLine(what=f"at {start:%Y-%m-%d %H:%M} Open the gate", start=start, gist="ACDE")
        asked = replace(mine, lines=(*mine.lines, line))
        old = replace(plan, paper=tuple(asked if one is mine else one for one in every))
        change = compare(old, later(old, old.runs), AT)
        assert (mine.name in names_of(change, "operator", kept=True)) == holds
        given = PaperChange(kept=(), swaps=(Swap(old=mine, new=asked),))
        (one,) = told(plan, later(plan, plan.runs), (), given, "operator")
        assert one.added == (f"Open the gate, at {start:%H:%M}",)
