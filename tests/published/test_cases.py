"""The published and hand-worked values, confirmed by enumeration and scored by the check."""

from __future__ import annotations

from itertools import combinations, permutations

import pytest

from scheduler.verify import check
from tests.published.cases import CASES, Case
from tests.published.one_machine import S1, S3, S9
from tests.published.parallel import P10, P10_BEFORE, parallel
from tests.published.state import limited, shop
from tests.support.enumerator import best_schedule, in_sequence, values

ENUMERABLE = [case for case in CASES if len(case.instance.tasks) <= 10]


def test_every_case_states_all_its_levels() -> None:
    # P9 is among the published instances kept as files.
    problems = {*(f"S{n}" for n in range(1, 18)), *(f"P{n}" for n in range(1, 12))} - {"P9"}
    assert {case.name.split()[0] for case in CASES} == problems
    assert len({case.name for case in CASES}) == len(CASES)
    for case in CASES:
        assert tuple(case.expected) == case.instance.levels
        assert case.source


@pytest.mark.parametrize("case", ENUMERABLE, ids=lambda case: case.name)
def test_best_value_by_enumeration(case: Case) -> None:
    expected = tuple(case.expected.values())
    found = best_schedule(case.instance, ceiling=expected)
    assert found is not None, "no schedule is as good as published"
    cost, schedule = found
    assert cost == expected
    assert values(case.instance, schedule) == expected


@pytest.mark.parametrize(
    "case", [case for case in CASES if len(case.instance.tasks) <= 5], ids=lambda c: c.name
)
def test_enumeration_without_a_ceiling_agrees(case: Case) -> None:
    # The ceiling only saves time: without it the same value comes out.
    found = best_schedule(case.instance)
    assert found is not None
    assert found[0] == tuple(case.expected.values())


def test_too_low_a_ceiling_finds_nothing() -> None:
    case = next(case for case in CASES if case.name.startswith("S6"))
    assert best_schedule(case.instance, ceiling=(0, 66)) is None


def scores(work: tuple[int, ...], due: tuple[int, ...], sequence: tuple[int, ...]) -> dict[str, int]:
    """Late ticks by job, from the check, of jobs numbered from 1 in a sequence on one machine."""
    problem = shop(work, due=due)
    verdict = check(problem, in_sequence(problem, [(str(n), "M1") for n in sequence]))
    assert verdict.passed
    return verdict.late_ticks


def test_number_late_and_largest_lateness_have_different_best_sequences() -> None:
    # Pinedo, Ex. 3.3.3: 3,4,5,1,2 has 2 late; by due date 3 are late, but none by more than 10.
    fewest = scores(*S1, sequence=(3, 4, 5, 1, 2))
    assert {job for job, late in fewest.items() if late} == {"1", "2"}
    by_date = scores(*S1, sequence=(1, 2, 3, 4, 5))
    assert sum(late > 0 for late in by_date.values()) == 3
    assert max(by_date.values()) == by_date["5"] == 10
    everything = [scores(*S1, sequence=each) for each in permutations((1, 2, 3, 4, 5))]
    assert min(sum(late > 0 for late in each.values()) for each in everything) == 2
    assert min(max(each.values()) for each in everything) == 10


def test_ten_jobs_with_two_late_by_subsets() -> None:
    # A set of jobs can be on time exactly when it is in order of due dates.
    work, due = S3
    problem = limited(work, due, levels=("left_over",))
    by_date = sorted(range(1, 11), key=lambda n: due[n - 1])

    def fits(chosen: set[int]) -> bool:
        try:
            schedule = in_sequence(problem, [(str(n), "M1") for n in by_date if n in chosen])
        except ValueError:
            return False
        assert values(problem, schedule) == (10 - len(chosen),)
        return True

    assert fits({1, 2, 3, 4, 5, 6, 9, 10})
    assert sum(fits(set(chosen)) for chosen in combinations(by_date, 8)) == 5
    assert not any(fits(set(chosen)) for chosen in combinations(by_date, 9))


def test_deadlines_leave_twelve_sequences() -> None:
    # Pinedo, Ex. 4.2.3: 12 of 120 sequences meet all deadlines; the best two cost 52.
    problem = limited(*S9, due=0)
    costs = []
    for each in permutations((1, 2, 3, 4, 5)):
        try:
            costs.append((values(problem, in_sequence(problem, [(str(n), "M1") for n in each])), each))
        except ValueError:
            continue
    assert len(costs) == 12
    assert sorted(costs)[:2] == [((0, 52), (3, 1, 2, 5, 4)), ((0, 52), (5, 1, 2, 3, 4))]
    assert sorted(costs)[2][0] > (0, 52)


# (what changes, list, machines, the makespan that the list gives); durations less 1 where said.
ANOMALIES = [
    ("as it is", range(1, 10), P10, P10_BEFORE, 3, 12),
    ("a fourth machine", range(1, 10), P10, P10_BEFORE, 4, 15),
    ("all shorter", range(1, 10), [work - 1 for work in P10], P10_BEFORE, 3, 13),
    ("fewer precedences", range(1, 10), P10, ((1, 9), (4, 7), (4, 8)), 3, 16),
    ("another list", (1, 2, 4, 5, 6, 3, 9, 7, 8), P10, P10_BEFORE, 3, 14),
]


@pytest.mark.parametrize(
    ("listed", "work", "before", "machines", "makespan"),
    [row[1:] for row in ANOMALIES],
    ids=[str(row[0]) for row in ANOMALIES],
)
def test_list_scheduling_gets_worse_with_better_means(
    listed: range, work: list[int], before: tuple[tuple[int, int], ...], machines: int, makespan: int
) -> None:
    # R. L. Graham 1969 (the instance and the 14 from memory). A what-if has to compare best plans:
    # what one rule makes of one more press may be worse.
    sequence = graham(list(listed), list(work), before, machines)
    problem = parallel(work, machines, before)
    assert values(problem, in_sequence(problem, sequence)) == (0, makespan)


def graham(
    listed: list[int], work: list[int], before: tuple[tuple[int, int], ...], machines: int
) -> list[tuple[str, str]]:
    """Whenever a machine is free, it takes the first job of the list that may start."""
    free = [0] * machines
    ended: dict[int, int] = {}
    waiting = list(listed)
    sequence = []
    now = 0
    while waiting:
        idle = [m for m in range(machines) if free[m] <= now]
        able = [n for n in waiting if all(ended.get(a, now + 1) <= now for a, b in before if b == n)]
        if idle and able:
            job, machine = able[0], idle[0]
            ended[job] = free[machine] = now + work[job - 1]
            sequence.append((str(job), f"M{machine + 1}"))
            waiting.remove(job)
        else:
            now = min(end for end in free if end > now)
    return sequence
