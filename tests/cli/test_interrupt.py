"""Ctrl-C on a real terminal: the search stops, the best plan is kept and printed."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from tests.cli.conftest import DAY

pty = pytest.importorskip("pty", reason="needs a terminal of the Unix kind")


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
