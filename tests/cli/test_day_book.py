"""Entering what happened, from the boxes of the sheets, and how the day stands then."""

from __future__ import annotations

import csv
import json
import re
import shlex
import shutil
from dataclasses import replace
from datetime import date, time, timedelta
from pathlib import Path

import openpyxl
import pytest

from scheduler.daybook.book import DayBook
from scheduler.daybook.entries import entries_of, with_id
from scheduler.daybook.facts import standing, told_later
from scheduler.daybook.opening import NAME
from scheduler.daybook.run_times import faults_beside
from scheduler.daybook.spoiled_before import doubts_of_spoiled
from scheduler.domain.disruptions import PartKind, RunPart
from scheduler.domain.faults import Severity, Source
from scheduler.domain.hours import Hours
from scheduler.domain.pieces import Pieces
from scheduler.domain.plan import Plan, PlannedWarmUp
from scheduler.domain.progress import Event, EventKind, RunLine
from scheduler.workflow.entries import date_of
from tests.daybook.kills import put_one
from tests.daybook.small import DAY, at, small_plan
from tests.plans.test_taken_back import on_the_next_day
from tests.support.commands import Clock, Run


@pytest.fixture
def plans(tmp_path: Path) -> Path:
    """A folder of plans with the small day."""
    out = tmp_path / "shop" / "plans"
    out.mkdir(parents=True)
    with DayBook(out / NAME) as book:
        put_one(out, book, "first")
    return out


PAGE = (Path(__file__).parents[2] / "docs" / "day-book.md").read_text(encoding="utf-8")
COMMANDS = [
    re.split(r"\s{2,}", line.strip())[0] for line in PAGE.splitlines() if line.startswith("    pressday ")
]
"""The commands that the page for owners shows, without what it says beside them."""

assert len(COMMANDS) > 15


@pytest.mark.parametrize("line", COMMANDS)
def test_the_page_shows_commands_that_are_understood(
    line: str, run: Run, plans: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The small day has no run 7 and no table: that is said as a fault, not as wrong usage."""
    monkeypatch.chdir(plans.parent)
    result = run(*shlex.split(line)[1:])
    assert result.exit_code in (0, 1), result.stderr
    if result.exit_code:
        assert re.search(r"run [78]; expected|entry 12; expected|no such file", result.stdout), result.stdout


def test_an_order_that_is_planned_late_stands_as_planned(run: Run, tmp_path: Path) -> None:
    plan = small_plan()
    late = tuple(replace(order, cut_off=at("8:00")) if order.id == "B" else order for order in plan.orders)
    with DayBook(tmp_path / NAME) as book:
        book.end_plan(book.add_plan(replace(plan, orders=late), staged="x"), "in place", "2027-03-09")
    lines = run("progress", "--at", "9:00", "--plans", tmp_path).stdout.splitlines()
    assert "  B Customer B: as planned, packed about 08:57, 57 min LATE (cut-off 08:00)" in lines


def entries(plans: Path) -> list[tuple[str, str, str | None, int | None, int | None]]:
    with DayBook(plans / NAME) as book:
        return [
            (
                event.kind.value,
                event.run,
                f"{event.at:%H:%M}" if event.at else None,
                event.pieces,
                event.spoiled,
            )
            for event in book.events()
        ]


def test_done_without_more_is_all_pieces_now(run: Run, plans: Path, clock: Clock) -> None:
    clock(f"{DAY}T08:45")
    result = run("done", 1, 2, "--plans", plans)
    assert result.exit_code == 0
    assert result.stdout.splitlines() == [
        "Tuesday 9 March 2027, plan version 1:",
        "  entry 1: run 1 (order A): finished 08:45, 30 pieces done",
        "  entry 2: run 2 (order B): finished 08:45, 20 pieces done",
    ]
    assert entries(plans) == [
        ("finished", "A-front", "08:45", 30, 0),
        ("finished", "B-front", "08:45", 20, 0),
    ]


def test_what_stands_in_the_boxes(run: Run, plans: Path) -> None:
    words = ["done", 1, "--pieces", 28, "--spoiled", 2, "--reason", "scorched", "--started", "8:15"]
    result = run(
        *words, "--finished", "2027-03-09T08:50", "--press", "press 2", "--who", "b", "--plans", plans
    )
    assert result.exit_code == 0
    assert entries(plans) == [
        ("started", "A-front", "08:15", None, None),
        ("finished", "A-front", "08:50", 28, 2),
    ]
    with DayBook(plans / NAME) as book:
        event = book.events()[1]
    assert (event.reason, event.press, event.who) == ("scorched", "Press 2", "Ben")
    told = "run 1 (order A): finished 08:50, 28 pieces done, 2 spoiled (scorched), at Press 2, by Ben"
    assert told in result.stdout


BEFORE = (
    "run 3: 30 pieces done, but 2 of its garments were spoiled before, at run 1 (front); expected at most 28"
)


def test_no_doubt_says_that_something_is_entered_when_nothing_is(run: Run, sizes: Path) -> None:
    words = ("done", 1, "--finished", "8:50", "--plans", sizes, "--spoiled", 2)
    refused = run(*words, "--pieces", 29)
    assert refused.exit_code == 1 and refused.stdout.rstrip().endswith("Nothing was entered.")
    assert "2 doubts (would be taken as said):" in refused.stdout
    assert "is entered" not in refused.stdout
    assert "2 doubts (taken as said):" in run(*words, "--pieces", 28).stderr


def test_pieces_on_garments_that_were_spoiled_before_are_doubted(run: Run, plans: Path) -> None:
    """Run 3 presses the backs of the garments of run 1."""
    first = ("done", 1, "--spoiled", 2, "--reason", "scorched", "--finished", "8:42", "--plans", plans)
    assert "spoiled before" not in run(*first).stderr
    doubted = run("done", 3, "--finished", "9:13", "--plans", plans)
    assert doubted.exit_code == 0 and "30 pieces done" in doubted.stdout, "taken as said"
    assert BEFORE in doubted.stderr
    assert "pressday done 3 --pieces 28 --finished HH:MM; pressday replan --press-again" in doubted.stderr
    mended = run("done", 3, "--pieces", 28, "--finished", "9:13", "--plans", plans)
    assert mended.exit_code == 0 and mended.stderr == ""
    assert "run 2" not in run("done", 2, "--finished", "9:20", "--plans", plans).stderr, "other garments"


def test_it_is_doubted_too_when_the_spoiled_ones_are_said_later(run: Run, plans: Path) -> None:
    assert run("done", 3, "--finished", "9:13", "--plans", plans).stderr == ""
    first = ("done", 1, "--reason", "scorched", "--plans", plans)
    assert BEFORE in run(*first, "--spoiled", 2, "--finished", "8:42").stderr
    # A new garment went through both.
    assert run("done", 1, "--plans", plans).stderr == ""
    assert "spoiled before" not in run("done", 3, "--plans", plans).stderr


def test_what_is_spoiled_after_a_run_is_no_doubt_about_it(run: Run, plans: Path) -> None:
    run("done", 1, "--finished", "9:40", "--spoiled", 2, "--reason", "scorched", "--plans", plans)
    assert "spoiled before" not in run("done", 3, "--finished", "9:13", "--plans", plans).stderr


def test_of_spoiled_garments_only_those_count_that_are_certainly_a_runs_own(
    plans: Path, tmp_path: Path
) -> None:
    """Run 1 has ten more garments, of another size, with nothing on their backs; or run 3 is a lot of two."""
    plan = small_plan()
    front, back = (next(one for one in plan.runs if one.number == number) for number in (1, 3))
    (own,) = front.content.pieces
    wide = replace(front.content, pieces=(own, replace(own, size="L", quantity=10)))
    runs = tuple(replace(one, content=wide) if one is front else one for one in plan.runs)
    both = replace(plan, runs=runs)
    line = RunLine(run=back.id, ended=True, source=Source(file="x"))
    small = replace(own, quantity=2)

    def doubts(day: Plan, spoiled: int, *known: Pieces) -> int:
        first = RunLine(run=front.id, ended=True, spoiled=spoiled, spoiled_of=known, source=line.source)
        made = [
            event
            for one in (first, line)
            for event in entries_of(
                one,
                next(r for r in day.runs if r.id == one.run),
                day,
                (),
                counted_at=None,
                entered=at("9:30"),
            )
        ]
        return len(doubts_of_spoiled(day, [line], [replace(e, number=n) for n, e in enumerate(made, 1)]))

    assert doubts(both, 10) == 0 and doubts(both, 11) == 1, "ten of them may be of the other size"
    assert doubts(both, 2, replace(small, size="L")) == 0 and doubts(both, 2, small) == 1
    again = RunPart(run=front.id, done=30, pieces=2, spoiled=2, name=PartKind.AGAIN, from_tick=0)
    assert doubts(plan, 2) == 1 and doubts(replace(plan, parts=(again,)), 2) == 0, "new garments are planned"
    half = replace(back.content, pieces=(replace(own, quantity=15),))
    lots = tuple(replace(one, content=half) if one is back else one for one in plan.runs)
    other = replace(next(one for one in lots if one.id == back.id), id="A-back 2", number=7)
    task = next(one for one in plan.instance.tasks if one.id == back.id)
    instance = replace(plan.instance, tasks=(*plan.instance.tasks, replace(task, id="A-back 2")))
    in_lots = replace(plan, runs=(*lots, other), instance=instance)
    assert doubts(in_lots, 2) == 0 and doubts(in_lots, 16) == 1, "they may be of the other lot"


@pytest.fixture
def sizes(plans: Path, tmp_path: Path) -> Path:
    """The small day; run 1 has 10 pieces of size M, 12 of L and 8 white ones of L."""
    plan = small_plan()
    run = plan.runs[0]
    (navy,) = run.content.pieces
    pieces = (
        replace(navy, quantity=10),
        replace(navy, size="L", quantity=12),
        replace(navy, colour="white", size="L", quantity=8),
    )
    runs = (replace(run, content=replace(run.content, pieces=pieces)), *plan.runs[1:])
    with DayBook(tmp_path / NAME) as book:
        book.end_plan(book.add_plan(replace(plan, runs=runs), staged="x"), "in place", "2027-03-09")
    return tmp_path


def test_spoiled_pieces_are_entered_with_their_sizes(run: Run, sizes: Path) -> None:
    """Otherwise nobody knows which garments to take when they are pressed again."""
    words = ["done", 1, "--finished", "8:50", "--reason", "scorched", "--plans", sizes]
    only_number = run(*words, "--spoiled", 3)
    assert only_number.exit_code == 0
    assert "run 1: 3 spoiled, of sizes that are not said; expected their sizes (M, L)" in only_number.stderr
    assert 'printed as "size as spoiled"' in only_number.stderr
    said = run(*words, "--spoiled", "M=2, white L=1")
    assert said.exit_code == 0 and "of sizes" not in said.stderr
    assert "27 pieces done, 3 spoiled (M 2, L 1; scorched); corrects entry 1" in said.stdout
    again = run("progress", "--at", "9:10", "--json", "--plans", sizes)
    spoiled = json.loads(again.stdout)["runs"][0]["spoiled_of"]
    assert [(one["colour"], one["size"], one["quantity"]) for one in spoiled] == [
        ("navy", "M", 2),
        ("white", "L", 1),
    ]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            "L=2",
            'run 1: --spoiled "L=2"; expected one of: navy M, navy L, white L. Write which: navy L',
        ),
        ("XL=1", 'run 1: --spoiled "XL=1"; expected one of: navy M, navy L, white L. Correct "XL".'),
        ("M=11", "expected at most 10 of navy M in this run"),
        ("M=two", "expected a number, or sizes such as navy M=1, navy L=1, white L=1"),
        ("M=1 and more", "expected a number, or sizes such as"),
    ],
)
def test_sizes_that_the_run_has_not_got(text: str, told: str, run: Run, sizes: Path) -> None:
    result = run("done", 1, "--spoiled", text, "--plans", sizes)
    assert (result.exit_code, told in result.stdout) == (1, True), result.stdout


def test_a_table_takes_sizes_too(run: Run, sizes: Path, tmp_path: Path) -> None:
    (tmp_path / "short.csv").write_text('Run,Pieces,Spoiled,Reason\n1,27,"m=2; navy l=1",dust\n2,19,1,dust\n')
    result = run("progress", tmp_path / "short.csv", "--at", "10:00", "--plans", sizes)
    assert result.exit_code == 0
    assert "3 spoiled (M 2, L 1; dust)" in result.stdout and "1 spoiled (dust)" in result.stdout
    assert "of sizes that are not said" not in result.stderr, "run 2 has only one size"


def test_fewer_pieces_without_an_end_go_on(run: Run, plans: Path, clock: Clock) -> None:
    clock(f"{DAY}T08:30")
    assert (
        "run 1 (order A): counted 08:30, 10 pieces done"
        in run("done", 1, "--pieces", 10, "--plans", plans).stdout
    )
    run("started", 3, "--at", "8:50", "--plans", plans)
    run("done", 4, "--pieces", 25, "--finished", "9:40", "--plans", plans)
    assert entries(plans) == [
        ("pieces", "A-front", "08:30", 10, None),
        ("started", "A-back", "08:50", None, None),
        ("finished", "C-front", "09:40", 25, 0),
    ]


def test_on_another_day_than_the_plan_s_the_clock_says_nothing(run: Run, plans: Path) -> None:
    result = run("done", 1, "--plans", plans)
    assert "run 1 (order A): finished, time not noted, 30 pieces done" in result.stdout
    run("started", 2, "--plans", plans)
    assert entries(plans) == [
        ("finished", "A-front", None, 30, 0),
        ("started", "B-front", None, None, None),
    ]


def test_the_same_again_counts_once_and_otherwise_it_corrects(run: Run, plans: Path) -> None:
    words = ["done", 1, "--finished", "8:50", "--plans", plans]
    run(*words)
    again = run(*words)
    assert again.exit_code == 0
    assert "  entry 1, in the book already: run 1 (order A): finished 08:50" in again.stdout
    other = run("done", 1, "--pieces", 29, "--spoiled", 1, "--reason", "crooked", *words[2:])
    assert (
        "entry 2: run 1 (order A): finished 08:50, 29 pieces done, 1 spoiled (crooked); corrects entry 1"
        in (other.stdout)
    )
    back = run(*words)
    assert "entry 3: run 1 (order A): finished 08:50, 30 pieces done; corrects entry 2" in back.stdout
    not_yet = run("done", 1, "--pieces", 12, "--at", "8:40", "--plans", plans)
    assert "entry 4: run 1 (order A): counted 08:40, 12 pieces done; corrects entry 3" in not_yet.stdout


def test_a_count_of_a_run_that_goes_on_needs_its_time(run: Run, plans: Path) -> None:
    refused = run("done", 1, "--pieces", 12, "--plans", plans)
    assert refused.exit_code == 1 and "a count of a run that goes on, without its time" in refused.stdout
    assert entries(plans) == []
    assert run("done", 1, "--pieces", 12, "--at", "8:40", "--plans", plans).exit_code == 0
    assert entries(plans) == [("pieces", "A-front", "08:40", 12, None)]


def test_blank_boxes_leave_what_is_known(run: Run, plans: Path, tmp_path: Path) -> None:
    words = ("--finished", "8:42", "--who", "Ben", "--press", "Press 2", "--plans", plans)
    assert run("done", 1, *words).exit_code == 0
    (tmp_path / "shift.csv").write_text("Run,Pieces,Finished\n1,30,\n2,20,\n6,20,\n")
    result = run("progress", tmp_path / "shift.csv", "--at", "9:20", "--plans", plans)
    assert result.exit_code == 0, result.output
    assert "entry 1, in the book already: run 1 (order A): finished 08:42" in result.stdout
    assert entries(plans) == [
        ("finished", "A-front", "08:42", 30, 0),
        # its planned end is before the moment, that of run 6 after it
        ("finished", "B-front", None, 20, 0),
        ("finished", "E-front", "09:20", 20, 0),
    ]


def test_a_time_at_which_nobody_was_there_is_doubted(run: Run, plans: Path) -> None:
    result = run("started", 1, "--at", "5:00", "--plans", plans)
    assert result.exit_code == 0
    assert "run 1: started 05:00, but Ana comes at 08:00" in result.output
    assert "comes at" not in run("started", 1, "--at", "8:00", "--plans", plans).output


def test_undo_takes_back_and_history_shows_all(run: Run, plans: Path) -> None:
    run("done", 1, "--finished", "8:50", "--plans", plans)
    run("done", 1, "--finished", "8:55", "--plans", plans)
    result = run("undo", 2, "--plans", plans)
    assert (result.exit_code, "entry 3: taken back: run 1 (order A): finished 08:55" in result.stdout) == (
        0,
        True,
    )
    assert "holds again: entry 1: run 1 (order A): finished 08:50, 30 pieces done" in result.stdout
    for number, words in (
        (2, "entry 2 was corrected or taken back already"),
        (9, "entry 9; expected an entry"),
    ):
        refused = run("undo", number, "--plans", plans)
        assert (refused.exit_code, words in refused.stdout) == (1, True)
        assert "Nothing was taken back." in refused.stdout
    lines = run("progress", "--history", "--plans", plans).stdout.splitlines()
    assert lines[0] == "Tuesday 9 March 2027, plan version 1: 3 entries"
    assert lines[1].endswith("run 1 (order A): finished 08:50, 30 pieces done")
    assert lines[2].endswith("finished 08:55, 30 pieces done; corrects entry 1; no longer holds")
    assert lines[3].endswith("taken back: run 1 (order A): finished 08:55, 30 pieces done; corrects entry 2")
    document = json.loads(run("progress", "--history", "--json", "--at", "9:00", "--plans", plans).stdout)
    assert [event["kind"] for event in document["history"]] == ["finished", "finished", "taken back"]
    assert document["runs"][0]["end"] == "2027-03-09T08:50:00"


def held(plans: Path) -> list[tuple[int, str]]:
    """The entries that hold, by number."""
    with DayBook(plans / NAME) as book:
        return [(event.number, event.kind.value) for event in standing(book.events())]


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        (["started", 1, "--at", "8:12"], "started"),
        (["done", 1, "--finished", "8:50"], "finished"),
        (["done", 1, "--pieces", 12, "--at", "8:40"], "pieces"),
    ],
)
def test_what_is_entered_again_after_it_was_taken_back_is_a_new_entry_that_holds(
    words: list[object], kind: str, run: Run, plans: Path
) -> None:
    where = ("--plans", plans)
    run(*words, *where)
    assert "in the book already" in run(*words, *where).stdout
    run("undo", 1, *where)
    anew = run(*words, *where)
    assert (anew.exit_code, "  entry 3: run 1" in anew.stdout) == (0, True), anew.stdout
    assert held(plans) == [(2, "taken back"), (3, kind)]
    twice = run(*words, *where)
    assert "  entry 3, in the book already: run 1" in twice.stdout
    history = run("progress", "--history", *where).stdout.splitlines()
    assert "no longer holds" in history[1] and "no longer holds" not in history[3]
    day = json.loads(
        run("progress", "--at", "8:30" if kind == "started" else "8:55", "--json", *where).stdout
    )
    assert not day["runs"][0]["assumed"]
    # as often as one likes
    run("undo", 3, *where)
    assert "  entry 5: run 1" in run(*words, *where).stdout
    assert held(plans)[-1] == (5, kind)


def test_a_correction_entered_again_after_it_was_taken_back_holds(run: Run, plans: Path) -> None:
    for words in (
        ["done", 1, "--finished", "8:50"],
        ["done", 1, "--finished", "8:55"],
        ["undo", 2],
        ["done", 1, "--finished", "8:55"],
    ):
        result = run(*words, "--plans", plans)
        assert result.exit_code == 0, result.stdout
    assert "entry 4: run 1 (order A): finished 08:55, 30 pieces done; corrects entry 1" in result.stdout
    assert held(plans) == [(3, "taken back"), (4, "finished")]


def test_what_was_taken_back_and_brought_back_can_be_taken_back_again(run: Run, plans: Path) -> None:
    run("done", 1, "--finished", "8:50", "--plans", plans)
    run("undo", 1, "--plans", plans)
    brought = run("undo", 2, "--plans", plans)
    assert "holds again: entry 1: run 1" in brought.stdout
    result = run("undo", 1, "--plans", plans)
    assert "entry 4: taken back: run 1" in result.stdout, result.stdout
    assert held(plans) == [(3, "taken back"), (4, "taken back")]


def test_how_the_day_stands_in_words(run: Run, plans: Path) -> None:
    """The case of `tests/daybook/test_state.py`: run 1 ended 18 minutes late."""
    run(
        "done",
        1,
        "--finished",
        "9:00",
        "--pieces",
        28,
        "--spoiled",
        2,
        "--reason",
        "scorched",
        "--plans",
        plans,
    )
    result = run("progress", "--at", "9:10", "--plans", plans)
    assert result.exit_code == 0
    assert result.stdout.splitlines() == [
        "Tuesday 9 March 2027, plan version 1, as of 09:10",
        "",
        "6 runs: 2 finished, 2 under way, 2 not started.",
        "  run 3 (order A, Press 1, Ana): about 9 of 30 pieces done, 21 to go, until about 09:31",
        "  run 4 (order C, Press 2, Ben): about 18 of 60 pieces done, 42 to go, until about 09:52",
        "Nobody said anything of these, so they count as gone to plan: runs 2, 3, 4.",
        "",
        "  Ana  18 min behind, at run 3",
        "  Ben  on time, at run 4",
        "",
        "Orders that stand otherwise than planned, or late:",
        "  A Customer A: can't be packed, 2 pieces spoiled or missing, in no plan; the others 6 min LATE "
        "(cut-off 09:30)",
        "  D Customer D: 18 min behind, packed about 10:53 (cut-off 11:00)",
        "",
        "To be pressed again, in no plan yet (pressday replan --press-again puts them in one):",
        "  run 1 (order A): 2 pieces (2 spoiled)",
    ]


def test_a_run_that_was_begun_is_not_one_of_which_nobody_said_anything(run: Run, plans: Path) -> None:
    run("started", 1, "--at", "8:00", "--plans", plans)
    run("done", 2, "--pieces", 9, "--at", "8:20", "--plans", plans)
    lines = run("progress", "--at", "9:10", "--plans", plans).stdout.splitlines()
    assert "Nobody said anything of these, so they count as gone to plan: runs 3, 4." in lines
    assert (
        "Something was entered of these, but not that they ended, so they count as gone on "
        "at the planned pace: runs 1, 2." in lines
    )
    run("done", 1, "--finished", "8:40", "--plans", plans)
    lines = run("progress", "--at", "9:10", "--plans", plans).stdout.splitlines()
    assert any(line.endswith("gone on at the planned pace: run 2.") for line in lines)


def test_a_time_with_its_date_is_of_the_plan_of_that_day(run: Run, plans: Path) -> None:
    """Otherwise the newest day answers, which may not even have begun."""
    with DayBook(plans / NAME) as book:
        book.end_plan(book.add_plan(on_the_next_day(small_plan(), 2), staged="x"), "in place", "2027-03-11")
    where = ("--plans", plans)

    def head(*words: object) -> str:
        return run(*words, *where).stdout.splitlines()[0]

    assert head("progress", "--at", "9:00") == "Thursday 11 March 2027, plan version 1, as of 09:00"
    said = "Tuesday 9 March 2027, plan version 1, as of 21:30"
    assert head("progress", "--at", "2027-03-09T21:30") == said
    after = "Tuesday 9 March 2027, plan version 1, as of Wed 10 Mar 06:00"
    assert head("progress", "--at", "2027-03-10T06:00") == after, "the morning after, with no plan of its own"
    newest = "Thursday 11 March 2027, plan version 1, as of Tue 9 Mar 21:30"
    assert head("progress", "--at", "2027-03-09T21:30", "--day", "2027-03-11") == newest
    before = "Thursday 11 March 2027, plan version 1, as of Mon 8 Mar 21:30"
    assert head("progress", "--at", "2027-03-08T21:30") == before, "no day was planned by then"
    assert run("started", 1, "--at", "2027-03-09T08:13", *where).exit_code == 0
    assert run("done", 1, "--finished", "2027-03-09T08:45", *where).exit_code == 0
    assert [one[:3] for one in entries(plans)] == [
        ("started", "A-front", "08:13"),
        ("finished", "A-front", "08:45"),
    ]


def test_how_the_day_stands_as_json(run: Run, plans: Path) -> None:
    result = run("progress", "--at", "2027-03-09T09:00", "--json", "--plans", plans)
    document = json.loads(result.stdout)
    assert (document["day"], document["at"], document["version"]) == ("2027-03-09", "2027-03-09T09:00:00", 1)
    third = document["runs"][2]
    assert (third["run"], third["status"], third["assumed"], third["remaining"], third["owed"]) == (
        "A-back", "under way", True, 13, 0,
    )  # fmt: skip
    assert [person["behind_minutes"] for person in document["people"]] == [0.0, 0.0]
    assert document["presses"][0]["temp_c"] == 160


def fill(book: Path, **rows: dict[str, object]) -> None:
    """Fill in boxes of a workbook, by run ("r1") and heading."""
    workbook = openpyxl.load_workbook(book)
    sheet = workbook["Progress"]
    columns = {cell.value: cell.column for cell in sheet[3]}
    for row in sheet.iter_rows(min_row=4):
        number = f"r{row[columns['Run'] - 1].value}"
        for heading, value in rows.get(number, {}).items():
            sheet.cell(row[0].row, columns[heading], value)
    workbook.save(book)


def test_a_shift_s_workbook(run: Run, plans: Path, tmp_path: Path) -> None:
    book = tmp_path / "tuesday.xlsx"
    result = run("progress", "--template", book, "--plans", plans)
    assert result.exit_code == 0
    assert f'pressday progress "{book}" --day 2027-03-09' in result.stdout
    sheet = openpyxl.load_workbook(book)["Progress"]
    assert [cell.value for cell in sheet[4]][1:12] == [
        1, "A", "Customer A", "front", "Press 1", "Ana", None, time(8, 12), time(8, 42), 30, None,
    ]  # fmt: skip
    assert run("progress", book, "--plans", plans).stdout.splitlines()[1] == "  nothing was filled in"
    fill(
        book,
        r1={
            "Started": time(8, 15),
            "Pieces done": 28,
            "Spoiled": 2,
            "Reason": "scorched",
            "Finished": "8:50",
        },
        r2={"Pieces done": 20},
        r4={"Pieces done": 30, "Press used": "press 1", "Done by": "A."},
        r6={"Finished": "10:40"},
    )
    result = run("progress", book, "--at", "9:30", "--plans", plans)
    assert result.exit_code == 0, result.stdout
    expected = [
        ("started", "A-front", "08:15", None, None),
        ("finished", "A-front", "08:50", 28, 2),
        ("finished", "B-front", None, 20, 0),
        ("pieces", "C-front", "09:30", 30, None),
        ("finished", "E-front", "10:40", 20, 0),
    ]
    assert entries(plans) == expected
    assert "entry 4: run 4 (order C): counted 09:30, 30 pieces done, at Press 1, by Ana" in result.stdout
    assert "as of 09:30" in result.stdout
    run("progress", book, "--at", "9:30", "--plans", plans)
    assert entries(plans) == expected, "entered twice, counted once"
    refused = run("progress", "--template", book, "--plans", plans)
    assert (refused.exit_code, "it may be filled in" in refused.stdout) == (1, True)


def test_the_table_of_a_shift_says_what_was_planned_and_what_is_entered_already(
    run: Run, plans: Path, tmp_path: Path
) -> None:
    """Columns "as planned" are the plan's, not the times that were entered since."""
    run("done", 1, "--started", "8:20", "--finished", "8:50", "--spoiled", 2, "--plans", plans)
    run("started", 3, "--at", "8:55", "--plans", plans)
    plan = small_plan()
    first, last = plan.runs[0], plan.runs[-1]
    shift = timedelta(days=1)
    there = {
        first.id: replace(first, start=at("8:20"), pressing_start=at("8:20"), end=at("8:50")),
        last.id: replace(
            last, start=last.start + shift, pressing_start=last.pressing_start + shift, end=last.end + shift
        ),
    }
    runs = tuple(there.get(one.id, one) for one in plan.runs)
    with DayBook(plans / NAME) as book:
        made = replace(plan, version=2, at=at("9:00"), dates=(DAY, DAY + shift), runs=runs)
        book.end_plan(book.add_plan(made, staged="x"), "in place", "2027-03-09")
    table = tmp_path / "tuesday.csv"
    assert run("progress", "--template", table, "--plans", plans).exit_code == 0
    with table.open(encoding="utf-8-sig", newline="") as opened:
        rows = {row["Run"]: row for row in csv.DictReader(opened)}
    assert (rows["1"]["Planned start"], rows["1"]["Planned end"]) == ("08:12", "08:42")
    assert rows["1"]["Entered already"] == "started 08:20; finished 08:50, 28 pieces done, 2 spoiled"
    assert rows["3"]["Entered already"] == "started 08:55"
    assert [rows[one]["Entered already"] for one in ("2", "4", "5", "6")] == [""] * 4
    assert (rows["6"]["Planned on"], rows["6"]["Planned start"]) == ("2027-03-10", "09:56")
    assert [rows[one]["Planned on"] for one in ("1", "5")] == ["", ""]
    assert run("progress", table, "--plans", plans).stdout.splitlines()[1] == "  nothing was filled in"


def test_a_shift_s_text_table(run: Run, plans: Path, tmp_path: Path) -> None:
    table = tmp_path / "tuesday.csv"
    assert run("progress", "--template", table, "--plans", plans).exit_code == 0
    with table.open(encoding="utf-8-sig", newline="") as opened:
        rows = list(csv.reader(opened))
    assert rows[1][:3] == ["2027-03-09", "1", "A"]
    place = {heading: column for column, heading in enumerate(rows[0])}
    rows[1][place["Pieces done"]] = "30"
    rows[1][place["Finished"]] = "08:44"
    with table.open("w", encoding="utf-8", newline="") as opened:
        csv.writer(opened, delimiter=";").writerows(rows)
    assert run("progress", table, "--plans", plans).exit_code == 0
    (tmp_path / "short.csv").write_text("Run,Pieces\n2,12\n")
    assert run("progress", tmp_path / "short.csv", "--at", "8:40", "--plans", plans).exit_code == 0
    assert entries(plans) == [
        ("finished", "A-front", "08:44", 30, 0),
        ("pieces", "B-front", "08:40", 12, None),
    ]


def test_faults_of_a_table_come_by_cell_and_all_at_once(run: Run, plans: Path, tmp_path: Path) -> None:
    book = tmp_path / "tuesday.xlsx"
    run("progress", "--template", book, "--plans", plans)
    fill(
        book,
        r1={"Pieces done": 29, "Spoiled": 2, "Reason": "scorched"},
        r2={"Pieces done": "many"},
        r3={"Started": "9:30", "Finished": "9:10"},
        r4={"Press used": "Press 3", "Pieces done": 3},
        r5={"Done by": "Cyd", "Pieces done": 3},
        r6={"Reason": "no idea"},
    )
    result = run("progress", book, "--at", "10:00", "--plans", plans)
    assert result.exit_code == 1
    lines = result.stdout.splitlines()
    assert lines[0] == "6 faults:"
    assert sorted(line.split(": ")[0].strip() for line in lines if line.startswith("  tuesday")) == [
        f"tuesday.xlsx, Progress!{cell}" for cell in ("N4", "N5", "P9", "Q6", "R7", "S8")
    ]
    for words in (
        "run 1: 29 done and 2 spoiled; expected at most 30 in all",
        'pieces done "many"; expected a whole number',
        "run 3: finished 09:10, started 09:30; expected an end after the start",
        # Another number is another press, not a slip of the pen: none is proposed.
        'press used "Press 3"; expected a press of the shop',
        'done by "Cyd"; expected a person of the shop',
        "run 6: neither pieces nor a time",
        "Nothing was entered.",
    ):
        assert words in result.stdout
    assert entries(plans) == []
    document = json.loads(run("progress", book, "--at", "10:00", "--plans", plans, "--json").stdout)
    assert sorted(fault["cell"] for fault in document["faults"]) == ["N4", "N5", "P9", "Q6", "R7", "S8"]
    fill(
        book,
        r1={"Spoiled": 1, "Reason": ""},
        r2={"Pieces done": 2},
        r3={"Finished": "9:40"},
        r4={"Press used": "Press 2"},
        r5={"Done by": "ben"},
        r6={"Pieces done": 1},
    )
    mended = run("progress", book, "--at", "10:00", "--plans", plans)
    assert mended.exit_code == 0
    assert "Progress!O4: run 1: 1 spoiled without a reason" in mended.stderr
    assert len(entries(plans)) == 7


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Run,Pieces\n7,3\n", "short.csv, A2: run 7; expected a run of plan version 1: 1 to 6"),
        (
            "Run,Pieces\n2,3\n2,4\n",
            "short.csv, A3: run 2 a second time; expected each run once (first in A2)",
        ),
        ("Run,Pieces,Day\n2,3,2027-03-10\n", "C2: a row of 2027-03-10; expected the day 2027-03-09"),
        ("Run,Pieces,Run id\n2,3,Z-back\n", 'C2: run id "Z-back"; expected a run of plan version 1'),
        (
            "Run,Pieces,Finished\n2,3,2027-03-10 9:00\n",
            "C2: run 2: finished 2027-03-10 09:00; expected a time on",
        ),
        ("Pieces,Spoiled\n3,\n", 'A1: no column "Run"'),
        ("Order,Customer\n1,Ada\n", 'no column "Run"'),
        ("shopping,list\n1,2\n", "no table of progress; expected headings: Day, Run"),
        ("", "the file is empty"),
    ],
)
def test_tables_that_can_not_be_entered(text: str, words: str, run: Run, plans: Path, tmp_path: Path) -> None:
    (tmp_path / "short.csv").write_text(text)
    result = run("progress", tmp_path / "short.csv", "--plans", plans)
    assert (result.exit_code, words in result.stdout) == (1, True), result.stdout
    assert entries(plans) == []


def test_a_run_in_two_tables_is_a_fault(run: Run, plans: Path, tmp_path: Path) -> None:
    for name in ("one.csv", "two.csv"):
        (tmp_path / name).write_text("Run,Pieces\n2,3\n")
    result = run("progress", tmp_path / "one.csv", tmp_path / "two.csv", "--plans", plans)
    assert result.exit_code == 1
    assert "two.csv, A2: run 2 a second time; expected each run once (first in one.csv, A2)" in result.stdout
    assert entries(plans) == []


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["done", 1, 7], "run 7; expected a run of plan version 1: 1 to 6"),
        (["done", 1, "--press", "Press 3"], 'press "Press 3"; expected a press of the shop'),
        (["done", 1, "--who", "Zoe"], 'person "Zoe"; expected a person of the shop'),
        (["done", 1, "--pieces", 31], "run 1: 31 done and 0 spoiled; expected at most 30 in all"),
        (["done", 1, "--spoiled", 31, "--reason", "x"], "0 done and 31 spoiled"),
        (
            ["done", 1, "--finished", "2027-03-10T09:00"],
            "finished 2027-03-10 09:00; expected a time on 2027-03-09",
        ),
        (
            ["started", 1, "--at", "2027-03-08T09:00"],
            "started 2027-03-08 09:00; expected a time on 2027-03-09",
        ),
        (
            ["done", 1, "--day", "2027-03-10"],
            "there is no plan of 2027-03-10 yet; expected a planned day: 2027-03-09",
        ),
        (["done", 1, "--sheet-version", 3], "no version 3 of 2027-03-09 in it; expected one of: 1"),
    ],
    ids=lambda value: " ".join(map(str, value)) if isinstance(value, list) else "",
)
def test_what_can_not_be_entered(words: list[object], told: str, run: Run, plans: Path) -> None:
    result = run(*words, "--plans", plans)
    assert (result.exit_code, told in result.stdout) == (1, True), result.stdout
    assert "Nothing was entered." in result.stdout
    assert entries(plans) == []


@pytest.mark.parametrize(
    "words",
    [
        ["done"],
        ["done", "first"],
        ["done", "0"],
        ["done", "1", "2", "--pieces", "3"],
        ["done", "1", "--pieces", "-3"],
        ["done", "1", "--finished", "25:00"],
        ["done", "1", "--finished", "9"],
        ["started", "1", "--at", "09/03/2027 9:00"],
        ["undo"],
        ["progress", "--template", "a.xlsx", "--history"],
        ["progress", "--at", "noon"],
    ],
    ids=" ".join,
)
def test_wrong_usage_is_exit_code_two(words: list[str], run: Run, plans: Path) -> None:
    result = run(*words, "--plans", plans)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "Usage:" in result.stderr


@pytest.mark.parametrize("typed", ["12 pcs", "twelve", "3.5", "-3"])
def test_pieces_that_are_no_number_are_refused_in_plain_words(typed: str, run: Run, plans: Path) -> None:
    result = run("done", 1, "--pieces", typed, "--plans", plans)
    assert result.exit_code == 2
    assert f'"{typed}": write the number of pieces alone, such as 12.' in " ".join(result.stderr.split())
    assert run("done", 1, "--pieces", " 12 ", "--at", "8:20", "--plans", plans).exit_code == 0


def test_the_day_book_is_found_from_shop_plans_and_plan_folder(
    run: Run, plans: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for folder in (plans, plans.parent, plans / DAY.isoformat()):
        assert run("progress", "--plans", folder).exit_code == 0
        monkeypatch.chdir(folder)
        assert run("progress").exit_code == 0
    result = run("progress", "--plans", plans.parent.parent)
    assert (result.exit_code, "no day-book.sqlite here" in result.stdout) == (1, True)
    assert list(plans.parent.parent.iterdir()) == [plans.parent], "nothing was made"


def test_numbers_are_those_of_the_sheet_s_version_and_the_state_is_that_of_the_newest(
    run: Run, plans: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with DayBook(plans / NAME) as book:
        put_one(plans, book, "second")
    first = run("done", 1, "--finished", "8:45", "--sheet-version", 1, "--plans", plans)
    assert "plan version 1:" in first.stdout
    assert "plan version 2, as of" in run("progress", "--sheet-version", 1, "--plans", plans).stdout
    with DayBook(plans / NAME) as book:
        assert [(event.version, event.kind) for event in book.events()] == [(1, EventKind.FINISHED)]


def test_today_s_plan_comes_first_when_no_day_is_named(run: Run, plans: Path, clock: Clock) -> None:
    with DayBook(plans / NAME) as book:
        tomorrow = replace(small_plan(), day=date(2027, 3, 10))
        book.end_plan(book.add_plan(tomorrow, staged="x"), "in place", "2027-03-10")
    assert "Wednesday 10 March 2027" in run("progress", "--plans", plans).stdout
    clock(f"{DAY}T00:00")
    assert "Tuesday 9 March 2027" in run("progress", "--plans", plans).stdout


def test_a_damaged_day_book_is_told_before_anything_is_planned(run: Run, shop: Path) -> None:
    (shop / "plans").mkdir()
    (shop / "plans" / NAME).write_text("my shopping list")
    result = run("plan", shop / "orders.xlsx", "--day", "2027-03-09", "--json")
    assert result.exit_code == 1
    assert [fault["code"] for fault in json.loads(result.stdout)["faults"]] == ["book-not-a-book"]
    assert (shop / "plans" / NAME).read_text() == "my shopping list"
    assert [path.name for path in (shop / "plans").iterdir()] == [NAME]


def test_a_damaged_day_book_does_not_keep_sheets_from_being_printed(run: Run, plans: Path) -> None:
    (plans / NAME).write_text("my shopping list")
    folder = plans / DAY.isoformat()
    result = run("sheets", folder, "--operator", "ana")
    assert result.exit_code == 0
    assert "not a day book" in result.stderr
    assert (folder / "run-sheets-ana.pdf").is_file()


def test_a_real_plan_s_table_and_state(run: Run, shop: Path, plans: Path, tmp_path: Path) -> None:
    """The sample orders, planned by the command: two runs are entered from its own table."""
    shutil.rmtree(plans)
    words = ["plan", shop / "orders.xlsx", "--day", "2027-03-09", "--out", plans, "--effort", "quick"]
    assert run(*words, "--seconds", "0").exit_code == 0
    book = tmp_path / "table.xlsx"
    assert run("progress", "--template", book, "--plans", plans).exit_code == 0
    sheet = openpyxl.load_workbook(book)["Progress"]
    pieces = sheet.cell(4, 11).value
    fill(book, r1={"Pieces done": pieces}, r2={"Pieces done": 1})
    result = run("progress", book, "--at", "16:00", "--plans", plans, "--json")
    assert result.exit_code == 0, result.stdout
    document = json.loads(result.stdout)
    assert document["runs"][0]["good"] == pieces
    assert not document["runs"][0]["assumed"]
    assert document["runs"][1]["status"] == "under way"


def test_a_run_is_not_begun_after_its_end(run: Run, plans: Path) -> None:
    """Whichever of both is entered first; replan is possible for what an older book has of it."""
    assert run("done", 1, "--finished", "8:50", "--plans", plans).exit_code == 0
    late = run("started", 1, "--at", "8:50", "--plans", plans)
    assert late.exit_code == 1
    assert "run 1: started 08:50, finished 08:50 by entry 1; expected a start before the end" in late.stdout
    assert "pressday undo 1" in late.stdout and len(entries(plans)) == 1
    assert run("started", 1, "--at", "8:10", "--plans", plans).exit_code == 0
    early = run("done", 1, "--finished", "8:05", "--plans", plans)
    assert (early.exit_code, "run 1: finished 08:05, started 08:10 by entry 2" in early.stdout) == (1, True)
    both = run("done", 1, "--started", "8:01", "--finished", "8:05", "--plans", plans)
    assert both.exit_code == 0, both.stdout
    plan = small_plan()
    with DayBook(plans / NAME) as book:
        (started, *_) = [event for event in standing(book.events()) if event.kind is EventKind.STARTED]
        assert started.at == at("8:01")
        wrong = with_id(replace(started, at=at("23:00"), corrects=started.id))
        book.record([wrong])
        assert told_later(plan, book.events(), at("9:00")) == ()
        later = told_later(plan, book.events(), at("8:00"))
        assert [event.kind.value for event in later] == ["finished", "started"]


def test_an_end_before_opening_or_before_the_press_is_on_is_doubted(run: Run, plans: Path) -> None:
    plan = small_plan()
    opens = Hours(plan).moment(plan.instance.heating_days[0].start)
    (warm, *_) = [one for one in plan.warm_ups if one.press == plan.runs[0].press] or [None]
    early = run("done", 1, "--finished", (opens + timedelta(minutes=1)).strftime("%H:%M"), "--plans", plans)
    assert early.exit_code == 0
    assert f"but the shop opens at {opens:%H:%M}" in early.stderr
    assert "It is taken as said" in early.stderr
    sound = run("done", 1, "--finished", f"{plan.runs[0].end:%H:%M}", "--plans", plans)
    assert sound.exit_code == 0 and "but" not in sound.stderr, (warm, sound.stderr)


def test_an_end_before_its_press_is_switched_on_is_doubted() -> None:
    plan = small_plan()
    run = plan.runs[0]
    on = run.pressing_start + timedelta(minutes=10)
    warm = PlannedWarmUp(press=run.press, start=on, ready=on, temp_c=150)
    plan = replace(plan, warm_ups=(warm,))
    line = RunLine(run=run.id, ended=True, finished=run.end, source=Source(file="x"))
    (doubt,) = faults_beside(line, run, plan, ())
    assert doubt.severity is Severity.DOUBT
    assert f"but {run.press} is switched on at {on:%H:%M}" in doubt.found
    later = replace(line, finished=run.end + timedelta(minutes=10))
    assert faults_beside(later, run, plan, ()) == []
    assert faults_beside(replace(line, press="another"), run, plan, ()) == []


def test_a_time_before_the_plan_s_moment_of_a_run_that_was_not_begun_by_then_is_doubted() -> None:
    """Planned again as of 9:00, run 5 begins at 9:15; run 4 is under way then, and run 1 is over."""
    plan = replace(small_plan(), at=at("9:00"))
    runs = {one.number: one for one in plan.runs}

    def doubts(number: int, plan=plan, events=(), **boxes):
        line = RunLine(run=runs[number].id, source=Source(file="x"), **boxes)
        found = faults_beside(line, runs[number], plan, events)
        assert all(one.severity is Severity.DOUBT for one in found)
        return [one.found for one in found if one.code == "not-begun-by-then"]

    told = "run 5: {}, but by the plan as of 09:00 it was not begun by then: it begins at 09:15"
    assert doubts(5, ended=True, finished=at("8:59")) == [told.format("finished 08:59")]
    assert doubts(5, began=True, started=at("8:10")) == [told.format("started 08:10")]
    both = doubts(5, ended=True, started=at("8:10"), finished=at("8:55"))
    assert both == [told.format("started 08:10")], "doubted once"
    yesterday = at("8:00") - timedelta(days=1)
    dated = doubts(5, began=True, started=yesterday)
    said = f"run 5: started {yesterday:%Y-%m-%d} 08:00, but by the plan as of {DAY} 09:00"
    assert dated[0].startswith(said)
    # at that moment or later, of what was begun by then, and of a day that was planned from its start
    assert doubts(5, ended=True, finished=at("9:00")) == []
    assert doubts(5, ended=True) == []
    assert doubts(4, ended=True, finished=at("8:55")) == []
    assert doubts(1, ended=True, finished=at("8:40")) == []
    assert doubts(5, plan=small_plan(), ended=True, finished=at("8:59")) == []
    # with its start known from before, its end is not doubted once more
    start = Event(
        id="e1",
        day=DAY,
        version=1,
        kind=EventKind.STARTED,
        run=runs[5].id,
        at=at("8:10"),
        entered=at("9:05"),
        number=1,
    )
    assert doubts(5, events=(start,), ended=True, finished=at("8:59")) == []
    assert doubts(5, events=(start,), began=True, started=at("8:12")) == [told.format("started 08:12")]


def test_a_time_after_closing_is_doubted(run: Run, plans: Path) -> None:
    """The small shop is open until 18:00; run 5 takes 75 minutes, run 6 24 with its setting up."""
    where = ("--plans", plans)
    begun = run("started", 5, "--at", "18:01", *where)
    assert begun.exit_code == 0
    assert "run 5: started 18:01, but the shop is closed from 18:00 on" in begun.stderr
    assert "closed" not in run("started", 5, "--at", "18:00", *where).stderr
    late = run("done", 6, "--finished", "22:00", *where)
    assert late.exit_code == 0 and "It is taken as said" in late.stderr
    told = (
        "run 6: finished 22:00, so begun about 21:36 as long as it takes, but the shop is closed from 18:00"
    )
    assert told in late.stderr, late.stderr
    # who began in time finishes it
    assert "closed" not in run("done", 6, "--finished", "18:15", *where).stderr
    assert run("started", 4, "--at", "17:30", *where).stderr == ""
    overnight = run("done", 4, "--finished", "23:00", *where)
    assert "run 4: finished 23:00, but the shop is closed from 18:00 on" in overnight.stderr


def test_an_end_by_the_clock_after_closing_is_doubted_as_a_typed_one(
    run: Run, plans: Path, clock: Clock
) -> None:
    """As above, with no time typed: run 6 takes 24 minutes, run 5 takes 75, and the shop closes at 18:00."""
    where = ("--plans", plans)
    clock(f"{DAY}T18:15")
    assert "closed" not in run("done", 6, *where).stderr
    clock(f"{DAY}T22:00")
    # said again, it keeps the time that it was entered with
    assert "closed" not in run("done", 6, *where).stderr
    late = run("done", 5, *where)
    assert late.exit_code == 0 and "finished 22:00" in late.stdout
    assert "run 5: finished 22:00, so begun about" in late.stderr
    assert "but the shop is closed from 18:00 on" in late.stderr
    assert "enter it again with --finished if it was over before" in late.stderr


@pytest.mark.parametrize(
    "words",
    [
        [["started", 1, "--at", "8:12"], ["done", 1, "--finished", "TIME"]],
        [["done", 1, "--finished", "TIME"], ["started", 1, "--at", "8:12"]],
        [["done", 1, "--started", "8:12", "--finished", "TIME"]],
    ],
)
def test_pieces_in_less_than_half_of_their_time_are_doubted(
    words: list[list[object]], run: Run, plans: Path
) -> None:
    """Run 1: 30 pieces in 30 minutes."""
    for time_, quick in (("8:14", True), ("8:25", True), ("8:26", False)):
        told = ""
        for line in words:
            typed = [time_ if word == "TIME" else word for word in line]
            result = run(*typed, "--plans", plans)
            assert result.exit_code == 0, result.stdout
            told = result.stderr
        expected = "run 1: 30 pieces from 08:12 to 0" + time_ + f", in {int(time_[-2:]) - 12} min; expected"
        assert (expected in told) == quick, told
        assert not quick or "about the 30 min that are planned for so many" in told
        assert quick or told == ""


def test_a_count_that_comes_too_quickly_is_doubted(run: Run, plans: Path) -> None:
    words = ["done", 1, "--started", "8:12", "--at", "8:14", "--plans", plans]
    assert "run 1: 20 pieces from 08:12 to 08:14" in run(*words, "--pieces", 20).stderr
    assert run(*words, "--pieces", 6).stderr == ""


def test_an_end_while_another_run_is_under_way_there_is_doubted(run: Run, plans: Path) -> None:
    """Runs 1 and 3 are Ana's at Press 1, runs 2 and 4 Ben's at Press 2: most often a number was mistyped."""
    where = ("--plans", plans)
    assert run("started", 1, "--at", "8:12", *where).stderr == ""
    wrong = run("done", 3, "--finished", "8:35", *where)
    assert wrong.exit_code == 0, wrong.stdout
    assert "run 3: finished 08:35, but run 1 is under way at Press 1 since 08:12; expected" in wrong.stderr
    assert "It is taken as said; enter it again if it was another time or run" in wrong.stderr
    assert len(entries(plans)) == 2
    # The neighbour's press and person are free for it.
    assert run("done", 2, "--finished", "8:50", *where).stderr == ""


def test_an_end_too_soon_after_a_run_could_begin_is_doubted(run: Run, plans: Path) -> None:
    """Run 4: 60 pieces in 60 minutes from 8:52 on, or from when run 2 had ended."""
    where = ("--plans", plans)
    soon = run("done", 4, "--finished", "9:15", *where)
    assert soon.exit_code == 0, soon.stdout
    assert "run 4: 60 pieces by 09:15, 23 min after it was to begin, at 08:52; expected about" in soon.stderr
    assert run("done", 2, "--finished", "8:45", *where).stderr == ""
    after = run("done", 4, "--finished", "9:05", *where)
    assert "run 4: 60 pieces by 09:05, 20 min after the run before it ended, at 08:45" in after.stderr
    assert run("done", 4, "--finished", "9:15", *where).stderr == ""


def test_pieces_are_not_counted_before_the_start(run: Run, plans: Path) -> None:
    """Whichever is entered first; nothing done by then is no contradiction."""
    where = ("--plans", plans)
    both = run("done", 1, "--started", "8:35", "--pieces", 10, "--at", "8:20", *where)
    told = "run 1: 10 pieces counted 08:20, started 08:35; expected a count after the start"
    assert (both.exit_code, told in both.stdout) == (1, True), both.stdout
    assert entries(plans) == []
    assert run("started", 1, "--at", "8:35", *where).exit_code == 0
    count = run("done", 1, "--pieces", 1, "--at", "8:20", *where)
    assert (count.exit_code, "1 piece counted 08:20, started 08:35 by entry 1" in count.stdout) == (1, True)
    assert run("done", 1, "--pieces", 0, "--at", "8:20", *where).exit_code == 0
    assert run("done", 1, "--pieces", 10, "--at", "8:45", *where).exit_code == 0
    start = run("started", 1, "--at", "8:50", *where)
    told = "started 08:50, 10 pieces counted 08:45 by entry 3; expected a start before the count"
    assert (start.exit_code, told in start.stdout) == (1, True), start.stdout
    assert run("started", 1, "--at", "8:30", *where).exit_code == 0


def test_an_end_that_is_now_is_not_before_the_start(run: Run, plans: Path, clock: Clock) -> None:
    clock(f"{DAY}T08:45")
    early = run("done", 1, "--started", "9:00", "--plans", plans)
    assert (early.exit_code, "run 1: finished 08:45, started 09:00" in early.stdout) == (1, True)
    assert run("done", 1, "--started", "8:10", "--plans", plans).exit_code == 0


def test_a_count_of_a_run_on_a_later_date_is_on_that_date() -> None:
    plan = small_plan()
    (first, second, *others) = plan.runs
    later = replace(second, start=second.start + timedelta(days=1))
    plan = replace(plan, runs=(first, later, *others))
    line = RunLine(run=first.id, source=Source(file="x"))
    assert date_of(plan, [line]) == DAY
    assert date_of(plan, [replace(line, run=later.id)]) == DAY + timedelta(days=1)
    assert date_of(plan, [line, replace(line, run=later.id)]) == DAY
