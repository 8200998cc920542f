"""Files whose names hold bytes that are no letters: from an older computer, or out of a packed folder."""

from __future__ import annotations

import json
import os
import shutil
import sys
from pathlib import Path

import pytest

from scheduler.intake.files.labels import label_files
from tests.support.commands import DAY, Run

ODD = os.fsdecode(b"Auftr\xe4ge.xlsx")
"""Written under Western Europe's encoding: in UTF-8 that byte is nothing."""


@pytest.fixture
def odd(shop: Path) -> Path:
    if sys.platform != "linux":
        pytest.skip("this system has no such names")
    shutil.copy(shop / "shop.xlsx", shop / ODD.replace("ge", "ge-shop"))
    shutil.copy(shop / "orders.xlsx", shop / ODD)
    return shop / ODD


def test_orders_and_shop_of_such_a_name_are_planned(run: Run, odd: Path, tmp_path: Path) -> None:
    shop = ("--shop", odd.with_name(ODD.replace("ge", "ge-shop")))
    checked = run("check", odd, *shop, "--day", DAY)
    assert checked.exit_code == 0, checked.output
    out = tmp_path / "plans"
    words = ("--day", DAY, "--seconds", "0", "--effort", "quick", "--out", out)
    planned = run("plan", odd, *shop, *words)
    assert planned.exit_code == 0, planned.output
    plan = json.loads((out / DAY / "kept-plan.json").read_text(encoding="utf-8"))
    assert "Auftr\ufffdge.xlsx" in json.dumps(plan, ensure_ascii=False)
    marked = run("check", odd, *shop, "--day", DAY, "--marked", tmp_path / "marked")
    assert marked.exit_code == 0, marked.output


def test_two_names_that_differ_in_such_a_byte_only_stay_two_files(tmp_path: Path) -> None:
    names = [tmp_path / os.fsdecode(name) for name in (b"a\xe4.csv", b"a\xe5.csv", b"a.csv")]
    files, again = label_files([*names, names[0]])
    assert list(files.values()) == names
    first, second, third = files
    assert first.endswith("a\ufffd.csv") and second == f"{first} (2)" and third == "a.csv"
    assert again == [first]
