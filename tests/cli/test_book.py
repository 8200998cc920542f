"""The day book's file on the command line: out, in, and looked through."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.daybook.book import DayBook
from scheduler.daybook.opening import NAME
from tests.daybook.kills import put_one
from tests.support.commands import Run


@pytest.fixture
def plans(tmp_path: Path) -> Path:
    out = tmp_path / "plans"
    out.mkdir()
    with DayBook(out / NAME) as book:
        put_one(out, book, "first")
    return out


def test_out_and_in_again(run: Run, plans: Path, tmp_path: Path) -> None:
    run("done", 1, "--finished", "8:45", "--plans", plans)
    file, other = tmp_path / "book.jsonl", tmp_path / "other"
    result = run("book", "export", file, "--plans", plans)
    assert (result.exit_code, result.stdout) == (0, f"Written: {file}, 1 plan, 1 entry\n")
    assert len(file.read_text(encoding="utf-8").splitlines()) == 3
    result = run("book", "import", file, "--plans", other)
    assert (result.exit_code, result.stdout) == (0, "Imported: 1 plan, 1 entry\n")
    again = run("book", "import", file, "--plans", other)
    assert again.stdout == "Imported: 0 plans, 0 entries; 2 were there already\n"
    assert run("book", "export", tmp_path / "second.jsonl", "--plans", other).exit_code == 0
    assert (tmp_path / "second.jsonl").read_bytes() == file.read_bytes()
    assert run("progress", "--at", "9:00", "--plans", other).stdout == (
        run("progress", "--at", "9:00", "--plans", plans).stdout
    )


def test_letters_that_others_take_for_line_ends_come_out_and_in_again(
    run: Run, plans: Path, tmp_path: Path
) -> None:
    """Text pasted from elsewhere holds them: U+2028, U+2029, U+0085, and control letters."""
    reason = "crooked\u2028twice\u2029here\x85and\x0bthere\x0c\x1c\x1d\x1e"
    words = ("--spoiled", 2, "--reason", reason, "--finished", "8:45", "--plans", plans)
    assert run("done", 1, *words).exit_code == 0
    file, other = tmp_path / "book.jsonl", tmp_path / "other"
    assert run("book", "export", file, "--plans", plans).exit_code == 0
    assert "\u2028" in file.read_text(encoding="utf-8")
    result = run("book", "import", file, "--plans", other)
    assert (result.exit_code, result.stdout) == (0, "Imported: 1 plan, 1 entry\n"), result.stdout
    with DayBook(plans / NAME) as book, DayBook(other / NAME) as copy:
        assert copy.events()[0].reason == book.events()[0].reason
    (tmp_path / "windows.jsonl").write_bytes(file.read_bytes().replace(b"\n", b"\r\n"))
    again = run("book", "import", tmp_path / "windows.jsonl", "--plans", other)
    assert again.stdout == "Imported: 0 plans, 0 entries; 2 were there already\n"


def test_nothing_is_overwritten_and_nothing_half_is_left(run: Run, plans: Path, tmp_path: Path) -> None:
    file = tmp_path / "book.jsonl"
    file.write_text("mine")
    for words, told in (
        (["export", file, "--plans", plans], "there is a file of that name"),
        (["export", tmp_path / "no" / "where", "--plans", plans], "can't be written (No such file"),
        (["export", file / "x.jsonl", "--plans", plans], "can't be written (Not a directory)"),
        (["export", tmp_path / ("x" * 250), "--plans", plans], "can't be written (File name too long)"),
        (["export", tmp_path / ("x" * 300), "--plans", plans], "can't be written (File name too long)"),
        (["import", file, "--plans", plans], "book.jsonl, line 1: not a whole line of an export"),
        (["import", tmp_path / "none", "--plans", plans], "no such file"),
        (["export", tmp_path / "new", "--plans", tmp_path / "other"], "no day-book.sqlite here"),
        (["check", "--plans", tmp_path / "other"], "no day-book.sqlite here"),
    ):
        result = run("book", *words)
        assert (result.exit_code, told in result.stdout) == (1, True), result.stdout
    assert file.read_text() == "mine"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["book.jsonl", "plans"]
    (tmp_path / "letters").write_bytes(b"\xff\xfe\xfd")
    assert "not a text in UTF-8" in run("book", "import", tmp_path / "letters", "--plans", plans).stdout


def test_looking_through(run: Run, plans: Path) -> None:
    result = run("book", "check", "--plans", plans)
    assert (result.exit_code, result.stdout) == (0, f"Sound: {plans / NAME}, 1 plan, 0 entries\n")
    data = bytearray((plans / NAME).read_bytes())
    at = data.rindex(b'"runs"')
    data[at : at + 6] = b"\xff" * 6
    (plans / NAME).write_bytes(data)
    result = run("book", "check", "--plans", plans)
    assert result.exit_code == 1
    assert "day-book.sqlite" in result.stdout


def test_an_import_that_fails_leaves_no_day_book(run: Run, plans: Path, tmp_path: Path) -> None:
    file, other = tmp_path / "book.jsonl", tmp_path / "other"
    file.write_text("mine")
    assert run("book", "import", file, "--plans", other).exit_code == 1
    assert not other.exists()
    before = (plans / NAME).read_bytes()
    assert run("book", "import", file, "--plans", plans).exit_code == 1
    assert (plans / NAME).read_bytes() == before
    assert run("book", "check", "--plans", plans).exit_code == 0


@pytest.mark.parametrize("words", [["export"], ["import"], ["burn"], ["check", "here"]], ids=" ".join)
def test_wrong_usage_is_exit_code_two(words: list[str], run: Run) -> None:
    result = run("book", *words)
    assert (result.exit_code, result.stdout) == (2, "")
