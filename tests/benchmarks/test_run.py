"""The command: arguments, processes, what is kept when it is stopped."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from tests.benchmarks import measure, rows
from tests.benchmarks.measure import Job
from tests.benchmarks.peers.outcome import Outcome
from tests.benchmarks.rows import ENGINE, FAILED, FEASIBLE, PROVEN_BEST, REFUSED, Row
from tests.benchmarks.run import ROOT, arguments, in_a_process, main, run

SMALL = ["--set", "fjsp", "--instances", "fattahi_sfjs01"]


@pytest.fixture(autouse=True)
def without_compiling(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PRESSDAY_COMPILE", "0")


def job(**more: Any) -> Job:
    fields: dict[str, Any] = {"solver": ENGINE, "seed": 1, "effort": "quick", "data": None}
    return Job(set_name="fjsp", instance="fattahi_sfjs01", **{**fields, **more})


def row_of(job: Job, **more: Any) -> Row:
    return Row(
        set_name=job.set_name,
        instance=job.instance,
        solver=job.solver,
        seed=job.seed,
        **{"status": FEASIBLE, **more},
    )


def test_a_row_in_a_process_of_its_own() -> None:
    row = in_a_process(job(), 60)
    assert (row.instance, row.solver, row.seed, row.effort) == ("fattahi_sfjs01", ENGINE, 1, "quick")
    assert row.status == PROVEN_BEST
    assert (row.value, row.best, row.ratio, row.proof) == (66, 66, 1.0, "yes")
    assert row.levels == row.bounds == {"left_over": 0, "finish": 66}
    assert row.checked is True
    assert row.moves == 2 * 400 * 4 * 4
    for measured in (row.first_plan_s, row.cpu_s, row.wall_s, row.moves_s):
        assert measured is not None
        assert measured > 0
    # Without memory figures on Windows.
    assert row.memory_mb is None or row.memory_mb > 10
    assert row.reached[-1][2] == [0, 66]


def test_a_process_that_falls_over_is_a_row_too() -> None:
    row = in_a_process(job(solver="nobody"), 60)
    assert row.status == FAILED
    assert row.note.startswith(
        "exit code 1: ModuleNotFoundError: No module named 'tests.benchmarks.peers.nobody'"
    )
    assert (row.best, row.value, row.ratio) == (66, None, None)
    late = in_a_process(job(), 0.01)
    assert (late.status, late.note) == (FAILED, "not done after 0 s")


def test_a_schedule_that_the_check_refuses_has_no_value(monkeypatch: pytest.MonkeyPatch) -> None:
    from dataclasses import replace

    from scheduler.engine.baseline import as_they_come

    entry = job().entry()
    right = as_they_come(entry.read())
    wrong = replace(right, tasks=(replace(right.tasks[0], end=right.tasks[0].end - 1), *right.tasks[1:]))
    for schedule, status in ((right, FEASIBLE), (wrong, REFUSED)):
        monkeypatch.setattr(measure, "_solved", lambda *_, plan=schedule: Outcome(schedule=plan))
        row = measure.measure(job(), entry)
        assert row.status == status
        assert (row.value is None) == (row.ratio is None) == (status == REFUSED)
        assert bool(row.note) == (status == REFUSED)


def test_rows_in_order_and_peers_with_the_engines_median_time(tmp_path: Path) -> None:
    words = ["--set", "fjsp", "--instances", "kacem_k1,fattahi_sfjs01", "--effort", "quick", "--seeds", "3"]
    given = arguments([*words, "--peers", "atcs,cpsat", "--json", str(tmp_path / "out.json")])
    asked: list[Job] = []

    def measured(job: Job, patience_s: float) -> Row:
        asked.append(job)
        return row_of(job, cpu_s=(1.0, 9.0, 2.0)[job.seed - 1])

    told: list[str] = []
    run(given, measured, told.append)
    engine, rule, solver = (ENGINE, 1, None), ("atcs", 1, 2.0), "cpsat"
    for_each = [engine, (ENGINE, 2, None), (ENGINE, 3, None), rule, *((solver, n, 2.0) for n in (1, 2, 3))]
    assert [(each.solver, each.seed, each.cpu_s) for each in asked] == for_each * 2
    assert [each.instance for each in asked] == ["kacem_k1"] * 7 + ["fattahi_sfjs01"] * 7
    head, kept = rows.read(given.json)
    assert (head["finished"], head["set"], head["seeds"], len(kept)) == (True, "fjsp", 3, 14)
    assert len(told) == 14


def test_rows_done_are_kept_when_it_is_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped_at_the_third(job: Job, patience_s: float) -> Row:
        if job.seed == 3:
            raise KeyboardInterrupt
        return row_of(job, cpu_s=1.0)

    monkeypatch.setattr("tests.benchmarks.run.in_a_process", stopped_at_the_third)
    before = signal.getsignal(signal.SIGTERM)
    out = tmp_path / "out.json"
    assert main([*SMALL, "--effort", "quick", "--json", str(out)]) == 130
    head, kept = rows.read(out)
    assert head["finished"] is False
    assert [row.seed for row in kept] == [1, 2]
    assert f"benchmarks: stopped; 2 rows are in {out}" in capsys.readouterr().err
    assert signal.getsignal(signal.SIGTERM) == before


@pytest.mark.skipif(sys.platform == "win32", reason="no signals between processes")
def test_ending_the_process_keeps_the_rows(tmp_path: Path) -> None:
    out = tmp_path / "out.json"
    command = [sys.executable, "-m", "tests.benchmarks.run", *SMALL, "--effort", "quick", "--seeds", "1000"]
    with subprocess.Popen(
        [*command, "--json", str(out)], cwd=ROOT, stdout=-3, stderr=subprocess.PIPE
    ) as started:
        for _ in range(600):
            if out.exists():
                break
            time.sleep(0.1)
        started.terminate()
        said = started.stderr.read().decode() if started.stderr else ""
    assert started.returncode == 130
    assert "Traceback" not in said
    head, kept = rows.read(out)
    assert head["finished"] is False
    assert kept[0].value == 66


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--effort", "quick", "--json", "OUT"], "the following arguments are required: --set"),
        ([*SMALL, "--json", "OUT"], "one of the arguments --effort --seconds --cpu-seconds is required"),
        (
            [*SMALL, "--effort", "quick", "--seconds", "2", "--json", "OUT"],
            "argument --seconds: not allowed with argument --effort",
        ),
        ([*SMALL, "--effort", "quick"], "the following arguments are required: --json"),
        ([*SMALL, "--seconds", "0", "--json", "OUT"], "--seconds 0: a number above 0 is needed"),
        ([*SMALL, "--cpu-seconds", "-1", "--json", "OUT"], "--cpu-seconds -1: a number above 0 is needed"),
        ([*SMALL, "--seconds", "nan", "--json", "OUT"], "--seconds nan: a number above 0 is needed"),
        ([*SMALL, "--seconds", "inf", "--json", "OUT"], "--seconds inf: a number above 0 is needed"),
        ([*SMALL, "--effort", "quick", "--seeds", "0", "--json", "OUT"], "--seeds 0: at least 1 is needed"),
        (
            [*SMALL, "--effort", "quick", "--peers", "atcs,magic", "--json", "OUT"],
            "no peer magic; peers are as_they_come, atcs, cpsat, pyjobshop",
        ),
        (
            ["--set", "fjsp", "--instances", "nobody", "--effort", "quick", "--json", "OUT"],
            "no instance nobody in the set; its names are like fattahi_sfjs01, ",
        ),
        (
            ["--set", "fjsp", "--instances", ",", "--effort", "quick", "--json", "OUT"],
            "--instances names none",
        ),
        (["--set", "tsp", "--effort", "quick", "--json", "OUT"], "'tsp' is no set; sets are wtsds, "),
        (
            ["--set", "wt", "--data", "nowhere", "--effort", "quick", "--json", "OUT"],
            "best_known.csv is not there; it lists the instances of the set wt",
        ),
        (
            [*SMALL, "--effort", "quick", "--json", "/"],
            "--json /: a file in a folder that is there is needed",
        ),
    ],
)
def test_bad_arguments_are_one_line(
    words: list[str], message: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main([str(tmp_path / "out.json") if word == "OUT" else word for word in words])
    assert ended.value.code == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert said.err.startswith("benchmarks: ")
    assert message in said.err
    assert not any(tmp_path.iterdir())


def test_the_nearest_good_arguments(tmp_path: Path) -> None:
    given = arguments(
        [*SMALL, "--seconds", "0.5", "--seeds", "1", "--peers", "--json", str(tmp_path / "out.json")]
    )
    assert (given.seconds, given.effort, given.seeds) == (0.5, None, 1)
    assert given.peers == ["as_they_come", "atcs", "cpsat", "pyjobshop"]
    assert [entry.name for entry in given.entries] == ["fattahi_sfjs01"]


def test_what_can_not_be_true_fails_the_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out.json"
    words = [*SMALL, "--effort", "quick", "--seeds", "1", "--json", str(out)]
    for value, code in ((66, 0), (65, 1)):
        monkeypatch.setattr(
            "tests.benchmarks.run.in_a_process",
            lambda job, patience_s, value=value: row_of(
                job, value=value, best=66, proof="yes", checked=True, ratio=value / 66, cpu_s=1.0
            ),
        )
        assert main(words) == code
    assert "fattahi_sfjs01, pressday: 65 is below the proven best 66" in capsys.readouterr().err
    assert json.loads(out.read_text(encoding="utf-8"))["finished"] is True
