"""The dated folder: newest plan in place, older ones kept, nothing half-written."""

from __future__ import annotations

import errno
from datetime import date
from pathlib import Path

import pytest

from scheduler.exceptions import BadInput
from scheduler.plans import folder as folders
from scheduler.plans.folder import Draft, check_writable, draft
from scheduler.plans.places import newest
from tests.support.commands import hold

DAY = date(2027, 3, 9)


def write_plan(out: Path, words: str) -> tuple[Path, int]:
    with draft(out, DAY) as one:
        (one.folder / "plan.json").write_text(words)
    return one.final, one.version


def tree(folder: Path) -> dict[str, str]:
    return {str(f.relative_to(folder)): f.read_text() for f in sorted(folder.rglob("*")) if f.is_file()}


def test_the_newest_plan_is_in_the_dated_folder_and_older_ones_are_kept(tmp_path: Path) -> None:
    out = tmp_path / "my plans"
    assert write_plan(out, "first") == (out / "2027-03-09", 1)
    assert tree(out) == {"2027-03-09/plan.json": "first"}
    assert write_plan(out, "second") == (out / "2027-03-09", 2)
    assert write_plan(out, "third") == (out / "2027-03-09", 3)
    assert tree(out) == {
        "2027-03-09/plan.json": "third",
        "2027-03-09/version-1/plan.json": "first",
        "2027-03-09/version-2/plan.json": "second",
    }
    assert [path.name for path in out.iterdir()] == ["2027-03-09"]


def test_what_the_owner_put_beside_an_older_plan_stays_with_it(tmp_path: Path) -> None:
    write_plan(tmp_path, "first")
    (tmp_path / "2027-03-09" / "note.txt").write_text("call the courier")
    write_plan(tmp_path, "second")
    assert tree(tmp_path)["2027-03-09/version-1/note.txt"] == "call the courier"


def test_a_failure_while_writing_leaves_everything_as_it_was(tmp_path: Path) -> None:
    out = tmp_path / "plans"
    write_plan(out, "first")
    before = tree(out)
    with pytest.raises(RuntimeError, match="no ink"), draft(out, DAY) as one:
        (one.folder / "plan.json").write_text("half")
        raise RuntimeError("no ink")
    assert tree(out) == before
    assert [path.name for path in out.iterdir()] == ["2027-03-09"]


def test_a_full_disk_is_a_fault_and_leaves_everything_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_plan(tmp_path, "first")

    def full(self: Path, data: bytes) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    found = r"it can't be written \(No space left on device\)"
    with pytest.raises(BadInput, match=found), draft(tmp_path, DAY) as one:
        one.write({"plan.json": b"second"})
    assert tree(tmp_path) == {"2027-03-09/plan.json": "first"}


def test_what_the_system_refuses_while_sheets_are_made_is_not_blamed_on_the_folder(tmp_path: Path) -> None:
    write_plan(tmp_path, "first")
    with pytest.raises(OSError, match="font"), draft(tmp_path, DAY):
        raise OSError(errno.EIO, "a font can't be read")
    assert tree(tmp_path) == {"2027-03-09/plan.json": "first"}
    assert [path.name for path in tmp_path.iterdir()] == ["2027-03-09"]


def renewed(out: Path, **files: str) -> Draft:
    """The same plan once more."""
    with draft(out, DAY) as one:
        one.renew()
        one.write({f"{name}.json": words.encode() for name, words in files.items()})
    return one


def test_the_same_plan_again_takes_the_place_of_its_files_and_is_saved(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    saved = []
    monkeypatch.setattr(folders, "save", lambda path: saved.append(path.name))
    write_plan(tmp_path, "first")
    assert renewed(tmp_path, plan="again", more="too").locked == ()
    assert tree(tmp_path) == {"2027-03-09/plan.json": "again", "2027-03-09/more.json": "too"}
    assert saved == ["more.json", "plan.json", "plan", "2027-03-09"]


def test_a_file_of_the_same_plan_that_is_open_elsewhere_stays_and_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_plan(tmp_path, "first")
    hold(monkeypatch, "plan.json")
    assert renewed(tmp_path, plan="again", more="too").locked == ("plan.json",)
    assert tree(tmp_path) == {"2027-03-09/plan.json": "first", "2027-03-09/more.json": "too"}


def test_an_empty_dated_folder_is_taken(tmp_path: Path) -> None:
    (tmp_path / "2027-03-09").mkdir()
    assert write_plan(tmp_path, "first") == (tmp_path / "2027-03-09", 1)


def test_a_run_killed_before_moving_is_cleared_up(tmp_path: Path) -> None:
    left = tmp_path / ".2027-03-09-new-abc" / "plan"
    left.mkdir(parents=True)
    (left / "plan.json").write_text("half")
    write_plan(tmp_path, "first")
    assert tree(tmp_path) == {"2027-03-09/plan.json": "first"}


def test_a_run_killed_between_the_two_moves_loses_nothing(tmp_path: Path) -> None:
    write_plan(tmp_path, "first")
    (tmp_path / "2027-03-09").rename(tmp_path / ".2027-03-09-before")
    assert write_plan(tmp_path, "second")[1] == 2
    assert tree(tmp_path) == {"2027-03-09/plan.json": "second", "2027-03-09/version-1/plan.json": "first"}


def test_a_run_killed_after_the_second_move_loses_nothing(tmp_path: Path) -> None:
    write_plan(tmp_path, "first")
    write_plan(tmp_path, "second")
    # As after the second move of a third plan: "second" set aside with "first" in it, "third" in place.
    (tmp_path / "2027-03-09").rename(tmp_path / ".2027-03-09-before")
    (tmp_path / "2027-03-09").mkdir()
    (tmp_path / "2027-03-09" / "plan.json").write_text("third")
    assert write_plan(tmp_path, "fourth")[1] == 4
    assert tree(tmp_path) == {
        "2027-03-09/plan.json": "fourth",
        "2027-03-09/version-1/plan.json": "first",
        "2027-03-09/version-2/plan.json": "second",
        "2027-03-09/version-3/plan.json": "third",
    }


def test_an_older_plan_that_is_open_elsewhere_stays_and_the_new_one_lands_beside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On systems that lock open files, the older plan's folder can't be moved; the new plan is not lost."""
    write_plan(tmp_path, "first")
    rename = Path.rename

    def locked(self: Path, target: Path) -> Path:
        if self == tmp_path / "2027-03-09":
            raise PermissionError(errno.EACCES, "Permission denied")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", locked)
    assert write_plan(tmp_path, "second") == (tmp_path / "2027-03-09-version-2", 2)
    assert tree(tmp_path) == {"2027-03-09/plan.json": "first", "2027-03-09-version-2/plan.json": "second"}
    monkeypatch.undo()
    assert newest(tmp_path, "plan.json") == tmp_path / "2027-03-09-version-2" / "plan.json"
    assert write_plan(tmp_path, "third")[1] == 3


def test_the_old_plan_returns_when_the_new_one_can_not_take_its_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_plan(tmp_path, "first")
    rename = Path.rename

    def refused(self: Path, target: Path) -> Path:
        if self.name == "plan" and target == tmp_path / "2027-03-09":
            raise OSError(errno.EIO, "Input/output error")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refused)
    with pytest.raises(BadInput, match="Input/output error"):
        write_plan(tmp_path, "second")
    assert tree(tmp_path) == {"2027-03-09/plan.json": "first"}


def test_a_file_in_the_place_of_the_folder_is_a_fault_and_a_missing_folder_is_not(tmp_path: Path) -> None:
    file = tmp_path / "plans"
    file.write_text("")
    for out in (file, file / "below"):
        with pytest.raises(BadInput, match=r"plans: it can't be written \(a file, not a folder\); .* --out"):
            check_writable(out)
    check_writable(tmp_path / "not" / "there" / "yet")
    assert not (tmp_path / "not").exists()


def test_a_read_only_folder_is_a_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The refusal is played, since the superuser may write into any folder."""

    def refuse(**_: object) -> str:
        raise PermissionError(errno.EACCES, "Permission denied")

    check_writable(tmp_path)
    monkeypatch.setattr("scheduler.plans.folder.tempfile.mkdtemp", refuse)
    with pytest.raises(BadInput, match=r"it can't be written \(Permission denied\)"):
        check_writable(tmp_path)


def test_newest_finds_a_plan_in_its_folder_or_below_and_prefers_the_latest_day(tmp_path: Path) -> None:
    assert newest(tmp_path, "plan.json") is None
    for name in ("2027-03-09", "2027-03-10", "2027-03-10-version-2", "2027-03-10-version-10"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "plan.json").write_text(name)
    assert newest(tmp_path, "plan.json") == tmp_path / "2027-03-10-version-10" / "plan.json"
    assert newest(tmp_path / "2027-03-09", "plan.json") == tmp_path / "2027-03-09" / "plan.json"
