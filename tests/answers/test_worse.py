"""What is said of a plan that is worse than the one before it."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.answers.worse import worse_lines
from scheduler.plans.worse import worse
from tests.plans.test_worse import held, with_level
from tests.sheets.sample_plan import sample_plan


@pytest.mark.parametrize("level", ["changeover", "finish", "lateness", "left_over"])
def test_the_level_that_decides_is_said_beside_lateness_and_changeovers(level: str) -> None:
    plan = sample_plan()
    lines = worse_lines(held(with_level(plan, level, 10), plan), Path("plans/2026-12-03"))
    assert lines[1].startswith("  this search: ") and lines[2].startswith(f"  version {plan.version}: ")
    names = {"finish": "all packed by", "left_over": "left over"}
    for line in lines[1:3]:
        assert "late " in line and "changeovers " in line
        assert [word for word in names.values() if word in line] == [
            name for key, name in names.items() if key == level
        ]
    assert lines[1].split(":", 1)[1].strip() != lines[2].split(":", 1)[1].strip()


def test_the_sheets_of_a_folder_that_was_locked_are_named_where_they_stayed(tmp_path: Path) -> None:
    """The new plan then lies beside the older one's folder, which can't be moved into it."""
    plan = sample_plan()
    told = worse(with_level(plan, "changeover", 10), plan, counts=True)
    assert told is not None
    final, beside = tmp_path / "2026-12-03", tmp_path / f"2026-12-03-version-{plan.version + 1}"
    final.mkdir()
    beside.mkdir()
    assert f"are in {final}; " in worse_lines(told, beside)[3]
    (final / f"version-{plan.version}").mkdir()
    assert f"are in {final / f'version-{plan.version}'}; " in worse_lines(told, final)[3]
