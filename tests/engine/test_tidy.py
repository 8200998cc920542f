"""Splits and extra pressings that buy nothing are undone."""

from __future__ import annotations

from scheduler.domain.instance import Choice, Instance, Job, Machine, Mode, Task
from scheduler.domain.schedule import LevelValue
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import Line
from scheduler.engine.tidy import tidied, tidy


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


def test_what_the_exact_search_found_is_tidied_too():
    """Lots one after the other become one run; what was shown of the levels stays where it holds."""
    flattened = flatten(split_run(second_machine=False))
    lots = to_schedule(flattened, (1, 2), (1, 2))
    levels = (
        LevelValue(name="left_over", value=0, bound=0, proven=True),
        LevelValue(name="lateness", value=5, bound=3),
    )
    schedule, told = tidied(flattened, lots, levels, lambda: False)
    assert [done.task for done in schedule.tasks] == ["whole"]
    assert told == (levels[0], LevelValue(name="lateness", value=3, bound=3, proven=True))


def test_a_schedule_that_the_decoder_makes_dearer_stays():
    """Its own cost is less than that of its sequence decoded: nothing is gained by fewer runs."""
    flattened = flatten(split_run(second_machine=False))
    lots = to_schedule(flattened, (1, 2), (1, 2))
    cheaper = (
        LevelValue(name="left_over", value=0, bound=0, proven=True),
        LevelValue(name="lateness", value=2, bound=0),
    )
    assert tidied(flattened, lots, cheaper, lambda: False) == (lots, cheaper)
