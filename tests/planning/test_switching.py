"""Who switches a press on."""

from __future__ import annotations

import pytest

from scheduler.domain.instance import Instance, Mode, Operator, Shift, Task
from scheduler.domain.schedule import ScheduledTask
from scheduler.planning.switching import who_switches_on
from scheduler.planning.trail import Step

# Ticks of 6 s; everybody is there from 100 to 1000, overtime until 1100, with a break from 500 to 550.
SHIFT = Shift(start=100, end=1000, overtime_end=1100, breaks=((500, 550),))


def run(operator: str, start: int, end: int) -> Step:
    mode = Mode(id="m", machine="Main", operators=((operator, end - start),))
    name = f"{operator} {start}"
    return Step(
        task=Task(id=name, job="1", modes=(mode,)),
        mode=mode,
        machine=mode.machine,
        done=ScheduledTask(
            task=name, mode="m", operator=operator, setup_start=start, start=start + 5, end=end
        ),
        previous=None,
        cold=True,
        changes=(),
    )


def who(tick: int, *others: Step, first: str = "Cleo", shifts: dict[str, Shift] | None = None) -> str:
    """Ann, Bo and Cleo; the press's first run begins at 900 and is by `first`."""
    people = dict.fromkeys(("Cleo", "Bo", "Ann"), SHIFT) | (shifts or {})
    instance = Instance(
        name="day",
        horizon=2000,
        machines=(),
        operators=tuple(Operator(id=name, shifts=(shift,)) for name, shift in people.items()),
        jobs=(),
        tasks=(),
    )
    step = run(first, 900, 950)
    return who_switches_on(instance, (*others, step), step, tick)


def test_the_operator_of_the_first_run_when_idle() -> None:
    assert who(200) == "Cleo"
    assert who(200, first="Bo") == "Bo"


def test_another_who_is_idle_by_name() -> None:
    assert who(200, run("Cleo", 150, 300)) == "Ann"
    assert who(200, run("Cleo", 150, 300), run("Ann", 150, 300)) == "Bo"
    # Half-open: whose run ends at that moment is free, whose set-up begins is not.
    assert who(200, run("Cleo", 150, 200)) == "Cleo"
    assert who(200, run("Cleo", 200, 300)) == "Ann"


def test_nobody_on_a_break_where_somebody_is_not() -> None:
    early = Shift(start=100, end=1000, overtime_end=1000)
    assert who(520, shifts={"Bo": early}) == "Bo"
    assert who(549, run("Bo", 400, 600), shifts={"Bo": early}) == "Cleo"
    assert who(550, shifts={"Bo": early}) == "Cleo"


@pytest.mark.parametrize(("end", "by"), [(210, "Bo"), (211, "Cleo")])
def test_between_runs_within_a_minute(end: int, by: str) -> None:
    """All are at runs; Bo's ends a minute (10 ticks) later, or a little more."""
    busy = (run("Cleo", 150, 300), run("Ann", 150, 300), run("Bo", 150, end), run("Bo", end, 400))
    assert who(200, *busy) == by
    # Or it has just begun.
    begun = (run("Cleo", 150, 300), run("Ann", 400 - end, 300), run("Bo", 150, 300))
    assert who(200, *begun) == ("Ann" if end == 210 else "Cleo")


def test_anybody_present_at_last() -> None:
    later = Shift(start=300, end=1000, overtime_end=1000)
    busy = (run("Cleo", 350, 450), run("Ann", 150, 280), run("Bo", 150, 280))
    assert who(200, *busy, shifts={"Cleo": later}) == "Ann"
    assert who(520, first="Bo") == "Bo"


def test_nobody_there() -> None:
    assert who(50) == ""
    assert who(1050) == ""
    # Somebody works overtime.
    assert who(1050, run("Bo", 960, 1080)) == "Bo"
