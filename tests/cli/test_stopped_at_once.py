"""Ctrl-C before a command is at its work: one plain line, and the exit code that shells know."""

from __future__ import annotations

import signal
import sys
import time
import tomllib
import weakref
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
import typer

from scheduler import __main__ as begin
from scheduler.cli import main

ROOT = Path(__file__).parents[2]
LINE = "Stopped before anything was done.\n"


@pytest.fixture(autouse=True)
def heard() -> Iterator[None]:
    """A process that is at its end hears no Ctrl-C any more; this one goes on."""
    before, hook = signal.getsignal(signal.SIGINT), sys.unraisablehook
    yield
    signal.signal(signal.SIGINT, before)
    sys.unraisablehook = hook


def ended(capsys: pytest.CaptureFixture[str]) -> tuple[object, str]:
    with pytest.raises(SystemExit) as raised:
        begin.run()
    assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    captured = capsys.readouterr()
    assert captured.out == ""
    return raised.value.code, captured.err


def test_while_the_command_line_is_read(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    app = typer.Typer()

    @app.command()
    def interrupted() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(main, "app", app)
    monkeypatch.setattr(sys, "argv", ["pressday"])
    assert ended(capsys) == (130, LINE)


def test_while_the_program_is_loaded(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class Interrupted(ModuleType):
        def __getattr__(self, name: str) -> object:
            raise KeyboardInterrupt

    monkeypatch.setitem(sys.modules, "scheduler.cli.main", Interrupted("scheduler.cli.main"))
    assert ended(capsys) == (130, LINE)


def test_every_other_end_stays_as_it_is(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["pressday", "--version"])
    with pytest.raises(SystemExit) as raised:
        begin.run()
    assert raised.value.code == 0
    assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    assert "Stopped" not in capsys.readouterr().err


def test_the_installed_command_begins_there() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["project"]["scripts"]["pressday"] == "scheduler.__main__:run"
    assert "130 stopped by Ctrl-C" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_an_interrupt_where_nothing_can_be_raised_strikes_again(monkeypatch, capsys):
    """Python prints and forgets what a weak reference's callback raises."""

    class Gone:
        pass

    def struck(_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(sys, "unraisablehook", begin.heard_again)
    gone = Gone()
    kept = weakref.ref(gone, struck)
    with pytest.raises(KeyboardInterrupt):
        del gone
        time.sleep(10)
    assert kept() is None
    assert capsys.readouterr().err == ""
