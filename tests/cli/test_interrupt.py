"""Ctrl-C on a real terminal: the search stops, the best plan is kept and printed."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from tests.support.commands import DAY

pty = pytest.importorskip("pty", reason="needs a terminal of the Unix kind")

PROVING = """
import os, signal, threading
from ortools.sat.python import cp_model
from scheduler.workflow.watched import watched as shown_search
from scheduler.engine.cpsat.solver import settings, watched

def search(*, progress, stop):
    model = cp_model.CpModel()
    holes, birds = range(40), range(41)
    placed = {(b, h): model.new_bool_var(f"{b} {h}") for b in birds for h in holes}
    for b in birds:
        model.add_bool_or([placed[b, h] for h in holes])
    for h in holes:
        for b in birds:
            for other in range(b):
                model.add_bool_or([placed[b, h].negated(), placed[other, h].negated()])
    solver = settings(1, 1, 600.0)
    solver.parameters.cp_model_presolve = False
    solver.parameters.linearization_level = 0
    threading.Timer(0.5, os.kill, (os.getpid(), signal.SIGINT)).start()
    with watched(solver, stop):
        return solver.status_name(solver.solve(model))

class Quiet:
    def draw(self, state, stopping):
        pass

print(shown_search(search, Quiet()))
try:
    signal.raise_signal(signal.SIGINT)
except KeyboardInterrupt:
    print("Ctrl-C as before")
"""
"""Forty-one birds into forty holes, one in each: without presolve and relaxation, clauses alone take ages."""


def test_interrupt_while_the_model_is_solved_stops_it_and_nothing_else() -> None:
    """The solver handles Ctrl-C by itself unless told not to, and then the process ends with its plan."""
    call = [sys.executable, "-c", PROVING]
    root = Path(__file__).parents[2]
    done = subprocess.run(call, capture_output=True, text=True, cwd=root, timeout=120, check=False)
    assert (done.returncode, done.stdout) == (0, "UNKNOWN\nCtrl-C as before\n"), done.stderr


def test_interrupt_keeps_the_best_plan(shop: Path) -> None:
    """The thorough search of a day takes minutes in plain Python: it is stopped in its first seconds."""
    outside, inside = pty.openpty()
    words = ["plan", str(shop / "orders.xlsx"), "--day", DAY, "--effort", "thorough"]
    process = subprocess.Popen(
        [sys.executable, "-m", "scheduler", *words],
        stdout=subprocess.PIPE,
        stderr=inside,
        text=True,
        encoding="utf-8",
        cwd=Path(__file__).parents[2],
    )
    os.close(inside)
    shown = b""
    asked = False
    giving_up = threading.Timer(120, process.kill)
    giving_up.start()
    try:
        while True:
            try:
                read = os.read(outside, 4096)
            except OSError:  # the terminal's other end is closed
                break
            if not read:
                break
            shown += read
            if b"changeovers" in shown and not asked:
                asked = True
                process.send_signal(signal.SIGINT)
        out, _ = process.communicate()
    finally:
        giving_up.cancel()
        os.close(outside)
    words_shown = shown.decode()
    assert asked, words_shown
    assert "Ctrl-C stops and keeps the best plan so far." in words_shown
    assert process.returncode == 0, words_shown
    assert "The search was stopped early" in out
    assert "The independent check passed." in out
    assert (shop / "plans" / DAY / "run-sheets.pdf").is_file()


@pytest.mark.parametrize("times", [1, 2])
@pytest.mark.parametrize("after_s", [0.0, 0.2, 2.0])
def test_interrupt_of_all_processes_of_a_comparison(shop: Path, after_s: float, times: int) -> None:
    """A terminal sends Ctrl-C to the whole group: also to processes that are only being loaded."""
    (shop / "changes.csv").write_text(
        "Change,Price,Cost a day,Sheet,Row,Column,New value\ncover,150,,Presses,Press 1,Platen cover,yes\n",
        encoding="utf-8",
    )
    words = ["compare", str(shop / "orders.xlsx"), "--changes", str(shop / "changes.csv"), "--day", DAY]
    process = subprocess.Popen(
        [sys.executable, "-m", "scheduler", *words, "--effort", "thorough", "--workers", "2"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        cwd=Path(__file__).parents[2],
        start_new_session=True,
    )
    giving_up = threading.Timer(120, os.killpg, (process.pid, signal.SIGKILL))
    giving_up.start()
    try:
        assert process.stderr is not None
        for line in process.stderr:
            if "plans to make; Ctrl-C keeps what is finished." in line:
                break
        time.sleep(after_s)
        for _ in range(times):
            os.killpg(process.pid, signal.SIGINT)
            time.sleep(0.03)
        out, err = process.communicate()
        assert process.returncode in (0, 3), err
        assert any(words in out + err for words in ("told to stop (Ctrl-C)", "Stopped; nothing was written."))
        broken = ("Traceback", "Warning", "ignored", "KeyboardInterrupt")
        assert not any(word in out + err for word in broken), err
        while _any_left(process.pid):  # else it is given up
            time.sleep(0.05)
    finally:
        giving_up.cancel()


def _any_left(group: int) -> bool:
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return False
    return True
