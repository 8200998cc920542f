"""A file is there whole or not at all, and one that is to stay stays."""

from __future__ import annotations

import ast
import errno
from pathlib import Path

import pytest

import scheduler
from scheduler import aside
from scheduler.aside import NOT_WRITABLE, written_aside, written_numbered
from scheduler.exceptions import BadInput
from scheduler.intake.shop.changes_reader import CHANGES
from scheduler.intake.writing.forms import write_form

MODULES = sorted(Path(scheduler.__file__).parent.rglob("*.py"))


def listing(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir() if path.is_file()}


def code(caught: pytest.ExceptionInfo[BadInput]) -> str:
    (fault,) = caught.value.faults
    return fault.code


@pytest.mark.parametrize("overwrite", [True, False])
def test_a_new_file_is_there_only_once_it_is_whole(tmp_path: Path, overwrite: bool) -> None:
    with written_aside(tmp_path / "a", overwrite=overwrite) as part:
        part.write_text("whole")
        assert "a" not in listing(tmp_path)
    assert listing(tmp_path) == {"a": "whole"}


def test_a_file_that_is_there_is_replaced_or_stays(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("mine")
    with pytest.raises(BadInput, match="there is a file of that name") as caught:
        written_aside(tmp_path / "a", overwrite=False).__enter__()
    assert code(caught) == "file-present"
    assert listing(tmp_path) == {"a": "mine"}
    with written_aside(tmp_path / "a", overwrite=True) as part:
        part.write_text("new")
    assert listing(tmp_path) == {"a": "new"}


@pytest.mark.parametrize("links", [True, False])
def test_a_file_that_turns_up_meanwhile_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    if not links:

        def none(self: Path, target: Path) -> None:
            raise OSError(errno.ENOTSUP, "no links on this drive")

        monkeypatch.setattr(Path, "hardlink_to", none)
    with (
        pytest.raises(BadInput, match="there is a file of that name") as caught,
        written_aside(tmp_path / "a", overwrite=False) as part,
    ):
        part.write_text("new")
        (tmp_path / "a").write_text("mine")
    assert code(caught) == "file-present"
    assert listing(tmp_path) == {"a": "mine"}


@pytest.mark.parametrize("name", ["form.csv", "form.xlsx"])
def test_a_form_that_turns_up_meanwhile_is_not_overwritten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Filled in by hand, it would be lost."""
    move = aside.move_without_overwriting

    def faster(part: Path, target: Path) -> None:
        target.write_text("filled in")
        move(part, target)

    monkeypatch.setattr(aside, "move_without_overwriting", faster)
    with pytest.raises(BadInput, match="it may be filled in"):
        write_form(CHANGES, (), tmp_path / name, lists={})
    assert listing(tmp_path) == {name: "filled in"}


def test_what_goes_wrong_leaves_everything_as_it_was(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("mine")
    for error, raised in ((RuntimeError("no ink"), RuntimeError), (KeyboardInterrupt(), KeyboardInterrupt),
                          (OSError(28, "No space left on device"), BadInput)):  # fmt: skip
        with pytest.raises(raised), written_aside(tmp_path / "a", overwrite=True) as part:
            part.write_text("half")
            raise error
        with pytest.raises(raised), written_numbered(tmp_path / "a") as one:
            one.part.write_text("half")
            raise error
        assert listing(tmp_path) == {"a": "mine"}


@pytest.mark.parametrize("where", ["none/a", "file/a", "folder", "x" * 250, "x" * 300])
@pytest.mark.parametrize("overwrite", [True, False])
def test_every_place_that_can_not_be_written_is_the_same_fault(
    tmp_path: Path, where: str, overwrite: bool
) -> None:
    (tmp_path / "file").write_text("mine")
    (tmp_path / "folder").mkdir()
    there = "file-present" if where == "folder" and not overwrite else NOT_WRITABLE
    with pytest.raises(BadInput) as caught, written_aside(tmp_path / where, overwrite=overwrite) as part:
        part.write_text("new")
    assert code(caught) == there
    if where != "folder":
        with (
            pytest.raises(BadInput, match="can't be written") as caught,
            written_numbered(tmp_path / where) as one,
        ):
            one.part.write_text("new")
        assert code(caught) == NOT_WRITABLE
    assert listing(tmp_path) == {"file": "mine"}


def test_the_first_free_name_is_taken(tmp_path: Path) -> None:
    for words in ("one", "two", "three"):
        with written_numbered(tmp_path / "a.b.txt") as one:
            one.part.write_text(words)
        assert one.path.read_text() == words
    assert listing(tmp_path) == {"a.b.txt": "one", "a.b-2.txt": "two", "a.b-3.txt": "three"}


def test_nobody_writes_aside_by_hand() -> None:
    """One home: routines of their own came to differ in what they leave behind and in what they say."""
    texts = {path.name: path.read_text(encoding="utf-8") for path in MODULES}
    by_hand = {
        name
        for name, text in texts.items()
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.endswith(".part")
    }
    assert by_hand == {"aside.py"}
    codes = {name for name, text in texts.items() if '-not-writable"' in text}
    assert codes <= {"trouble.py"}, "the day book's own file has its own words"
