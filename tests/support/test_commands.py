"""The fixtures for commands have one home, and every folder that uses them has all of them."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.support import commands

TESTS = Path(commands.__file__).parents[1]


def test_every_fixture_is_taken_along() -> None:
    tree = ast.parse(Path(commands.__file__).read_text(encoding="utf-8"))
    made = [
        each.name
        for each in tree.body
        if isinstance(each, ast.FunctionDef)
        and any("pytest.fixture" in ast.unparse(one) for one in each.decorator_list)
    ]
    assert sorted(made) == commands.__all__


@pytest.mark.parametrize("folder", ["answers", "cli", "plans", "workflow"])
def test_no_folder_names_them_again(folder: str) -> None:
    text = (TESTS / folder / "conftest.py").read_text(encoding="utf-8")
    assert "import *" in text
    assert not [name for name in commands.__all__ if f'"{name}"' in text]
