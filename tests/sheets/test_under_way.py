"""Paper of a day planned again: what goes on, what was stopped, who is away, and lists from the moment on."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import datetime, timedelta
from html import unescape
from itertools import pairwise
from typing import Any

from openpyxl import load_workbook

from scheduler.domain.differences import Difference, Kind
from scheduler.domain.disruptions import Disruptions, PartKind, PersonAway, RunPart
from scheduler.domain.plan import Plan, PlannedRun, Pressed
from scheduler.sheets.changes import told
from scheduler.sheets.day_lists import list_data
from scheduler.sheets.dayview import Stretch, sheet_days, switched_on_inside
from scheduler.sheets.follow import arrival_words
from scheduler.sheets.lines import notes, soft
from scheduler.sheets.page import day_page
from scheduler.sheets.paper import compare
from scheduler.sheets.pull import garments, switch_on, transfers
from scheduler.sheets.run_sheets import section, sheets_data
from scheduler.sheets.steps import steps
from scheduler.sheets.under_way import goes_on_words, over_words
from scheduler.sheets.workbook import plan_workbook
from tests.sheets.sample_plan import sample_plan


def entry_of(plan: Plan, run: PlannedRun, since: datetime | None) -> dict[str, object]:
    sheets = [one for one in sheet_days(plan, "operator", run.operator) if run in one.runs]
    (made,) = sheets_data(plan, sheets, since=since)["sections"]  # type: ignore[misc]
    (entry,) = [one for one in made["entries"] if one.get("number") == str(run.number)]
    return entry


def with_changeover() -> PlannedRun:
    """The last run of the day that has one, and no break."""
    plan = sample_plan()
    changed = {change.before for change in plan.changeovers}
    fitting = [
        run
        for run in plan.runs
        if run.id in changed and run.pressing_start > run.start and run.content.quantity > 9
    ]
    return max(
        (run for run in fitting if run.start.date() == plan.day and not run.pauses),
        key=lambda run: run.start,
    )


def test_a_run_under_way_says_so_and_asks_for_no_changeover_again() -> None:
    plan, run = sample_plan(), with_changeover()
    third = run.pressing_start + (run.end - run.pressing_start) / 3 + timedelta(seconds=1)
    on = entry_of(plan, run, third)
    done = run.content.quantity // 3
    assert f"go on, about {done} of {run.content.quantity} pieces done" in str(on["under_way"])
    assert on["change"] == {"head": "", "on": [], "steps": [], "none": ""}
    setting_up = entry_of(plan, run, run.start + (run.pressing_start - run.start) / 2)
    assert "it was being set up" in str(setting_up["under_way"]) and setting_up["change"]["steps"]  # type: ignore[index]
    for since in (None, run.start):
        plain = entry_of(plan, run, since)
        assert "under_way" not in plain and plain["change"]["steps"]  # type: ignore[index]
    assert goes_on_words(plan, run, run.end) == ""


def test_a_run_under_way_is_as_far_as_its_count_says() -> None:
    """By the pace from its begin to its end it would be a third, though somebody counted fewer."""
    plan, run = sample_plan(), with_changeover()
    third = run.pressing_start + (run.end - run.pressing_start) / 3 + timedelta(seconds=1)
    known = replace(plan, at=third, pressed=(Pressed(run=run.id, good=1, spoiled=1),))
    whole = run.content.quantity
    assert f"go on, about 1 of {whole} pieces done, 1 spoiled. Take" in goes_on_words(known, run, third)
    other = third + timedelta(seconds=1)
    assert f"about {whole // 3} of" in goes_on_words(known, run, other), "another moment"


def stopped() -> tuple[Plan, Plan, PlannedRun, PlannedRun]:
    """A plan, the one after a run of it was stopped, that run, and its rest."""
    plan, run = sample_plan(), with_changeover()
    at = run.pressing_start + (run.end - run.pressing_start) / 2
    keeps = replace(run.content, pieces=(replace(run.content.pieces[0], quantity=4),))
    left = replace(run.content, pieces=(replace(run.content.pieces[0], quantity=5),))
    cut = replace(run, end=at, content=keeps)
    start = plan.runs[-1].end
    rest = replace(
        run,
        id=f"{run.id} rest",
        number=99,
        content=left,
        start=start,
        pressing_start=start,
        end=start + timedelta(minutes=5),
    )
    part = RunPart(run=run.id, done=4, pieces=5, name=PartKind.REST, from_tick=0)
    runs = (*(cut if one is run else one for one in plan.runs), rest)
    task = next(task for task in plan.instance.tasks if task.id == run.id)
    instance = replace(plan.instance, tasks=(*plan.instance.tasks, replace(task, id=rest.id)))
    new = replace(plan, version=3, at=at, runs=runs, parts=(part,), instance=instance)
    return plan, new, cut, rest


def test_the_rest_of_a_stopped_run_names_it_and_where_its_garments_lie() -> None:
    old, new, cut, rest = stopped()
    assert notes(new, rest)[0].startswith(f"The rest of run {cut.number}, stopped at ")
    assert f"lie at {cut.press}" in notes(new, rest)[0]
    before = next(run for run in old.runs if run.id == cut.id)
    found = (
        Difference(run=cut.id, kind=Kind.OTHER_PIECES, before=before, after=cut),
        Difference(run=rest.id, kind=Kind.NEW, before=None, after=rest),
    )
    assert new.at is not None
    lines = [
        line
        for one in told(old, new, found, compare(old, new, new.at), "operator")
        for _, said in one.parts
        for line in said
    ]
    quantity = before.content.quantity
    assert any(f"stopped at {cut.press} after 4 of {quantity}; the rest is run 99" in line for line in lines)
    assert any(line.endswith(f"the rest of run {cut.number}") for line in lines)
    (films,) = [film for film in transfers(new) if film.run is rest]
    assert films.fetched == cut.number and films.quantity == 5
    assert rest not in [box.first for box in garments(new)], "its garments were fetched before"


def test_a_stopped_run_is_not_listed_as_done() -> None:
    _, new, cut, _ = stopped()
    others = [run for run in new.runs if run.operator == cut.operator and run.end <= cut.start]
    done = f"Done by then: runs {', '.join(str(run.number) for run in others)}."
    assert len(others) > 1 and over_words(new, []) == ""
    words = "Run {} was stopped after {}4 of 9; the rest is run 99."
    assert over_words(new, [*others, cut]) == f"{done} {words.format(cut.number, '')}"
    assumed = replace(new, parts=(replace(new.parts[0], assumed=True),))
    assert over_words(assumed, [cut]) == words.format(cut.number, "about ")
    assert over_words(replace(new, parts=()), others[:1]) == f"Done by then: run {others[0].number}."
    sheets = [one for one in sheet_days(new, "operator", cut.operator) if cut in one.runs]
    (made,) = sheets_data(new, sheets, since=cut.end, earlier=lambda _: "See there.")["sections"]  # type: ignore[misc]
    over = [one for one in sheets[0].runs if one.end <= cut.end]
    assert made["before"] == f"{over_words(new, over)} See there."


def test_what_has_been_is_not_told_as_a_change() -> None:
    old, new, _, _ = stopped()
    assert new.at is not None
    early = next(run for run in old.runs if run.end < new.at and run.operator)
    found = (Difference(run=early.id, kind=Kind.OTHER_ORDER, before=early, after=early),)
    lines = told(old, new, found, compare(old, new, new.at), "operator")
    assert not any(f"run {early.number}," in line for one in lines for _, said in one.parts for line in said)


def test_lists_of_a_day_planned_again_begin_at_the_moment() -> None:
    plan = sample_plan()
    day = [run for run in plan.runs if run.start.date() == plan.day]
    at = sorted(run.start for run in day)[len(day) // 2]
    new = replace(plan, at=at)
    assert {film.run.id for film in transfers(new)} == {run.id for run in plan.runs if run.start >= at}
    assert all(box.first.start >= at for box in garments(new)) and garments(new)
    for one in switch_on(new):
        assert one.already == (one.warm_up.start < at)
        assert one.off is None or one.off > at
    shown = list_data(new)["dates"][0]["on"]  # type: ignore[index]
    assert any(row["time"] == "is on" and row["ready"] == "–" for row in shown)


def test_a_press_switched_on_twice_names_the_runs_of_each_time() -> None:
    plan = sample_plan()
    press, warm = next(
        (one.press, one)
        for one in plan.warm_ups
        if sum(one.press in run.presses and run.start.date() == plan.day for run in plan.runs) > 2
    )
    own = sorted(
        (run for run in plan.runs if press in run.presses and run.start.date() == plan.day),
        key=lambda run: run.start,
    )
    second = replace(warm, start=own[0].end, ready=own[1].pressing_start)
    first, again = (
        one
        for one in switch_on(replace(plan, warm_ups=(*plan.warm_ups, second)))
        if one.warm_up.press == press and one.warm_up.start.date() == plan.day
    )
    assert (first.run, first.off) == (own[0].number, own[0].end)
    assert (again.run, again.off) == (own[1].number, max(run.end for run in own))


def test_somebody_away_is_away_on_the_sheet_and_overtime_stands_on_top() -> None:
    plan = sample_plan()
    sheet = next(one for one in sheet_days(plan, "operator", plan.shop.crew[0].name) if one.shift)
    assert sheet.shift is not None
    noon = datetime.combine(sheet.day, datetime.min.time()) + timedelta(hours=12)
    away = PersonAway(person=sheet.name, start=noon, end=noon + timedelta(hours=1))
    gone = replace(plan, between=Disruptions(away=(away,)))
    texts = [
        entry.get("text") for entry in section(gone, sheet_days(gone, "operator", sheet.name)[0])["entries"]
    ]  # type: ignore[attr-defined]
    assert "AWAY" in texts
    last = max(sheet.runs, key=lambda run: run.end)
    longer = replace(last, end=sheet.shift.end + timedelta(minutes=26))
    over = replace(plan, runs=tuple(longer if run is last else run for run in plan.runs))
    said = section(over, sheet_days(over, "operator", sheet.name)[0])["facts"]
    assert f"OVERTIME to {longer.end:%H:%M}" in str(said)
    assert "OVERTIME" not in str(section(plan, sheet)["facts"])


def test_a_box_said_to_be_late_after_its_run_is_not_waited_for() -> None:
    plan = sample_plan()
    run = next(run for run in plan.runs if run.start.date() == plan.day)
    late = replace(
        run, content=replace(run.content, ready=run.end + timedelta(hours=1), waits_for="garments")
    )
    assert arrival_words(plan, late) == ""
    soon = replace(run, content=replace(run.content, ready=run.pressing_start, waits_for="garments"))
    assert "come in at" in arrival_words(plan, soon)


def test_a_temperature_that_nobody_set_at_the_end_of_a_run_is_a_step_with_a_box() -> None:
    """Run 5 ended while its sheet named another run to follow."""
    plan = sample_plan()
    run = next(run for run in plan.runs if run.number == 6)
    late = tuple(
        replace(one, parts=tuple(replace(part, untold=part.hands_off) for part in one.parts))
        for one in plan.changeovers
    )
    found = [
        step for step in steps(replace(plan, changeovers=late), run) if "temperature" in str(step["text"])
    ]
    words = (
        "Set the temperature: 150 °C → 165 °C, at once, unless it is set already. It takes 1.5 min: begin "
        "when the press shows 165 °C"
    )
    assert found == [{"text": soft(words), "minutes": "", "hands": True}]


def section_at(plan: Plan, side: Any, name: str, since: datetime) -> dict[str, Any]:
    sheets = [one for one in sheet_days(plan, side, name) if one.day == since.date()]
    (made,) = sheets_data(plan, sheets, since=since)["sections"]  # type: ignore[misc]
    return made


def test_of_free_time_only_what_is_left_stands_on_a_new_sheet() -> None:
    """Kept apart by five minutes: what is left of a stretch is worth a line or not."""
    plan = sample_plan()
    gaps = [
        (person.name, gap)
        for person in plan.shop.crew
        for sheet in sheet_days(plan, "operator", person.name)
        for gap, after in pairwise(sheet.items)
        if isinstance(gap, Stretch) and gap.kind == "gap" and isinstance(after, PlannedRun)
        if gap.end - gap.start > timedelta(minutes=10) and gap.end.second == 0
    ]
    assert len(gaps) > 2
    for name, gap in gaps:
        for left, shown in ((6, True), (5, True), (4, False)):
            since = gap.end - timedelta(minutes=left)
            entries = section_at(plan, "operator", name, since)["entries"]
            free = [one["time"] for one in entries if one.get("text") == "no run planned"]
            assert (f"{since:%H:%M}–{gap.end:%H:%M}" in free) is shown
            assert not any(one < f"{since:%H:%M}" for one in free)


def test_a_press_that_is_on_at_the_moment_of_a_new_sheet_is_not_to_be_switched_on() -> None:
    plan = sample_plan()
    warm = next(one for one in plan.warm_ups if one.press == "South bench" and one.start.date() == plan.day)
    assert warm.by
    run = next(one for one in plan.runs if one.press == warm.press and one.pressing_start >= warm.ready)

    def said(since: datetime) -> str:
        return str(section_at(plan, "press", warm.press, since)["entries"])

    before, heating, hot = warm.start, warm.start + timedelta(minutes=1), warm.ready
    assert "SWITCH ON" in said(before) and f"Press is cold: {warm.by} switches it on" in said(before)
    on = f"On since {warm.start:%H:%M} by the sheet before, "
    for since, ready in ((heating, f"ready at {warm.ready:%H:%M}."), (hot, "hot by now.")):
        if since <= run.pressing_start:
            assert on + ready in said(since)
        assert "SWITCH ON" not in said(since) and "Press is cold" not in said(since)
    again = replace(plan, at=heating)
    (row,) = [one for one in switch_on(again) if one.warm_up == warm]
    assert row.already and row.ready == warm.ready
    (row,) = [one for one in switch_on(replace(plan, at=hot)) if one.warm_up == warm]
    assert row.already and row.ready is None
    page = unescape(day_page(again).decode())
    shown = page[page.index("Switch-on list") :]
    assert f"{warm.start:%H:%M}" not in shown and f"{warm.ready:%H:%M}" in shown and "is on" in shown
    book = load_workbook(io.BytesIO(plan_workbook(again)))
    rows = list(book["Switch-on"].iter_rows(values_only=True))
    assert ("is on", None) in [row[:2] for row in rows if row[2] == warm.press]
    assert warm.start not in [row[0] for row in rows]
    whole = load_workbook(io.BytesIO(plan_workbook(plan)))["Switch-on"].iter_rows(values_only=True)
    assert any(row[0] == warm.start and row[1] == warm.by for row in whole)


def test_what_was_to_be_done_in_a_run_before_the_moment_is_not_told_again() -> None:
    plan = sample_plan()
    paused = next(run for run in plan.runs if run.pauses)
    start, end = paused.pauses[0]
    for since, there in ((start, True), (end, False)):
        texts = str(entry_of(plan, paused, since)["notes"])
        assert (f"BREAK {start:%H:%M}–{end:%H:%M}" in texts) is there
        facts = section_at(plan, "operator", paused.operator, since)["facts"]
        assert (f"{start:%H:%M}–{end:%H:%M}" in facts) is there
    run, warm = next(
        (run, warm) for run in plan.runs for warm in switched_on_inside(plan, run) if warm.start > run.start
    )
    for since, there in ((warm.start, True), (warm.start + timedelta(seconds=6), False)):
        assert (f"SWITCH ON {warm.press}" in str(entry_of(plan, run, since)["notes"])) is there
