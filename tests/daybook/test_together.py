"""A plan, its sheets and its version appear together or not at all."""

from __future__ import annotations

import errno
import shutil
import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.daybook import lock
from scheduler.daybook.book import DayBook
from scheduler.daybook.opening import NAME, silent
from scheduler.exceptions import BadInput
from scheduler.plans.book import tidy
from scheduler.plans.folder import draft
from scheduler.plans.kept import kept_bytes, read_kept
from scheduler.plans.places import KEPT
from tests.daybook.kills import Told, look_after, put_one
from tests.daybook.small import DAY, small_plan


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path


@pytest.fixture
def book(out: Path) -> Iterator[DayBook]:
    with DayBook(out / NAME) as opened:
        yield opened


def outcomes(book: DayBook) -> list[tuple[int, str]]:
    return [(one.version, one.outcome) for one in book.plans(DAY)]


def test_plans_of_a_day_are_booked_with_their_folders(out: Path, book: DayBook) -> None:
    assert [put_one(out, book, words) for words in ("first", "second")] == [1, 2]
    assert [(one.version, one.folder) for one in book.plans()] == [(1, "2027-03-09"), (2, "2027-03-09")]
    look_after(out, Told(plans={1: "first", 2: "second"}))


def test_versions_go_on_from_the_book_when_folders_are_gone(out: Path, book: DayBook) -> None:
    put_one(out, book, "first")
    put_one(out, book, "second")
    shutil.rmtree(out / "2027-03-09")
    assert put_one(out, book, "third") == 3
    assert put_one(out, book, "fourth") == 4
    assert read_kept(out / "2027-03-09" / "version-3")[0].version == 3
    assert not (out / "2027-03-09" / "version-1").exists()


def test_versions_go_on_from_folders_that_no_book_knows(out: Path, book: DayBook) -> None:
    put_one(out, book, "first")
    put_one(out, book, "second")
    (out / NAME).rename(out / "old.sqlite")
    with DayBook(out / NAME) as fresh:
        assert put_one(out, fresh, "third") == 3
        assert outcomes(fresh) == [(3, "in place")]


def test_a_plan_that_came_out_the_same_is_booked_when_it_was_not(out: Path, book: DayBook) -> None:
    with draft(out, DAY) as one:
        (one.folder / KEPT).write_text("{}")
    for _ in range(2):
        with draft(out, DAY, book=book) as one:
            one.renew()
            one.plan = small_plan(version=one.version)
            (one.folder / KEPT).write_text("{}")
    assert outcomes(book) == [(1, "in place")]


def test_a_move_that_fails_leaves_the_old_plan_and_no_pending_one(
    out: Path, book: DayBook, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_one(out, book, "first")
    rename = Path.rename

    def refused(self: Path, target: Path) -> Path:
        if self.name == "plan":
            raise OSError(errno.EIO, "Input/output error")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refused)
    with pytest.raises(BadInput, match="Input/output error"):
        put_one(out, book, "second")
    monkeypatch.undo()
    assert outcomes(book) == [(1, "in place"), (2, "dropped")]
    assert read_kept(out / "2027-03-09")[0].version == 1
    assert put_one(out, book, "third") == 3, "a number that was given away does not come again"


def test_a_book_that_refuses_leaves_the_old_plan(out: Path, book: DayBook) -> None:
    put_one(out, book, "first")
    (pages,) = book._connection.execute("PRAGMA page_count").fetchone()
    book._connection.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(BadInput, match="the disk is full"):
        put_one(out, book, "second")
    book._connection.execute("PRAGMA max_page_count = 100000")
    assert outcomes(book) == [(1, "in place")]
    look_after(out, Told(plans={1: "first"}))


def test_a_killed_plan_is_brought_to_its_end_before_sheets_are_printed(out: Path, book: DayBook) -> None:
    put_one(out, book, "first")
    second = small_plan(version=2)
    staged = out / ".2027-03-09-new-killed" / "plan"
    staged.mkdir(parents=True)
    (staged / KEPT).write_bytes(kept_bytes(second))
    book.add_plan(second, staged=".2027-03-09-new-killed")
    tidy(out / "2027-03-09", tell=silent)
    assert outcomes(book) == [(1, "in place"), (2, "in place")]
    assert read_kept(out / "2027-03-09")[0] == second
    assert read_kept(out / "2027-03-09" / "version-1")[0].version == 1
    tidy(out, tell=silent)
    assert outcomes(book) == [(1, "in place"), (2, "in place")]


def test_a_pending_plan_whose_sheets_are_gone_is_dropped(out: Path, book: DayBook) -> None:
    put_one(out, book, "first")
    book.add_plan(small_plan(version=2), staged=".2027-03-09-new-gone")
    assert put_one(out, book, "third") == 3
    assert outcomes(book) == [(1, "in place"), (2, "dropped"), (3, "in place")]


def test_a_book_from_elsewhere_can_not_have_other_folders_removed(out: Path) -> None:
    mine = out / "mine"
    (mine / "plan").mkdir(parents=True)
    plans = out / "plans"
    plans.mkdir()
    with DayBook(plans / NAME) as book:
        for version, staged in enumerate(("../mine", "", ".", str(mine)), start=1):
            book.add_plan(replace(small_plan(), version=version), staged=staged)
        put_one(plans, book, "next")
        assert [outcome for _, outcome in outcomes(book)] == ["dropped"] * 4 + ["in place"]
    assert (mine / "plan").is_dir()


def test_the_second_of_two_commands_waits_and_says_for_whom(
    out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lock, "SAY_AFTER_S", 0.0)
    told: list[str] = []
    waits = threading.Event()

    def say(words: str) -> None:
        told.append(words)
        waits.set()

    def second() -> None:
        with DayBook(out / NAME) as book, draft(out, DAY, book=book, waiting=say) as one:
            one.plan = small_plan(version=one.version)

    other = threading.Thread(target=second)
    with lock.alone(out, what="writing the sheets of 2027-03-09") as locked:
        assert locked
        other.start()
        assert waits.wait(timeout=60)
    other.join(timeout=60)
    (words,) = told
    assert words.startswith("Waiting: process ") and "writing the sheets of 2027-03-09" in words
    with DayBook(out / NAME) as book:
        assert outcomes(book) == [(1, "in place")]
    assert sorted(path.name for path in out.iterdir()) == ["2027-03-09", NAME]


def test_waiting_ends_with_the_name_of_the_one_that_does_not_let_go(
    out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lock, "PATIENCE_S", 0.05)
    with (
        lock.alone(out, what="thinking"),
        pytest.raises(BadInput, match=r"process \d+ \(since .*, thinking\) is writing in it"),
        lock.alone(out),
    ):
        raise AssertionError("two at once")
    with lock.alone(out) as locked:
        assert locked
