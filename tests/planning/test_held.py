"""Printed starts hold: what came earlier for nothing goes back, what is needed earlier stays earlier."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.daybook.state import state_at
from scheduler.domain.disruptions import Disruptions
from scheduler.domain.instance import (
    LEVELS_AGAIN,
    Instance,
    Job,
    Machine,
    Mode,
    Operator,
    Printed,
    Shift,
    Task,
)
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import Schedule, ScheduledTask
from scheduler.engine.line import put_down_anew
from scheduler.engine.solve import solve
from scheduler.planning import assemble_plan
from scheduler.planning.build import build_day
from scheduler.planning.held import SPARE_MIN, held
from scheduler.planning.rest import plan_rest
from scheduler.verify import check
from scheduler.workflow.owner import Nobody
from scheduler.workflow.rest import search_rest
from tests.examples.test_examples import DAY, read, read_shop
from tests.planning.test_again import AT

HOUR = 600
"""Ticks of six seconds."""

SPARE = SPARE_MIN * 10


def task(name: str, work: int = HOUR, machine: str = "Press 1", job: str = "") -> Task:
    mode = Mode(id="way", machine=machine, operators=(("Ana", work),))
    return Task(id=name, job=job or name, modes=(mode,), release=8 * HOUR if name == "last" else 0)


def at(name: str, start: int, work: int = HOUR) -> ScheduledTask:
    return ScheduledTask(
        task=name, mode="way", operator="Ana", setup_start=start, start=start, end=start + work
    )


def rest(tasks: tuple[Task, ...], printed: tuple[ScheduledTask, ...], due: dict[str, int]) -> Instance:
    """One person at two presses, from tick 0 to the 12th hour, paid for ten."""
    order: dict[str, str] = {}
    places = []
    machine_of = {one.id: one.modes[0].machine for one in tasks}
    for done in sorted(printed, key=lambda done: done.start):
        machine = machine_of[done.task]
        places.append(
            Printed(
                task=done.task,
                machine=machine,
                operator="Ana",
                before=order.get(machine),
                start=done.start,
            )
        )
        order[machine] = done.task
    return Instance(
        name="rest",
        horizon=12 * HOUR,
        machines=(Machine(id="Press 1"), Machine(id="Press 2")),
        operators=(Operator(id="Ana", shifts=(Shift(start=0, end=10 * HOUR, overtime_end=12 * HOUR),)),),
        jobs=tuple(Job(id=job, due=due.get(job)) for job in dict.fromkeys(one.job for one in tasks)),
        tasks=tasks,
        levels=LEVELS_AGAIN,
        printed=tuple(places),
    )


def starts(instance: Instance, printed: tuple[ScheduledTask, ...], found: Schedule) -> dict[str, int]:
    before = check(instance, found)
    assert before.passed, before.breaks
    schedule = held(instance, Schedule(tasks=printed), found, put_down_anew, check)
    after = check(instance, schedule)
    assert after.passed and after.values == before.values
    return {done.task: done.start for done in schedule.tasks}


LAST = at("last", 8 * HOUR)
"""Keeps the end of the day where it is."""


def test_a_run_that_slid_forward_for_nothing_goes_back() -> None:
    printed = (at("b", 2 * HOUR), at("c", 3 * HOUR), LAST)
    instance = rest((task("b"), task("c"), task("last")), printed, {})
    found = Schedule(tasks=(at("b", 0), at("c", HOUR), LAST))
    assert starts(instance, printed, found) == {"b": 2 * HOUR, "c": 3 * HOUR, "last": 8 * HOUR}


@pytest.mark.parametrize(
    ("spare", "back"), [(SPARE, True), (SPARE - 1, False), (0, False)], ids=["enough", "tight", "none"]
)
def test_a_new_order_behind_it_may_wait_as_long_as_it_is_not_tight(spare: int, back: bool) -> None:
    """Put back, the run ends at 3 h and the new one at 4 h."""
    printed = (at("b", 2 * HOUR), LAST)
    instance = rest((task("b"), task("new"), task("last")), printed, {"new": 4 * HOUR + spare})
    found = Schedule(tasks=(at("b", 0), at("new", HOUR), LAST))
    assert starts(instance, printed, found)["b"] == (2 * HOUR if back else 0)


@pytest.mark.parametrize(("spare", "back"), [(SPARE, True), (SPARE - 1, False)], ids=["enough", "tight"])
def test_a_run_of_an_order_that_was_tight_stays_earlier(spare: int, back: bool) -> None:
    printed = (at("b", 2 * HOUR), LAST)
    instance = rest((task("b"), task("last")), printed, {"b": 3 * HOUR + spare})
    found = Schedule(tasks=(at("b", 0), LAST))
    assert starts(instance, printed, found)["b"] == (2 * HOUR if back else 0)


def test_no_printed_run_starts_later_for_it_not_even_by_seconds() -> None:
    """Behind `b` comes a new run of half an hour, then a printed one: half an hour too little for all."""
    printed = (at("b", 2 * HOUR), at("c", 3 * HOUR), LAST)
    tasks = (task("b"), task("new", 5), task("c"), task("last"))
    instance = rest(tasks, printed, {})
    found = Schedule(tasks=(at("b", 0), at("new", HOUR, 5), at("c", 3 * HOUR), LAST))
    assert starts(instance, printed, found)["b"] == 0
    early = replace(found, tasks=(at("b", 0), at("new", HOUR, 5), at("c", HOUR + 5), LAST))
    assert starts(instance, printed, early) == {"b": 0, "new": HOUR, "c": 3 * HOUR, "last": 8 * HOUR}


def test_the_end_of_the_day_and_overtime_are_not_given_up_for_it() -> None:
    printed = (at("b", 2 * HOUR), at("c", 10 * HOUR))
    instance = rest((task("b"), task("c")), printed, {})
    found = Schedule(tasks=(at("b", 0), at("c", HOUR)))
    assert starts(instance, printed, found) == {"b": 0, "c": HOUR}


def test_a_run_at_another_press_stays_where_the_search_put_it() -> None:
    printed = (at("b", 2 * HOUR), LAST)
    other = Mode(id="other", machine="Press 2", operators=(("Ana", HOUR),))
    two = replace(task("b"), modes=(*task("b").modes, other))
    instance = rest((two, task("last")), printed, {})
    found = Schedule(tasks=(replace(at("b", 0), mode="other"), LAST))
    assert starts(instance, printed, found)["b"] == 0


def test_one_that_must_stay_earlier_keeps_no_other_from_going_back() -> None:
    """`c` is of a tight order; `b` before it ends at 3 h when it is put back, just when `c` begins."""
    printed = (at("b", 2 * HOUR), at("c", 4 * HOUR), LAST)
    instance = rest((task("b"), task("c"), task("last")), printed, {"c": 5 * HOUR})
    found = Schedule(tasks=(at("b", 0), at("c", 3 * HOUR), LAST))
    assert starts(instance, printed, found) == {"b": 2 * HOUR, "c": 3 * HOUR, "last": 8 * HOUR}


@pytest.mark.parametrize(
    ("x", "y", "taken"),
    [
        (3 * HOUR, 5 * HOUR, True),
        (2 * HOUR, 5 * HOUR, False),
        (3 * HOUR, 4 * HOUR, False),
        (6 * HOUR, 5 * HOUR, False),
    ],
    ids=["as it was", "two at once", "something earlier", "another order"],
)
def test_nothing_else_is_changed_for_it_and_no_rule_is_broken(x: int, y: int, taken: bool) -> None:
    """Whatever the decoder makes of it: `x` and `y`, which are on no sheet, were at 2 h and 5 h."""
    printed = (at("b", 2 * HOUR), LAST)
    tasks = (task("b"), task("x", machine="Press 2"), task("y", machine="Press 2"), task("last"))
    instance = rest(tasks, printed, {})
    found = Schedule(tasks=(at("b", 0), at("x", 2 * HOUR), at("y", 5 * HOUR), LAST))
    made = Schedule(tasks=(at("b", 2 * HOUR), at("x", x), at("y", y), LAST))
    schedule = held(instance, Schedule(tasks=printed), found, lambda _, __: made, check)
    assert schedule == (made if taken else found)


def test_a_plan_without_anything_earlier_is_left_as_it_is() -> None:
    printed = (at("b", 2 * HOUR), LAST)
    instance = rest((task("b"), task("last")), printed, {})
    found = Schedule(tasks=(at("b", 3 * HOUR), LAST))
    assert held(instance, Schedule(tasks=printed), found, put_down_anew, check) is found


def early(schedule: Schedule, printed: Plan) -> list[str]:
    was = {done.task: done for done in printed.schedule.tasks}
    return [
        done.task
        for done in schedule.tasks
        if done.task in was
        and (done.mode, done.operator) == (was[done.task].mode, was[done.task].operator)
        and done.start < was[done.task].start
    ]


def test_what_stood_behind_a_cancelled_order_keeps_its_printed_time() -> None:
    """The same day: the search alone pulls seven runs forward, of which nobody has anything."""
    problem = build_day(read_shop(), read("orders.xlsx"), DAY)
    result = solve(problem.instance, effort="quick", seconds=0.0)
    assert result.schedule is not None
    printed = assemble_plan(problem, result, check(problem.instance, result.schedule), ())
    rest = plan_rest(printed, (), state_at(printed, (), AT), between=Disruptions(cancelled=("4118",)))
    alone = solve(rest.instance, effort="quick", seconds=0.0, near=rest.kept)
    assert alone.schedule is not None and early(alone.schedule, printed)
    answer = search_rest(rest, effort="quick", seconds=0.0, seed=1, owner=Nobody())
    assert answer.verdict.passed and answer.result.schedule is not None
    assert early(answer.result.schedule, printed) == []
    assert {one.name: one.value for one in answer.result.levels} == answer.verdict.values
