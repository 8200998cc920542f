"""Writing a set of files: all of them, or none."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scheduler.exceptions import BadInput
from scheduler.sheets.write import all_files, write_files
from tests.sheets.sample_plan import sample_plan

NAMES = [
    "run-sheets.pdf",
    "press-sheets.pdf",
    "day-lists.pdf",
    "summary.pdf",
    "plan.xlsx",
    "plan.json",
    "day.html",
]


def listing(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_the_whole_set_appears(tmp_path: Path) -> None:
    folder = tmp_path / "plans" / "2026-12-03"
    written = write_files(folder, {**all_files(sample_plan(), system_fonts=False), "kept.json": b"{}"})
    assert [path.name for path in written] == [*NAMES, "kept.json"]
    assert listing(folder) == sorted([*NAMES, "kept.json"])
    assert json.loads((folder / "plan.json").read_bytes())["day"] == "2026-12-03"
    assert (folder / "summary.pdf").read_bytes().startswith(b"%PDF")


def test_new_files_take_the_place_of_old_ones_and_leave_others(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("old")
    (tmp_path / "mine").write_text("mine")
    write_files(tmp_path, {"a": b"new", "b": b"new"})
    assert listing(tmp_path) == ["a", "b", "mine"]
    assert (tmp_path / "a").read_text() == "new"
    assert (tmp_path / "mine").read_text() == "mine"


def test_when_one_file_fails_all_is_as_before(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("a", "b", "c"):
        (tmp_path / name).write_text("old")
    moved = Path.replace

    def held(self: Path, target: Path) -> Path:
        if self.name == "b" and self.parent.name.startswith(".writing"):
            raise PermissionError(13, "in use by another program", str(target))
        return moved(self, target)

    monkeypatch.setattr(Path, "replace", held)
    with pytest.raises(BadInput, match=r"b can't be written \(in use by another program\).*Close the files"):
        write_files(tmp_path, {"a": b"new", "b": b"new", "c": b"new", "d": b"new"})
    monkeypatch.undo()
    assert listing(tmp_path) == ["a", "b", "c"]
    assert {path.read_text() for path in tmp_path.iterdir()} == {"old"}


def test_no_name_that_is_only_there_while_files_are_written_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(**where: Path) -> str:
        raise PermissionError(13, "Permission denied", str(where["dir"] / ".writing-abc"))

    def mkdtemp(prefix: str, dir: Path) -> str:
        return refuse(dir=dir)

    monkeypatch.setattr("tempfile.mkdtemp", mkdtemp)
    with pytest.raises(BadInput, match=r"it can't be written \(Permission denied\)") as caught:
        write_files(tmp_path, {"a": b"new"})
    assert ".writing" not in str(caught.value.faults[0])


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "plans").write_text("not a folder")
    with pytest.raises(BadInput, match="expected a place that may be written"):
        write_files(tmp_path / "plans", {"a": b""})
    with pytest.raises(BadInput, match="can't be written"):
        write_files(tmp_path / "plans" / "day", {"a": b""})
    assert listing(tmp_path) == ["plans"]


def test_nothing_is_left_of_a_folder_that_could_not_be_filled(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="Nothing was changed"):
        write_files(tmp_path / "day", {"good": b"1", "no such folder/bad": b"2"})
    assert listing(tmp_path) == []


def test_old_files_are_never_lost_even_when_they_can_not_be_put_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a").write_text("old")
    moved = Path.replace

    def held(self: Path, target: Path) -> Path:
        if self.parent != tmp_path:
            raise PermissionError(13, "in use by another program", str(target))
        return moved(self, target)

    monkeypatch.setattr(Path, "replace", held)
    with pytest.raises(BadInput, match=r"The old files are in \.writing-"):
        write_files(tmp_path, {"a": b"new"})
    monkeypatch.undo()
    kept = [path for path in tmp_path.rglob("*") if path.is_file() and path.name == "a"]
    assert "old" in [path.read_text() for path in kept]
