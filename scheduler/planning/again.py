"""A day planned again at a moment: what is begun, and the engine's answer for the rest, in trade words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import takewhile

from scheduler.domain.idle import off_on_paper, told_off, waiting
from scheduler.domain.instance import Level
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import LevelValue, Result, Schedule, Verdict, WarmUp, status_of
from scheduler.planning.assemble import assemble_plan
from scheduler.planning.calendar import clock
from scheduler.planning.counted import check_cancelled
from scheduler.planning.idle import with_begun
from scheduler.planning.rest import Rest
from scheduler.planning.since import Since
from scheduler.planning.told_too_late import told_too_late


def merged(rest: Rest, schedule: Schedule) -> Schedule:
    """The whole day: what is begun, and a schedule of the rest."""
    return Schedule(
        tasks=(*rest.moment.begun, *schedule.tasks),
        warm_ups=(*rest.warm_ups, *(warm for warm in schedule.warm_ups if not _again(rest, warm))),
        left_over=schedule.left_over,
    )


def plan_again(
    rest: Rest,
    result: Result,
    verdict: Verdict,
    whole: Verdict,
    baseline_levels: tuple[LevelValue, ...],
    *,
    version: int,
) -> Plan:
    """The day planned again, in trade words.

    Parameters
    ----------
    result
        The engine's answer for the rest.
    verdict
        The independent check of that answer.
    whole
        The check's reading of the whole day: its costs count, its breaks don't, since what is begun went
        as it went.

    Raises
    ------
    scheduler.exceptions.BrokenPlan
        When the check refused the rest, or something of a cancelled order goes on.
    """
    schedule = result.schedule
    if schedule is not None:
        check_cancelled(rest.problem, merged(rest, schedule), rest.at)
    levels = _levels(rest.problem.instance.levels, whole, result.levels)
    told = replace(
        result,
        status=result.status if schedule is None else status_of(levels),
        schedule=None if schedule is None else merged(rest, schedule),
        levels=levels,
    )
    checked = replace(whole, breaks=verdict.breaks)
    plan = assemble_plan(
        rest.problem,
        told,
        checked,
        baseline_levels,
        version=version,
        numbers={run.id: run.number for run in rest.printed.runs},
        since=Since(printed=rest.printed, now=rest.moment.now, stood=rest.stood),
        missing=rest.missing,
        again=() if schedule is None else tuple(warm for warm in schedule.warm_ups if _again(rest, warm)),
    )
    tick_s = plan.instance.tick_s
    at, now = clock(plan.day, rest.at, tick_s), clock(plan.day, rest.moment.now, tick_s)
    off = {*told_off(rest.printed, at), *off_on_paper(rest.printed, at)}
    # A run whose person had gone before, as is told now, has not begun.
    begun = {done.task for done in rest.moment.begun}
    seen = replace(rest.printed, runs=tuple(run for run in rest.printed.runs if run.id in begun))
    on = waiting(seen, at).keys() - off
    plan = replace(
        plan,
        warm_ups=with_begun(plan, rest.printed, at, now),
        off=tuple(sorted({*rest.cooled, *rest.gone, *off} - on)),
    )
    return replace(plan, changeovers=told_too_late(plan, rest.printed, now))


def _again(rest: Rest, warm: WarmUp) -> bool:
    """Whether a press that pressed today is switched on again: in the whole day it was hot all the while."""
    return warm.machine in rest.cooled and warm.start < rest.instance.heating_days[0].end


def _levels(names: Iterable[Level], whole: Verdict, rest: Iterable[LevelValue]) -> tuple[LevelValue, ...]:
    """The levels of the whole day, with what the search of its rest shows of them.

    What is left over of the rest, and late in it, is shown for the whole day as well: what is begun adds the
    same to both, whatever is planned. The levels below were searched among plans that keep to the sheets in
    hand, which the whole day doesn't count: of them nothing is shown, unless they are nothing at all.
    """
    shown = {one.name for one in takewhile(lambda one: one.proven and one.name != "moved", rest)}
    levels = []
    for name in names:
        value = whole.values[name]
        proven = name in shown or value == 0
        levels.append(LevelValue(name=name, value=value, bound=value if proven else 0, proven=proven))
    return tuple(levels)


__all__ = ["merged", "plan_again"]
