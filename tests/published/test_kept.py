"""Published benchmark instances, read and scored: what is published comes out of the check."""

from __future__ import annotations

import csv

import pytest

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule
from scheduler.verify import check
from tests.benchmarks.read import objective, read
from tests.published.kept import DATA, KEPT, Kept
from tests.support.enumerator import best_schedule, in_sequence


def in_order(instance: Instance, jobs: list[int]) -> Schedule:
    """One machine, the jobs in that order, each as early as it can."""
    return in_sequence(instance, [(str(job), "M0") for job in jobs])


def published_sequences() -> list[tuple[str, int, list[int]]]:
    with (DATA / "wtsds" / "optimal_sequences.csv").open(encoding="utf-8", newline="") as stream:
        return [(row[0], int(row[1]), [int(job) for job in row[2:]]) for row in list(csv.reader(stream))[1:]]


@pytest.mark.parametrize(("name", "value", "sequence"), published_sequences(), ids=lambda v: str(v)[:12])
def test_published_sequence_costs_what_is_published(name: str, value: int, sequence: list[int]) -> None:
    # Tanaka and Araki 2013, for V. A. Cicirello's instances.
    problem = read("wtsds", DATA / "wtsds" / f"{name}.instance")
    assert sorted(sequence) == list(range(60))
    assert objective(problem, check(problem, in_order(problem, sequence))) == value
    kept = next(each for each in KEPT if each.file == f"{name}.instance")
    assert kept.best == value
    # The nearest neighbours, two jobs exchanged, are no better than the best.
    for n in range(0, 59, 7):
        swapped = [*sequence[:n], sequence[n + 1], sequence[n], *sequence[n + 2 :]]
        assert objective(problem, check(problem, in_order(problem, swapped))) >= value


def test_orders_by_due_date_are_on_time_exactly_where_the_published_best_is_zero() -> None:
    # By due date the largest lateness is least (Jackson 1955): it is 0 for those instances, and
    # only those, in which all can be on time. OR-Library, wtopt40.txt.
    best = [int(word) for word in (DATA / "wt" / "wtopt40.txt").read_text().split()]
    assert len(best) == 125
    late = []
    for position, value in enumerate(best, 1):
        problem = read("wt", DATA / "wt" / "wt40.txt", position)
        dues = [job.due or 0 for job in problem.jobs]
        by_date = sorted(range(40), key=lambda job: dues[job])
        cost = objective(problem, check(problem, in_order(problem, by_date)))
        assert cost >= value
        late.append(cost > 0)
    assert late == [value > 0 for value in best]
    for kept in (each for each in KEPT if each.set_name == "wt"):
        assert kept.position is not None
        assert kept.best == best[kept.position - 1]


FEW_OPERATIONS = ("fattahi_sfjs01", "fattahi_sfjs02", "fattahi_sfjs05", "Fattahi_setup_0")


@pytest.mark.parametrize(
    "kept", [each for each in KEPT if each.file.startswith(FEW_OPERATIONS)], ids=lambda each: each.name
)
def test_small_job_shops_by_enumeration(kept: Kept) -> None:
    problem = kept.read()
    found = best_schedule(problem, ceiling=(0, kept.best))
    assert found is not None
    cost, schedule = found
    assert cost == (0, kept.best)
    assert objective(problem, check(problem, schedule)) == kept.best


@pytest.mark.parametrize("kept", KEPT, ids=lambda each: each.name)
def test_horizon_holds_a_careless_plan(kept: Kept) -> None:
    # In reading order, each task where it takes longest: all of it ends by the horizon, at a cost
    # that is no better than the best known.
    problem = kept.read()
    slowest = [(task.id, max(task.modes, key=lambda mode: mode.work).id) for task in problem.tasks]
    assert objective(problem, check(problem, in_sequence(problem, slowest))) >= kept.best
