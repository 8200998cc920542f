"""Solving level by level: known optima, the check on random days, the same answer twice."""

from __future__ import annotations

import threading
import time
from dataclasses import replace

import pytest

from scheduler.domain.instance import Instance, Platen
from scheduler.domain.schedule import LevelValue, Schedule, ScheduledTask, WarmUp
from scheduler.engine.cpsat.assign import read_schedule, values_for
from scheduler.engine.cpsat.build import build
from scheduler.engine.cpsat.cover import changeover_bound
from scheduler.engine.cpsat.levels import completed
from scheduler.engine.cpsat.solve import accepts, improve, window
from scheduler.engine.cpsat.values import values_of, vector
from scheduler.engine.cpsat.wrappers import Scope
from scheduler.verify.check import check
from tests.engine.cpsat.shops import (
    ARTWORK,
    HEAT,
    PLATEN,
    SetupPart,
    SetupTable,
    crew,
    job,
    mode,
    press,
    shift,
    shop,
    task,
)
from tests.engine.cpsat.starts import nothing_done
from tests.support.random_days import random_day


def solved(day: Instance, limit: float = 10.0) -> tuple[Schedule, dict[str, int]]:
    """The best schedule from nothing, all levels proven and the check passed."""
    schedule, levels = improve(day, nothing_done(day), deterministic_limit=limit, seed=1)
    verdict = check(day, schedule)
    assert verdict.passed, verdict.breaks
    assert all(level.proven for level in levels), levels
    assert [level.value for level in levels] == [verdict.values[level] for level in day.levels]
    return schedule, {level.name: level.value for level in levels}


def test_overtime_is_used_against_lateness_only() -> None:
    # Due at 20; the shift ends at 15, the break takes [10, 13). 12 of work from 0 ends at 15, the second
    # 5 in overtime at 20. Without the due date it still beats being left over.
    day = shop(
        task("a", mode(12, by="ann"), job="j"),
        task("b", mode(5, by="ann"), job="j"),
        operators=crew(ann=[shift(0, 15, (10, 13), overtime=8), shift(40, 60)]),
        jobs=[job("j", due=20)],
    )
    assert solved(day)[1] == {
        "left_over": 0,
        "lateness": 0,
        "changeover": 0,
        "changeovers": 0,
        "overtime": 5,
        "finish": 20,
    }
    later = replace(day, jobs=(job("j", due=50),))
    assert solved(later)[1]["overtime"] == 0


def test_overtime_leaves_out_a_break_after_hours() -> None:
    # 3 of work from 13: 2 up to 15 in hours, break [15, 17) just there, 1 after it.
    day = shop(
        task("a", mode(3, by="ann"), release=13),
        operators=crew(ann=[shift(0, 15, (15, 17), overtime=8)]),
    )
    _, values = solved(day)
    assert (values["overtime"], values["finish"]) == (1, 18)


def test_a_platen_that_is_shared_is_swapped_and_one_that_is_not_is_kept() -> None:
    # m1 does a and c with K, m2 does b with K; b is due at 12. One K: b gets it after a (ends 8), so b
    # ends 16, 4 late; or b first (ends 8) and nothing is late. a then mounts at 8 and c keeps it: 3 + 3.
    modes = {name: mode(5, "m2" if name == "b" else "m1", platen="K", state=(0,)) for name in "abc"}
    tasks = tuple(task(name, modes[name]) for name in "abc")
    jobs = [job("a"), job("b", due=12), job("c")]
    one = shop(*tasks, parts=(PLATEN,), platens=[Platen(id="K", count=1)], jobs=jobs)
    values = solved(one)[1]
    assert (values["lateness"], values["changeover"], values["finish"]) == (0, 6, 21)
    two = replace(one, platens=(Platen(id="K", count=2),))
    values = solved(two)[1]
    assert (values["lateness"], values["changeover"], values["finish"]) == (0, 6, 13)


def test_a_platen_mounted_the_evening_before_is_free_to_keep() -> None:
    machines = [press(parts=1, mounted="K", initial=(0,))]
    kinds = [Platen(id="K", count=1), Platen(id="L", count=1)]
    tasks = (task("l", mode(5, platen="L", state=(1,))), task("k", mode(5, platen="K", state=(0,))))
    day = shop(*tasks, parts=(PLATEN,), platens=kinds, machines=machines)
    schedule, values = solved(day)
    # K first: only L is mounted (3). L first would mount both.
    assert values["changeover"] == 3
    assert [run.task for run in schedule.tasks] == ["k", "l"]


def test_heat_and_hands_run_side_by_side() -> None:
    # From value 0 to 1: 6 without hands, 1 by hand meanwhile: 6. Starting with 1 costs 9 the other way.
    tasks = tuple(task(name, mode(5, state=(at, at))) for at, name in enumerate("ab"))
    schedule, values = solved(shop(*tasks, parts=(HEAT, ARTWORK)))
    assert values["changeover"] == 1 + 6
    assert [run.task for run in schedule.tasks] == ["a", "b"]


def weighted_tardiness(
    work: list[int], due: list[int], weight: list[int], setups: list[list[int]] | None = None
) -> Instance:
    """One press; setups[i] from job i, its last row before the first job; all by hand."""
    count = len(work)
    rows = setups or [[0] * count] * (count + 1)
    table = SetupTable(from_none=tuple(rows[-1]), ticks=tuple(tuple(row) for row in rows[:-1]))
    return shop(
        *(task(f"{at + 1}", mode(work[at], state=(at,))) for at in range(count)),
        parts=(SetupPart(name="family", tables=(table,)),),
        jobs=[job(f"{at + 1}", due=due[at], weight=weight[at]) for at in range(count)],
        horizon=sum(work) + sum(max(row) for row in rows),
        levels=("left_over", "lateness", "changeover"),
    )


def test_published_weighted_tardiness() -> None:
    # Pinedo, Scheduling, 4th ed., exercise 3.6.3; the optimum by enumeration (the book prints 64).
    schedule, values = solved(weighted_tardiness([12, 8, 15, 9], [16, 26, 25, 27], [4, 5, 3, 5]))
    assert values["lateness"] == 67
    assert [run.task for run in schedule.tasks] == ["1", "2", "4", "3"]


def test_published_tardiness_with_setups() -> None:
    # The example of the ATCS rule (Pinedo, chapter on general-purpose procedures), from memory,
    # optimum enumerated over the 24 sequences.
    rows = [[0, 4, 1, 3], [0, 0, 1, 0], [1, 2, 0, 3], [4, 3, 1, 0], [1, 1, 3, 4]]
    schedule, values = solved(weighted_tardiness([13, 9, 13, 10], [12, 37, 21, 22], [2, 4, 2, 5], rows))
    assert values["lateness"] == 98
    assert [run.task for run in schedule.tasks] == ["2", "4", "3", "1"]


FAMILIES = {"AB": 10, "BA": 15, "AC": 5, "CA": 5, "BC": 8, "CB": 12}


def family_day(levels: tuple[str, ...]) -> Instance:
    """Six jobs in families A A B B C C on one press; the optima are enumerated over all 720 sequences."""
    rows = [[FAMILIES.get(a + b, 0) for b in "AABBCC"] for a in "AABBCC"] + [[0] * 6]
    day = weighted_tardiness([20, 30, 25, 15, 40, 10], [60, 90, 70, 130, 160, 150], [1, 2, 1, 3, 1, 2], rows)
    return replace(day, levels=levels)  # type: ignore[arg-type]


def test_lateness_before_changeover_and_the_other_way_round() -> None:
    late_first = solved(family_day(("left_over", "lateness", "changeover", "finish")))[1]
    assert late_first == {"left_over": 0, "lateness": 13, "changeover": 33, "finish": 173}
    change_first = solved(family_day(("left_over", "changeover", "lateness")))[1]
    assert change_first == {"left_over": 0, "changeover": 13, "lateness": 179}
    assert changeover_bound(family_day(("left_over", "changeover")), 5.0) == 13


@pytest.mark.parametrize("seed", range(8))
def test_random_days_pass_the_check_and_are_never_worse(seed: int) -> None:
    day = random_day(seed, tasks=6)
    start = nothing_done(day)
    schedule, levels = improve(day, start, deterministic_limit=0.4, seed=seed)
    verdict = check(day, schedule)
    assert verdict.passed, verdict.breaks
    assert tuple(level.value for level in levels) == tuple(verdict.values[name] for name in day.levels)
    assert vector(day, schedule) < vector(day, start)
    assert accepts(day, schedule)


def test_the_same_arguments_give_the_same_schedule() -> None:
    day = random_day(3, tasks=8)
    answers = [improve(day, nothing_done(day), deterministic_limit=0.1, seed=7) for _ in range(2)]
    assert answers[0] == answers[1]


def test_bounds_known_already_end_a_level_at_once() -> None:
    day = random_day(2, tasks=6)
    best, values = solved(day)
    done = [LevelValue(name=level, value=values[level], bound=values[level]) for level in day.levels]
    again, levels = improve(day, best, levels_done=done, deterministic_limit=0.001, seed=1)
    assert again == best
    assert all(level.proven for level in levels)
    # Without them so little effort shows nothing of the changeovers.
    levels = improve(day, best, deterministic_limit=0.001, seed=1)[1]
    assert not all(level.proven for level in levels)


def test_a_bound_stated_of_another_plan_is_not_believed() -> None:
    day = random_day(2, tasks=6)
    best, values = solved(day)
    assert values["changeover"] > 0
    other = {**values, "changeover": values["changeover"] - 1, "changeovers": 99}
    wrong = [LevelValue(name=level, value=other[level]) for level in day.levels[:3]]
    wrong.append(LevelValue(name="changeovers", value=99, bound=99))
    levels = improve(day, best, levels_done=wrong, deterministic_limit=5.0, seed=1)[1]
    assert {level.name: level.bound for level in levels}["changeovers"] == values["changeovers"]


def test_a_start_that_breaks_a_rule_comes_back_as_it_is(
    caplog: pytest.LogCaptureFixture, engine_errors: list[str]
) -> None:
    day = shop(task("a", mode(5), release=10))
    good = improve(day, nothing_done(day), deterministic_limit=1.0, seed=1)[0]
    early = replace(good, tasks=(replace(good.tasks[0], setup_start=0, start=0, end=5),))
    assert improve(day, early, deterministic_limit=1.0, seed=1)[0] == early
    assert "refuses" in caplog.text
    assert engine_errors == ["bound 15 of level finish is above the plan's 5"]
    engine_errors.clear()


def test_stop_ends_the_search_with_the_best_so_far() -> None:
    day = random_day(1, tasks=24, machines=4, operators=3)
    asked = threading.Event()
    begun = time.monotonic()

    def stop() -> bool:
        asked.set()
        return time.monotonic() - begun > 0.5

    schedule = improve(day, nothing_done(day), deterministic_limit=1e6, seed=1, stop=stop)[0]
    assert asked.is_set()
    assert check(day, schedule).passed


def test_every_solution_told_is_a_better_schedule() -> None:
    day = random_day(5, tasks=8)
    told: list[Schedule] = []
    best, _ = improve(day, nothing_done(day), deterministic_limit=1.0, seed=1, on_solution=told.append)
    assert told
    assert all(check(day, schedule).passed for schedule in told)
    assert vector(day, best) <= min(vector(day, schedule) for schedule in told)


@pytest.mark.parametrize("seed", range(4))
def test_window_keeps_what_is_not_free(seed: int) -> None:
    day = random_day(seed, tasks=10, machines=3, operators=3)
    start = improve(day, nothing_done(day), deterministic_limit=0.1, seed=1)[0]
    free = [run.task for run in start.tasks[1:5]]
    after = window(day, start, free, deterministic_limit=0.2, seed=1, near=20)
    verdict = check(day, after)
    assert verdict.passed, verdict.breaks
    assert verdict.values == values_of(day, after)
    assert vector(day, after) <= vector(day, start)
    loose = {
        task
        for choice in day.choices
        if (members := {task for option in choice.options for task in option}) & set(free)
        for task in members
    } | set(free)
    assert _kept(day, start, loose) == _kept(day, after, loose)


def _kept(
    day: Instance, schedule: Schedule, loose: set[str]
) -> dict[tuple[str, str | None], list[tuple[str, str, str | None]]]:
    """By machine and by operator: the tasks that were not free, in order, and how they are done."""
    machines = {(task.id, mode.id): mode.machine for task in day.tasks for mode in task.modes}
    rows: dict[tuple[str, str | None], list[tuple[str, str, str | None]]] = {}
    for run in sorted(schedule.tasks, key=lambda run: (run.start, run.end, run.setup_start)):
        if run.task not in loose:
            way = (run.task, run.mode, run.operator)
            rows.setdefault(("machine", machines[run.task, run.mode]), []).append(way)
            if run.operator is not None:
                rows.setdefault(("operator", run.operator), []).append(way)
    return rows


def test_window_with_everything_free_finds_what_the_whole_search_finds() -> None:
    day = random_day(2, tasks=6)
    best, _ = solved(day)
    start = nothing_done(day)
    everything = [task.id for task in day.tasks]
    assert vector(day, window(day, start, everything, deterministic_limit=10.0, seed=1)) == vector(day, best)


def test_runs_of_no_length_at_one_tick_keep_the_order_of_their_press() -> None:
    """Only b needs heat: behind a at the same tick it is not cold, and nothing may be heated for it."""
    for first, second in (("a", "b"), ("b", "a")):
        day = shop(*(task(name, mode(0, warm_up=4 * (name == "b")), release=10) for name in "ab"), horizon=12)
        runs = [ScheduledTask(task=n, mode="m1:-", setup_start=10, start=10, end=10) for n in (first, second)]
        heated = (WarmUp(machine="m1", start=3, end=7),) if first == "b" else ()
        plan = Schedule(tasks=tuple(runs), warm_ups=heated)
        assert check(day, plan).passed
        model = build(day, Scope(all_mountings=True))
        solution = completed(model, values_for(model, plan))
        assert solution is not None
        assert read_schedule(model, lambda variable, of=solution: of[variable.index]) == plan


def test_runs_of_no_length_can_not_follow_each_other_in_a_ring() -> None:
    # In a ring each would keep the platen that the other had. A window, for it has no cover to say no.
    tasks = tuple(task(name, mode(0, platen="K", state=(0,))) for name in "ab")
    day = shop(*tasks, parts=(PLATEN,), platens=[Platen(id="K", count=1)])
    schedule = window(day, nothing_done(day), ["a", "b"], deterministic_limit=1.0, seed=1)
    assert check(day, schedule).passed
    assert values_of(day, schedule)["changeover"] == 3
