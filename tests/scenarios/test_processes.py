"""Calls in processes of their own: every result, what is lost, what is raised, and that nothing is left."""

from __future__ import annotations

import multiprocessing
import signal
from multiprocessing.context import SpawnProcess

import pytest

from scheduler.scenarios.processes import Lost, made_apart
from tests.support.calls import asleep_after_the_first, killed_at_three, squared, told_to_stop


@pytest.mark.parametrize("at_a_time", [1, 2, 5])
def test_each_item_has_its_result(at_a_time: int) -> None:
    found = dict(made_apart(squared, [4, 0, 7], at_a_time=at_a_time))
    assert found == {0: 16, 1: 0, 2: 49}
    assert list(made_apart(squared, [], at_a_time=at_a_time)) == []


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs signals of the Unix kind")
def test_a_process_that_is_killed_loses_its_item_alone() -> None:
    found = dict(made_apart(killed_at_three, range(6), at_a_time=2))
    lost = found.pop(3)
    assert lost == Lost(f"its process ended with code -{signal.SIGKILL:d}")
    assert found == {number: number for number in (0, 1, 2, 4, 5)}


def test_what_is_raised_there_is_raised_here_with_its_place() -> None:
    with pytest.raises(ValueError, match="-1 is below 0") as raised:
        dict(made_apart(squared, [2, -1], at_a_time=1))
    assert "in squared" in raised.value.__notes__[0]
    assert multiprocessing.active_children() == []


def test_processes_do_not_hear_ctrl_c() -> None:
    assert dict(made_apart(told_to_stop, [1, 2], at_a_time=2)) == {0: 1, 1: 2}


def test_an_interrupt_while_a_process_is_started_waits_until_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half started it could not be ended, and would complain. Another thread may have got the signal."""
    started = SpawnProcess.start
    there: list[SpawnProcess] = []

    def interrupted(process: SpawnProcess) -> None:
        handler = signal.getsignal(signal.SIGINT)
        assert callable(handler)
        handler(signal.SIGINT, None)
        started(process)
        there.append(process)

    monkeypatch.setattr(SpawnProcess, "start", interrupted)
    with pytest.raises(KeyboardInterrupt):
        list(made_apart(squared, [1, 2, 3], at_a_time=2))
    assert len(there) == 1 and there[0].exitcode not in (None, 0)
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_who_ends_early_leaves_no_process() -> None:
    results = made_apart(asleep_after_the_first, [0, 1, 2], at_a_time=2)
    next(results)
    assert len(multiprocessing.active_children()) == 2
    results.close()
    assert multiprocessing.active_children() == []
