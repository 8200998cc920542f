"""The terminal summary says what the owner needs, in plain words and straight columns."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from scheduler.answers.summary import files_lines, summary, surer_lines
from scheduler.domain.chances import Chance
from scheduler.domain.day_problem import NotPlanned
from scheduler.domain.faults import Source
from scheduler.domain.plan import Cure
from scheduler.domain.schedule import Result, Status
from scheduler.engine.effort import EFFORTS
from scheduler.sheets.summary import facts, summary_data
from scheduler.sheets.words import BOUND_NOTE
from tests.sheets.sample_plan import sample_plan
from tests.sheets.test_page import CHANCES


def line_with(text: str, lines: list[str]) -> str:
    (found,) = [line for line in lines if text in line]
    return found


def test_late_orders_come_with_minutes_and_reason() -> None:
    plan = sample_plan()
    lines = summary(plan)
    late = [order for order in plan.orders if order.late_minutes > 0]
    assert line_with("Late orders:", lines) == f"Late orders: {len(late)} of {len(plan.orders)}"
    for order in late:
        line = line_with(f"  {order.id} {order.customer}", lines)
        assert order.reason in line
        assert re.search(r"\d minutes late", line)


def test_a_day_without_late_orders_says_so() -> None:
    plan = sample_plan()
    on_time = tuple(replace(order, late_minutes=0.0, reason="") for order in plan.orders)
    assert "Late orders: none." in summary(replace(plan, orders=on_time))


def test_orders_that_were_left_out_for_their_faults_are_not_called_on_time() -> None:
    plan = sample_plan()
    on_time = tuple(
        replace(order, late_minutes=0.0, reason="", finished=order.cut_off) for order in plan.orders
    )
    out = NotPlanned(order="9001", source=Source(file="orders.xlsx"), whole=True)
    row = replace(out, order=plan.orders[0].id, whole=False)
    for missing, in_short, late in (
        ((), "; no order late; 6 runs", "none."),
        ((row,), "; no order late; 6 runs", "none."),
        ((out, row), "; no order late; 1 order not planned; 6 runs", "none of those that are planned."),
        ((out, out), "; no order late; 2 orders not planned; 6 runs", "none of those that are planned."),
    ):
        told = replace(plan, orders=on_time, not_planned=missing)
        assert in_short in facts(told)
        assert f"Late orders: {late}" in summary(told)
        assert summary_data(told)["none_late"] == late.capitalize()


def test_orders_with_little_to_spare_are_named_the_tightest_first() -> None:
    """Fourteen minutes are tight, fifteen are not, and a late order is late."""
    plan = sample_plan()
    first = plan.orders[0]
    cut_off = datetime(2026, 12, 3, 16, 0)
    orders = tuple(
        replace(first, id=name, cut_off=cut_off, finished=cut_off - timedelta(minutes=spare), late_minutes=0)
        for name, spare in (("A", 14), ("B", 15), ("C", 1))
    )
    late = replace(first, id="D", cut_off=cut_off, finished=cut_off, late_minutes=3.0)
    lines = summary(replace(plan, orders=(*orders, late)))
    start = lines.index("Tight, less than 15 minutes to spare: 2 orders")
    assert lines[start + 1].startswith(f"  C {first.customer}: 1 minute to spare (cut-off ")
    assert lines[start + 2].startswith(f"  A {first.customer}: 14 minutes to spare (cut-off ")
    assert lines[start + 3] == "" or lines[start + 3].startswith("Left over")
    assert not any(line.startswith("Tight") for line in summary(replace(plan, orders=(orders[1], late))))


def test_notes_of_the_plan_come_last() -> None:
    plan = replace(sample_plan(), notes=("These sheets still hold the program's own figures: Presses.",))
    assert summary(plan)[-2:] == ["", *plan.notes]
    assert plan.notes[0] not in summary(replace(plan, notes=()))


def test_one_of_a_kind_is_said_in_the_singular() -> None:
    plan = sample_plan()
    one = replace(plan.orders[0], quantity=1, late_minutes=1.0)
    spilled = replace(plan.runs[0], start=plan.runs[0].start + timedelta(days=1))
    lines = summary(replace(plan, orders=(one,), runs=(spilled,)))
    assert "1 order, 1 garment, 1 run. The independent check passed." in lines[0]
    assert "1 run is pressed on a later day:" in lines
    assert "1 minute late" in line_with(f"  {one.id} {one.customer}", lines)


def test_what_is_left_over_is_named_with_its_reason() -> None:
    plan = sample_plan()
    lines = summary(plan)
    assert plan.left_over
    for left in plan.left_over:
        assert left.reason in line_with(f"order {left.order},", lines)
    assert not any("Left over, fits nowhere" in line for line in summary(replace(plan, left_over=())))


def test_every_press_and_person_is_shown_with_how_full_it_is() -> None:
    plan = sample_plan()
    lines = summary(plan)
    for load in (*plan.press_loads, *plan.crew_loads):
        share = (load.pressing + load.changing) / load.available
        assert f"{share:.0%}" in line_with(f"  {load.name} ", lines)


def test_a_load_without_hours_divides_by_nothing() -> None:
    plan = sample_plan()
    (first, *others) = plan.crew_loads
    away = replace(first, available=0.0, pressing=0.0, changing=0.0)
    assert "0%" in line_with(f"  {first.name} ", summary(replace(plan, crew_loads=(away, *others))))


def test_orders_that_are_pressed_on_a_later_day_are_named_with_the_reason() -> None:
    plan = sample_plan()
    day = timedelta(days=1)
    runs = {run.content.order: run for run in plan.runs}
    late, waits, can_wait, today = (replace(runs[name], id=name) for name in list(runs)[:4])
    noon = datetime(2026, 12, 4, 12, 0)
    content = replace(waits.content, ready=noon, waits_for="transfers")
    later = [replace(run, start=run.start + day) for run in (late, replace(waits, content=content), can_wait)]
    orders = {order.id: replace(order, late_minutes=0.0, finished=noon) for order in plan.orders}
    orders[can_wait.content.order] = replace(orders[can_wait.content.order], cut_off=noon)
    orders[late.content.order] = replace(orders[late.content.order], late_minutes=5.0)
    names = {name: f"{name} {order.customer}" for name, order in orders.items()}
    lines = summary(
        replace(
            plan,
            runs=(*later, replace(later[2], id="more"), today),
            orders=tuple(orders.values()),
            left_over=(),
        )
    )
    at = lines.index("4 runs are pressed on a later day:")
    assert lines[at + 1 : at + 5] == [
        f"  late or not done whole, for the reasons given with them: {names[late.content.order]}",
        f"  waiting for what comes in later: {names[waits.content.order]} (transfers in Fri 4 Dec 12:00)",
        f"  due on Fri 4 Dec, so there is time: {can_wait.content.order}",
        "",
    ]
    assert not any("on a later day" in line for line in summary(replace(plan, runs=(today,))))


def test_of_many_orders_on_a_later_day_the_first_are_named() -> None:
    plan = sample_plan()
    run, order = plan.runs[0], plan.orders[0]
    names = [f"{number}" for number in range(1, 15)]
    runs = tuple(
        replace(
            run,
            start=run.start + timedelta(days=1),
            content=replace(run.content, order=name, ready=None),
        )
        for name in names
    )
    due = order.cut_off + timedelta(days=1)
    orders = tuple(replace(order, id=name, cut_off=due, finished=due, late_minutes=0.0) for name in names)
    told = line_with("so there is time", summary(replace(plan, runs=runs, orders=orders)))
    assert told.endswith("so there is time: 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 and 2 more")


def test_levels_stand_beside_the_orders_taken_as_they_come() -> None:
    lines = summary(sample_plan())
    start = next(n for n, line in enumerate(lines) if "taken as they come" in line)
    changeovers = next(line for line in lines[start:] if line.startswith("  Changeovers"))
    assert re.search(r"minutes in \d+ .*at least .*minutes in \d+", changeovers)
    # under it stands "90 minutes less" and "2.1 minutes later": it must fit both
    assert re.search(r"taken as they come +by planning\Z", lines[start])
    assert any(line.endswith(" minutes later") for line in lines[start:])


def test_a_day_planned_again_is_not_held_against_orders_that_knew_nothing_of_it() -> None:
    plan = sample_plan()
    lines = summary(replace(plan, at=plan.runs[3].start))
    assert not any("taken as they come" in line for line in lines)
    assert any(line.startswith("The plan") and line.endswith("best possible") for line in lines)


@pytest.mark.parametrize("again", [False, True])
@pytest.mark.parametrize("width", [80, 200])
def test_what_cannot_be_better_holds_for_is_said_below_the_levels(width: int, again: bool) -> None:
    """A run may wait for the next day to save minutes of changeover: the end of the day comes after those."""
    plan = sample_plan()
    lines = summary(replace(plan, at=plan.runs[3].start if again else None), width)
    last = next(n for n, line in enumerate(lines) if line.lstrip().startswith("All packed by"))
    assert BOUND_NOTE in " ".join(lines[last + 1 :])
    assert BOUND_NOTE.startswith("The lines stand in the order of what counts most.")
    assert "with the lines above kept as they are" in BOUND_NOTE


def test_help_that_no_search_confirmed_stands_in_one_line() -> None:
    plan = sample_plan()
    late = next(order for order in plan.orders if order.late_minutes > 0)
    cures = tuple(Cure(words=words, late_minutes=None, confirmed=False) for words in ("this", "that"))
    orders = tuple(replace(one, cures=cures) if one is late else one for one in plan.orders)
    lines = summary(replace(plan, orders=orders))
    assert "      might help, no search has confirmed it: this; that" in lines


def test_a_narrow_terminal_gets_the_comparison_one_below_the_other() -> None:
    lines = summary(sample_plan(), width=80)
    start = lines.index("The plan, and the same orders taken as they come")
    (at,) = [n for n, line in enumerate(lines) if n > start and line.startswith("  Changeovers: ")]
    assert re.search(r"minutes in \d+ \(at least .* minutes in any plan\)", lines[at])
    assert re.match(r"    as they come: .* minutes in \d+; by planning: .* minutes less", lines[at + 1])
    assert max(len(line) for line in lines[start:]) <= 80


def test_columns_are_straight_whatever_the_letters() -> None:
    """Wide letters take two columns of a terminal, combining marks none."""
    plan = sample_plan()
    (first, second, *others) = plan.press_loads
    wide, combined = replace(first, name="青葉"), replace(second, name="Po\u0301\u0142ka")
    lines = summary(replace(plan, press_loads=(wide, combined, *others)))
    assert len(line_with("青葉", lines)) == len(line_with("Po\u0301\u0142ka", lines)) - 3


def test_a_search_that_was_stopped_and_a_later_day_are_said() -> None:
    plan = sample_plan()
    spilled = sum(run.start.date() != plan.day for run in plan.runs)
    assert spilled > 1
    assert f"{spilled} runs are pressed on a later day:" in summary(plan)
    assert not any("stopped early" in line for line in summary(replace(plan, stopped_early=False)))
    stopped = replace(plan, stopped_early=True)
    assert "The search was stopped early; another run need not give the same plan." in summary(stopped)


@pytest.mark.parametrize(("seconds", "said"), [(180, "180 s of effort quick was"), (7.5, "7.5 s was")])
def test_a_search_that_its_time_ended_says_so(seconds: float, said: str) -> None:
    assert EFFORTS["quick"].seconds == 180
    result = Result(
        status=Status.FEASIBLE, schedule=None, effort="quick", stopped_early=True, time_limit_s=seconds
    )
    lines = summary(replace(sample_plan(), stopped_early=True), result=result)
    assert f"stopped early: the time limit of {said} reached" in " ".join(lines)


def test_files_are_named_below_their_folder() -> None:
    assert files_lines(Path("plans/2027-03-09"), ["plan.json", "day.html"]) == [
        f"In {Path('plans/2027-03-09')}:",
        "  plan.json",
        "  day.html",
    ]


def test_how_to_plan_with_slack_is_said_only_where_some_may_help() -> None:
    late = [replace(order, on_time=Chance(best=0.0, low=0.0, high=0.01)) for order in CHANCES.orders]
    sure = [replace(order, on_time=Chance(best=0.96, low=0.95, high=0.97)) for order in CHANCES.orders]
    assert surer_lines(None) == []
    assert surer_lines(replace(CHANCES, orders=tuple(late))) == []
    assert surer_lines(replace(CHANCES, orders=tuple(sure))) == []
    (line,) = surer_lines(CHANCES)
    assert "--sure 90%" in line
