"""The clock is read at one place."""

from __future__ import annotations

import ast
import re
from datetime import date, datetime
from pathlib import Path

from scheduler.now import now, this_day, this_minute
from tests.support.commands import TODAY, Clock, a_day_of_its_own, clock

__all__ = ["a_day_of_its_own", "clock"]

CLOCK = re.compile(r"(\w+\.)?(datetime|date|time)\.(now|utcnow|today|time|localtime|strftime)")
PACKAGE = Path(__file__).parents[1] / "scheduler"
MODULES = [
    PACKAGE / "now.py",
    *(
        path
        for name in ("cli", "answers", "workflow", "plans")
        for path in sorted((PACKAGE / name).rglob("*.py"))
    ),
]


def readings(text: str) -> list[str]:
    """What in a text asks the computer for date or time by itself."""
    names = (ast.unparse(node) for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Attribute))
    return [name for name in names if CLOCK.fullmatch(name)]


def test_no_command_reads_the_clock_by_itself() -> None:
    assert len(MODULES) > 40
    found = {path.name: readings(path.read_text(encoding="utf-8")) for path in MODULES}
    assert {name: there for name, there in found.items() if there} == {"now.py": ["datetime.now"]}
    assert readings("day = date.today()") == ["date.today"]
    assert readings("f(datetime.datetime.now)") == ["datetime.datetime.now"]


def test_the_clock_of_the_tests_is_set(clock: Clock) -> None:
    assert now() == datetime.fromisoformat(TODAY)
    clock("2027-03-09T08:10:33")
    assert (now().second, this_minute(), this_day()) == (33, datetime(2027, 3, 9, 8, 10), date(2027, 3, 9))
