"""How a planned day stands at a moment."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from scheduler.daybook.between import between_of
from scheduler.daybook.facts import facts_of, standing, up_to
from scheduler.daybook.forecast import Course, Forecast
from scheduler.daybook.lost import with_lost
from scheduler.daybook.press_state import press_states
from scheduler.domain.day_state import DayState, OrderState, PersonState, RunState, RunStatus
from scheduler.domain.disruptions import PartKind, cancelled_of
from scheduler.domain.figures import rounded
from scheduler.domain.hours import NOTHING, Hours
from scheduler.domain.kinds import unwanted_pieces
from scheduler.domain.missing import missing_garments
from scheduler.domain.plan import Plan, PlannedOrder
from scheduler.domain.progress import Event
from scheduler.domain.rests import with_rests


def state_at(plan: Plan, events: Iterable[Event], at: datetime) -> DayState:
    """What is pressed, under way and open at a moment, and where every press and person is.

    A pure function: the same plan, entries and moment give the same state, whatever the clock says.

    Parameters
    ----------
    plan
        The plan that the crew works by.
    events
        Entries of the day, corrected and taken back ones among them, in any order (`Event.number` counts).
        Entries of older versions count too, for runs that the plan still has: what is pressed is pressed.
        Absences that began by the moment count as the plan and they have them: nobody pressed meanwhile.
    at
        The moment, local and without a zone. Entries of what happened after it are left out.

    Returns
    -------
    DayState
        With the rule that no news is good news: a run of which nobody said anything counts as gone to plan,
        and is marked as assumed. It is put off by what is known, though: by the run before it at its press
        or by its person that ended late or still goes on, by garments that are not free, by heat that is not
        there yet. After a count a run goes on at the planned pace from there.

    Notes
    -----
    Minutes behind are those of work: planned working minutes up to the moment on a person's sheet, less the
    planned minutes of what is done of them. A run of 30 planned minutes that is done counts 30, however long
    it took; of one under way counts what is not still to come.
    """
    every = tuple(events)
    news = up_to(standing(every), at)
    facts = {run.id: known for run in plan.runs if (known := facts_of(run, news, at)) is not None}
    # What is still to come is for a plan to be made of: a run goes on until its person leaves.
    away = [one for one in between_of(plan, every).away if one.start <= at]
    courses = Forecast(plan, facts, away).courses
    hours = Hours(plan, away)
    alone = [
        _run_state(plan, courses[run.id], hours, at) for run in sorted(plan.runs, key=lambda r: r.number)
    ]
    unwanted = unwanted_pieces(
        plan.between.fewer,
        plan.parts,
        {run.id: run.content for run in sorted(plan.runs, key=lambda run: (run.start, run.number))},
    )
    begun = {run.run for run in alone if run.status is not RunStatus.NOT_STARTED}
    shared = with_rests(alone, plan.parts, begun)
    runs = with_lost(plan, [replace(run, unwanted=unwanted.get(run.run, 0)) for run in shared])
    by_id = {run.run: run for run in runs}
    return DayState(
        at=at,
        version=plan.version,
        runs=runs,
        presses=press_states(plan, courses.values(), at),
        people=tuple(_person_state(plan, person.id, by_id, hours, at) for person in plan.instance.operators),
        orders=tuple(_order_state(plan, order, runs, hours) for order in plan.orders),
        news=news,
    )


def _run_state(plan: Plan, course: Course, hours: Hours, at: datetime) -> RunState:
    run, facts = course.run, course.facts
    quantity = run.content.quantity
    spoiled = facts.spoiled if facts else 0
    status, good = RunStatus.NOT_STARTED, 0
    if course.end <= at and course.start <= at:
        status = RunStatus.FINISHED
        told = facts.good if facts and (facts.finished or _only_counted(plan, course)) else None
        good = quantity - spoiled if told is None else told
    elif course.start <= at:
        status = RunStatus.UNDER_WAY
        good = _pressed(course, hours, at)
    finished_is_told = facts is not None and (
        facts.finished is not None or _counted_at_the_stop(plan, course)
    )
    return RunState(
        run=run.id,
        number=run.number,
        order=run.content.order,
        status=status,
        assumed=(status is RunStatus.FINISHED and not finished_is_told)
        or (status is RunStatus.UNDER_WAY and facts is None),
        press=course.press,
        platen=(course.mode.platen or "") if course.mode else run.platen,
        operator=course.operator,
        mode=course.mode.id if course.mode else "",
        quantity=quantity,
        good=good,
        spoiled=spoiled,
        remaining=0 if status is RunStatus.FINISHED else quantity - good - spoiled,
        start=course.start,
        end=course.end,
        planned_start=run.start,
        planned_end=run.end,
        spoiled_of=facts.spoiled_of if facts else (),
        counted_at=facts.seen_at if facts else None,
        second_press=next((press for press in course.presses if press != course.press), ""),
    )


def _only_counted(plan: Plan, course: Course) -> bool:
    """Whether the last count of a run that is over is all that it pressed: it was stopped.

    What was counted before the stop counts so only of a cancelled order, which nobody pressed on with.
    """
    cancelled = course.run.content.order in cancelled_of(plan.given, plan.between)
    return _counted_at_the_stop(plan, course) or (cancelled and _stopped(plan, course))


def _counted_at_the_stop(plan: Plan, course: Course) -> bool:
    """Whether a run was stopped, and somebody counted then or later: that tells how it ended."""
    seen = course.facts.seen_at if course.facts else None
    # Stops are in ticks, counts to the minute or second.
    tick = timedelta(seconds=plan.instance.tick_s)
    return _stopped(plan, course) and seen is not None and seen + tick > course.run.end


def _stopped(plan: Plan, course: Course) -> bool:
    return any(part.run == course.run.id and part.name is PartKind.REST for part in plan.parts)


def _pressed(course: Course, hours: Hours, at: datetime) -> int:
    """Good pieces of a run under way: the last count, and whole pieces since at an even pace to its end."""
    facts = course.facts
    since, known = course.pressing_start, 0
    if facts and facts.good is not None and facts.seen_at is not None:
        since, known = facts.seen_at, facts.good
    left = max(0, course.run.content.quantity - known - (facts.spoiled if facts else 0))
    whole = hours.worked(course.operator, since, course.end)
    done = hours.worked(course.operator, since, at)
    return known + (int(left * done / whole) if whole > NOTHING else left)


def _person_state(
    plan: Plan, person: str, runs: Mapping[str, RunState], hours: Hours, at: datetime
) -> PersonState:
    due = done = NOTHING
    as_planned = Hours(plan)
    for planned in plan.runs:
        if planned.operator != person:
            continue
        whole = as_planned.worked(person, planned.start, planned.end)
        due += as_planned.worked(person, planned.start, min(at, planned.end))
        run = runs[planned.id]
        if run.status is RunStatus.FINISHED:
            done += whole
        elif run.status is RunStatus.UNDER_WAY:
            done += max(NOTHING, whole - hours.worked(run.operator, at, run.end))
    own = [run for run in runs.values() if run.operator == person and run.status is RunStatus.UNDER_WAY]
    running = max(own, key=lambda run: run.start, default=None)
    return PersonState(
        person=person,
        running=running.run if running else "",
        free_from=running.end if running else at,
        due_minutes=_minutes(due),
        done_minutes=_minutes(done),
    )


def _order_state(plan: Plan, order: PlannedOrder, runs: tuple[RunState, ...], hours: Hours) -> OrderState:
    own = [run for run in runs if run.order == order.id]
    cooling = {task.id: hours.span(task.cooling) for task in plan.instance.tasks}
    packing = next((hours.span(job.packing) for job in plan.instance.jobs if job.id == order.id), NOTHING)
    whole = bool(own) and not any(left.order == order.id for left in plan.left_over)
    missing = missing_garments(
        own,
        plan.parts,
        {run.id: run.content.placements for run in plan.runs},
        {task.id: task.bundles for task in plan.instance.tasks},
    )
    finished = max(run.end + cooling[run.run] for run in own) + packing if whole else None
    behind = _minutes(finished - order.finished) if finished and order.finished else 0.0
    late = _minutes(finished - order.cut_off) if finished else 0.0
    return OrderState(
        order=order.id,
        customer=order.customer,
        cut_off=order.cut_off,
        planned=order.finished,
        finished=None if missing else finished,
        behind_minutes=behind,
        late_minutes=max(0.0, late),
        runs_done=sum(run.status is RunStatus.FINISHED for run in own),
        runs=len(own),
        owed=sum(run.owed for run in own),
        missing=missing,
    )


def _minutes(span: timedelta) -> float:
    return rounded(span.total_seconds() / 60)
