"""`pressday check --marked`: copies with notes, whatever the end of the check."""

from __future__ import annotations

import json
from pathlib import Path

from openpyxl import load_workbook
from typer.testing import CliRunner

from scheduler.cli.main import app
from scheduler.intake import write_shop_folder


def test_faults_and_doubts_are_marked_in_copies(tmp_path: Path) -> None:
    write_shop_folder(tmp_path)
    orders = tmp_path / "orders.xlsx"
    run = ["check", str(orders), "--day", "2026-03-02", "--marked", str(tmp_path / "out"), "--json"]
    done = CliRunner().invoke(app, run)
    assert done.exit_code == 0, done.output
    assert "orders-marked.xlsx" in done.stderr
    assert json.loads(done.stdout)["doubts"][0]["code"] == "sample-rows"
    book = load_workbook(orders)
    book["Orders"]["I5"] = "cottn"
    book.save(orders)
    done = CliRunner().invoke(app, run)
    assert done.exit_code == 1
    assert "orders-marked-2.xlsx" in done.stderr
    comment = load_workbook(tmp_path / "out" / "orders-marked-2.xlsx")["Orders"]["I5"].comment
    assert comment is not None and comment.text.startswith("FAULT 1: fabric")
    # without the option, and with a folder that can't be made
    assert CliRunner().invoke(app, run[:4]).exit_code == 1
    assert len(list((tmp_path / "out").iterdir())) == 2
    (tmp_path / "file").write_text("")
    done = CliRunner().invoke(app, [*run[:5], str(tmp_path / "file"), "--json"])
    assert done.exit_code == 1
    assert "not-writable" in [one["code"] for one in json.loads(done.stdout)["faults"]]
