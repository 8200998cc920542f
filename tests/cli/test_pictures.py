"""`pressday plan` and `sheets` with `--picture`: how full the day is, drawn beside what they write."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import pytest

from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput
from scheduler.plans.kept import read_kept
from scheduler.sheets.canvas import Picture
from scheduler.sheets.day_load import load_words
from tests.support.commands import DAY, Run

needs_library = pytest.mark.skipif(
    find_spec("matplotlib") is None, reason="the extra for pictures is not installed"
)


@needs_library
def test_a_kept_plan_is_drawn(run: Run, planned_once: Path, tmp_path: Path) -> None:
    path = tmp_path / "load.svg"
    result = run("sheets", planned_once, "--picture", path)
    assert result.exit_code == 0, result.stdout
    assert result.stdout.splitlines()[-1] == f"Written: {path}"
    plan, _ = read_kept(planned_once)
    drawn = path.read_text(encoding="utf-8")
    assert plan.press_loads
    for load in (*plan.press_loads, *plan.crew_loads):
        assert load_words(load) in drawn


@needs_library
def test_a_script_without_a_font_is_said_once_for_sheets_and_picture(
    run: Run, planned_once: Path, shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What only the picture lacks is said, too."""
    monkeypatch.setattr("scheduler.sheets.fonts.missing_scripts", lambda plan: ("Japanese", "Korean"))
    picture = Picture(b"", ("Korean",))
    monkeypatch.setattr("scheduler.answers.pictures.draw_load", lambda path, plan: picture)
    plan = ["plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick", "--seconds", 0]
    for words in (["sheets", planned_once], plan):
        told = run(*words, "--picture", tmp_path / "load.svg").stdout.splitlines()
        (note,) = [line for line in told if line.startswith("No font for ")]
        assert note.startswith("No font for Japanese and Korean found: ")
    monkeypatch.setattr("scheduler.sheets.fonts.missing_scripts", lambda plan: ("Japanese",))
    told = run("sheets", planned_once, "--picture", tmp_path / "load.svg").stdout.splitlines()
    assert [line.split(" found")[0] for line in told if line.startswith("No font")] == [
        "No font for Japanese",
        "No font for Korean",
    ]


@needs_library
def test_a_new_plan_is_drawn(run: Run, shop: Path) -> None:
    words = ["plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick", "--seconds", 0]
    result = run(*words, "--picture", shop / "load.png")
    assert result.exit_code == 0, result.stdout
    assert result.stdout.splitlines()[-1] == f"Written: {shop / 'load.png'}"
    assert (shop / "load.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize("name", ["load.pdf", "no/load.png"])
def test_a_picture_that_cannot_be_plans_nothing(name: str, run: Run, shop: Path) -> None:
    before = sorted(shop.rglob("*"))
    result = run("plan", shop / "none.xlsx", "--day", DAY, "--picture", shop / name)
    assert (result.exit_code, "Nothing was planned." in result.stdout) == (1, True)
    assert "no such file" not in result.stdout
    assert sorted(shop.rglob("*")) == before


@pytest.mark.parametrize("name", ["load.pdf", "no/load.png"])
def test_a_picture_that_cannot_be_prints_nothing(name: str, run: Run, planned_once: Path) -> None:
    (planned_once / "summary.pdf").unlink()
    result = run("sheets", planned_once, "--picture", planned_once / name)
    assert (result.exit_code, "Nothing was printed." in result.stdout) == (1, True)
    assert not (planned_once / "summary.pdf").exists()


@needs_library
def test_a_picture_that_fails_late_says_that_the_sheets_are_there(
    run: Run, planned_once: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, content: bytes) -> None:
        where = Source(file=str(path))
        raise BadInput([Fault(code="x", source=where, found="full", expected="room", mend="Make some.")])

    monkeypatch.setattr("scheduler.sheets.one_file.write_one", full)
    (planned_once / "summary.pdf").unlink()
    result = run("sheets", planned_once, "--picture", planned_once / "load.png")
    assert result.exit_code == 1
    assert "The sheets were printed, the picture was not." in result.stdout
    assert "Nothing was printed" not in result.stdout
    assert (planned_once / "summary.pdf").exists()
