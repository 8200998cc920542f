"""A rush order put into a day that has begun, by the very code that plans days again."""

from __future__ import annotations

from scheduler.domain.schedule import Schedule
from scheduler.engine.solve import solve
from scheduler.planning.begun import moment_of
from scheduler.planning.remaining import remaining
from scheduler.verify import check
from tests.published.state import shop

TIMES, DUE, WEIGHT = (30, 40, 20, 35), (40, 90, 80, 130), (1, 1, 2, 1)


def test_a_rush_order_is_put_in_where_it_costs_least_and_what_runs_stays() -> None:
    """S17: one press; at 10 job 5 (25 long, due at 60, weight 5) arrives, job 1 is running.

    Source: own problem, by enumeration of all sequences: the first plan is 1, 3, 2, 4 without lateness; the
    best re-plan is 1, 5, 3, 2, 4 with 45, the next best costs 60; job 5 at the end costs 450.
    """
    before = solve(shop(TIMES, due=DUE, weight=WEIGHT), effort="quick").schedule
    assert before is not None
    jobs = [done.task for done in sorted(before.tasks, key=lambda done: done.start)]
    whole = shop((*TIMES, 25), due=(*DUE, 60), weight=(*WEIGHT, 5))
    assert jobs == [whole.tasks[k].id for k in (0, 2, 1, 3)]
    moment = moment_of(whole, before, 10)
    assert [done.task for done in moment.begun] == jobs[:1]
    rest = remaining(whole, moment, before)
    left = {task.id for task in rest.tasks}
    kept = Schedule(tasks=tuple(done for done in before.tasks if done.task in left))
    found = solve(rest, effort="quick", near=kept).schedule
    assert found is not None
    verdict = check(rest, found)
    assert verdict.passed and verdict.values["lateness"] == 45
    order = [done.task for done in sorted(found.tasks, key=lambda done: done.start)]
    assert order == [whole.tasks[k].id for k in (4, 2, 1, 3)]
    assert min(done.setup_start for done in found.tasks) == 30
    together = check(whole, Schedule(tasks=(*moment.begun, *found.tasks)))
    assert together.passed and together.values["lateness"] == 45
