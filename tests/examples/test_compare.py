"""The list of changes of the example shop, and its comparison on a cluster."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from example_orders.make_examples import HERE
from scheduler.cli.main import app
from scheduler.intake import open_book, scan_changed_shop, scan_changes

CHANGES = HERE / "changes.csv"
WORDS = [
    *(str(HERE / "small.xlsx"), "--changes", str(CHANGES), "--day", "2027-03-09"),
    *("--no-pairs", "--seconds", "0", "--seeds", "1", "--json"),
]


def test_every_change_of_the_example_fits_its_shop() -> None:
    changes, faults = scan_changes(CHANGES)
    assert faults == ()
    assert len(changes) >= 4
    book = open_book(HERE / "shop.xlsx")
    for change in changes:
        assert scan_changed_shop(book, "shop", [change])[1] == ()


def test_a_cluster_of_processes_gives_the_same_answer(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    pytest.importorskip("distributed")
    from example_orders.compare_on_cluster import main

    monkeypatch.setenv("PRESSDAY_COMPILE", "0")
    monkeypatch.chdir(tmp_path)
    here = CliRunner().invoke(app, ["compare", *WORDS, "--workers", "1"])
    assert here.exit_code == 0, here.output
    capsys.readouterr()
    main(WORDS, workers=1)
    assert json.loads(capsys.readouterr().out) == json.loads(here.stdout)
