"""What is drawn of answers."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

from scheduler.answers.pictures import draw_paybacks, paybacks_of
from scheduler.sheets.drawn import PaybackLine
from tests.cli.test_pictures import needs_library


def test_what_is_proven_has_a_line_of_its_own() -> None:
    def one(name: str, price: int | None, *a_day: int | None) -> Any:
        planned, proven = (None if each is None else SimpleNamespace(saved_a_day=each) for each in a_day)
        return SimpleNamespace(
            version=SimpleNamespace(name=name, price=price), payback=planned, payback_proven=proven
        )

    there = [
        one("cover", 150, 20, 5),
        one("stand", 750, 10, None),
        one("free", 0, 5, 5),
        one("?", None, 1, 1),
    ]
    lines = paybacks_of(SimpleNamespace(versions=there))  # type: ignore[arg-type]
    assert [(line.label, line.days) for line in lines] == [
        ("cover", 7.5),
        ("cover, proven", 30.0),
        ("stand", 75.0),
    ]


@needs_library
def test_of_many_paybacks_the_first_are_drawn(tmp_path: Path) -> None:
    lines = [PaybackLine(label=f"way {number}", price=9.0, saved_a_day=1.0) for number in range(10)]
    drawn = draw_paybacks(tmp_path / "a.svg", lines).content.decode()
    assert "2 more lines not drawn" in drawn and "way 7" in drawn and "way 8" not in drawn
