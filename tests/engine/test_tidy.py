"""Splits and extra pressings that buy nothing are undone."""

from __future__ import annotations

from scheduler.domain.instance import Choice, Instance, Job, Machine, Mode, Task
from scheduler.engine.flat import flatten
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import Line
from scheduler.engine.tidy import tidy


def split_run(second_machine: bool) -> Instance:
    """A run of 10 ticks, or two lots of 6; one machine or two; due at 7."""
    machines = (Machine(id="a"), Machine(id="b")) if second_machine else (Machine(id="a"),)

    def modes(work: int) -> tuple[Mode, ...]:
        return tuple(Mode(id=m.id, machine=m.id, work=work) for m in machines)

    return Instance(
        name="split",
        horizon=100,
        machines=machines,
        jobs=(Job(id="j", due=7),),
        tasks=(
            Task(id="whole", job="j", bundles=("1", "2"), modes=modes(10)),
            Task(id="lot 1", job="j", bundles=("1",), modes=modes(6)),
            Task(id="lot 2", job="j", bundles=("2",), modes=modes(6)),
        ),
        choices=(Choice(id="c", options=(("whole",), ("lot 1", "lot 2"))),),
        levels=("left_over", "lateness"),
    )


def test_lots_one_after_the_other_become_one_run():
    """Two lots end at 12, 5 late; the whole run ends at 10, 3 late."""
    flattened = flatten(split_run(second_machine=False))
    line = Line((1, 2), (1, 2))
    assert line_cost(flattened, line) == (0, 5)
    assert tidy(flattened, line, (0, 5), lambda: False) == (Line((0,), (0,)), (0, 3))
    assert tidy(flattened, line, (0, 5), lambda: True) == (line, (0, 5))


def test_lots_side_by_side_that_save_lateness_stay():
    """Side by side both lots end at 6, in time; the whole run would be 3 late."""
    flattened = flatten(split_run(second_machine=True))
    line = Line((1, 2), (2, 5))
    assert line_cost(flattened, line) == (0, 0)
    assert tidy(flattened, line, (0, 0), lambda: False) == (line, (0, 0))
