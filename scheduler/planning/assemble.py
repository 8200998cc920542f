"""A checked schedule to a plan in trade words: what sheets, summaries and files are made from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import count

from scheduler.domain.day_problem import NOT_PLANNED, DayProblem, RunContent
from scheduler.domain.disruptions import cancelled_of
from scheduler.domain.figures import nearest
from scheduler.domain.plan import Absence, LeftOver, Plan, PlannedOrder, PlannedRun
from scheduler.domain.schedule import LevelValue, Result, Schedule, Verdict, WarmUp
from scheduler.domain.times import hours_and_minutes
from scheduler.exceptions import BrokenPlan
from scheduler.planning.changeovers import at, changeovers, in_order, minutes
from scheduler.planning.counted import check_pieces
from scheduler.planning.fingerprint import fingerprint
from scheduler.planning.fits import lies_turned
from scheduler.planning.idle import idle_notes
from scheduler.planning.loads import crew_loads, press_loads
from scheduler.planning.lot_numbers import lot_numbers
from scheduler.planning.packing_hours import late_packing
from scheduler.planning.reasons import Reasons
from scheduler.planning.since import Since, Why
from scheduler.planning.switching import switched_on
from scheduler.planning.trail import Step, shift_of, steps

PACKING_WORTH_SAYING_MIN = 60
"""From so many minutes of packing on, a note says that nobody's hours are planned for it."""


MOST_NAMED = 12
"""Orders named in a note."""


def assemble_plan(
    problem: DayProblem,
    result: Result,
    verdict: Verdict,
    baseline_levels: tuple[LevelValue, ...],
    *,
    version: int = 1,
    numbers: Mapping[str, int] | None = None,
    since: Since | None = None,
    missing: Mapping[str, int] | None = None,
    again: tuple[WarmUp, ...] = (),
) -> Plan:
    """Say a schedule in trade words.

    Parameters
    ----------
    problem
        What the engine was given.
    result
        What it gave back.
    verdict
        The independent check of that schedule.
    baseline_levels
        The same orders taken as they come: cost by level.
    version
        1 for the first plan of a day.
    numbers
        Numbers that runs have on sheets in hand: they keep them, and no other run gets one of them.
    since
        The sheets in hand, when the day is planned again.
    missing
        By order: its garments that lack something which no run presses.
    again
        Warm-ups of presses that pressed before and went off since, on those sheets.

    Raises
    ------
    BrokenPlan
        When there is no schedule, the check refused it, or it found another cost than the engine.
    """
    schedule = _checked(result, verdict)
    check_pieces(problem, schedule)
    trail = steps(problem.instance, schedule)
    problem = _lots_in_order(problem, trail)
    runs = _runs(problem, trail, numbers or {})
    reasons = Reasons(problem, trail, schedule, {run.id: run.number for run in runs})
    trail, warm_ups = switched_on(problem, schedule, again=again, since=since)
    plan = Plan(
        day=problem.day,
        dates=problem.dates,
        version=version,
        fingerprint=fingerprint(problem.day, schedule, runs, warm_ups),
        shop=problem.shop,
        orders=_orders(problem, schedule, verdict, reasons, since, missing or {}),
        runs=runs,
        changeovers=changeovers(problem, trail),
        warm_ups=warm_ups,
        levels=result.levels,
        as_they_come=baseline_levels,
        press_loads=press_loads(problem, trail),
        crew_loads=crew_loads(problem, trail),
        left_over=_left_over(problem, schedule, reasons),
        breaks=_breaks(problem),
        shifts=_shifts(problem),
        status=result.status.value,
        effort=result.effort,
        seed=result.seed,
        moves=result.moves,
        stopped_early=result.stopped_early,
        instance=problem.instance,
        schedule=schedule,
        given=problem.orders,
        parts=problem.parts,
        between=problem.between,
        not_planned=problem.not_planned,
        notes=_notes(problem, _finished(problem, schedule, verdict)),
    )
    # Of a day planned again they are said once its moment is known.
    return plan if since is not None else replace(plan, notes=(*idle_notes(plan), *plan.notes))


def _checked(result: Result, verdict: Verdict) -> Schedule:
    if result.schedule is None:
        raise BrokenPlan("there is no schedule to make a plan of")
    if not verdict.passed:
        broken = "; ".join(f"{found.rule}: {found.message}" for found in verdict.breaks)
        raise BrokenPlan(f"the independent check refused the plan: {broken}")
    for level in result.levels:
        found = verdict.values.get(level.name)
        if found != level.value:
            raise BrokenPlan(
                f"the engine counts {level.name} as {level.value}, the independent check as {found}"
            )
    return result.schedule


def _lots_in_order(problem: DayProblem, trail: Sequence[Step]) -> DayProblem:
    """The problem with its lots numbered as they are pressed; ids stay as they are."""
    numbers = lot_numbers(problem.contents, in_order(trail), problem.parts)
    contents = {
        task: replace(content, lot=numbers.get(task, content.lot))
        for task, content in problem.contents.items()
    }
    return replace(problem, contents=contents)


def _runs(problem: DayProblem, trail: Sequence[Step], numbers: Mapping[str, int]) -> tuple[PlannedRun, ...]:
    runs = []
    fresh = count(max(numbers.values(), default=0) + 1)
    for step in (step for step in in_order(trail) if step.first):
        done = step.done
        number = numbers[done.task] if done.task in numbers else next(fresh)
        shift = shift_of(problem.instance, done.operator, done.setup_start)
        # A run that was cut off in a break ends there: nothing of it goes on afterwards.
        pauses = [
            (first, min(last, done.end))
            for first, last in (shift.breaks if shift else ())
            if done.start < last and first < done.end
        ]
        runs.append(
            PlannedRun(
                id=done.task,
                number=number,
                content=_as_laid(problem, problem.contents[done.task], step.mode.platen or ""),
                press=step.mode.machine,
                platen=step.mode.platen or "",
                operator=done.operator or "",
                start=at(problem, done.setup_start),
                pressing_start=at(problem, done.start),
                end=at(problem, done.end),
                pauses=tuple((at(problem, first), at(problem, last)) for first, last in pauses),
                temp_c=problem.temp_c[done.task],
                cycle_s=problem.cycle_s[done.task, done.mode],
                mounts_platen=done.mounts_platen,
                second_press=step.mode.mate or "",
                second_mounts=done.mate_mounts,
            )
        )
    return tuple(runs)


def _as_laid(problem: DayProblem, content: RunContent, platen_name: str) -> RunContent:
    """The content with the artwork turned where the chosen platen asks for it; pairs never turn."""
    platens = [platen for platen in problem.shop.platens if platen.name == platen_name]
    if len(content.laid) != 1 or not platens:
        return content
    laid = content.laid[0]
    placement = problem.shop.placement(laid.placement)
    turned = lies_turned(problem.shop, placement, laid.width_mm, laid.height_mm, platens[0])
    return replace(content, laid=(replace(laid, turned=turned),))


def _orders(
    problem: DayProblem,
    schedule: Schedule,
    verdict: Verdict,
    reasons: Reasons,
    since: Since | None,
    missing: Mapping[str, int],
) -> tuple[PlannedOrder, ...]:
    packed = _finished(problem, schedule, verdict)
    found = []
    cancelled = cancelled_of(problem.orders, problem.between)
    printed = {run.id for run in since.printed.runs} if since is not None else set()
    for order in problem.orders:
        if order.id in cancelled:
            continue
        late = verdict.late_ticks.get(order.id, 0)
        finished = packed.get(order.id)
        late_minutes = minutes(problem.instance, late)
        why = Why()
        if since is not None and late and finished is not None and not reasons.late_again(order.id, printed):
            why = since.reason(problem, reasons.trail, order.id, late_minutes)
        if not why.words and (late or finished is None):
            why = replace(why, words=reasons.of_order(order.id))
        if why.besides:
            why = replace(why, words=f"{why.words}; {why.besides}")
        lacks = missing.get(order.id, 0)
        found.append(
            PlannedOrder(
                id=order.id,
                customer=order.customer,
                cut_off=order.cut_off,
                weight=order.weight,
                quantity=order.quantity,
                finished=None if lacks or finished is None else at(problem, finished),
                late_minutes=late_minutes,
                reason=why.words,
                because=why.because,
                made_way=why.made_way,
                on_top_of=order.on_top_of,
                missing=lacks,
            )
        )
    return tuple(found)


def _left_over(problem: DayProblem, schedule: Schedule, reasons: Reasons) -> tuple[LeftOver, ...]:
    return tuple(
        LeftOver(
            run=task,
            order=problem.contents[task].order,
            placements=problem.contents[task].placements,
            quantity=problem.contents[task].quantity,
            reason=reasons.of_left_over(task),
        )
        for task in schedule.left_over
    )


def _breaks(problem: DayProblem) -> tuple[Absence, ...]:
    return tuple(
        Absence(operator=person.id, start=at(problem, first), end=at(problem, last))
        for person in problem.instance.operators
        for shift in person.shifts
        for first, last in shift.breaks
    )


def _shifts(problem: DayProblem) -> tuple[Absence, ...]:
    return tuple(
        Absence(operator=person.id, start=at(problem, shift.start), end=at(problem, shift.end))
        for person in problem.instance.operators
        for shift in person.shifts
    )


def _finished(problem: DayProblem, schedule: Schedule, verdict: Verdict) -> dict[str, int]:
    """By order that is carried out whole: the tick at which it is packed."""
    missing = {problem.contents[task].order for task in schedule.left_over}
    return {order: tick for order, tick in verdict.finished.items() if order not in missing}


def _notes(problem: DayProblem, finished: Mapping[str, int]) -> tuple[str, ...]:
    notes = []
    missing = [one.order for one in problem.not_planned if one.whole]
    if missing:
        more = len(missing) - MOST_NAMED
        named = ", ".join(missing[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
        orders = "1 order with faults is" if len(missing) == 1 else f"{len(missing)} orders with faults are"
        notes.append(f"{NOT_PLANNED}{orders} left out of this plan: {named}.")
    if problem.shop.defaults:
        named = ", ".join(problem.shop.defaults)
        notes.append(f"These sheets of the shop workbook still hold the program's own figures: {named}.")
    packing = nearest(minutes(problem.instance, sum(job.packing for job in problem.instance.jobs)))
    if packing >= PACKING_WORTH_SAYING_MIN:
        notes.append(
            f"Packing takes {hours_and_minutes(packing)} in all; it is counted before each cut-off but "
            "planned for nobody."
        )
    alone = late_packing(problem.instance, finished)
    if alone:
        more = len(alone) - MOST_NAMED
        named = ", ".join(
            f"{one.job} ({hours_and_minutes(nearest(minutes(problem.instance, one.alone)))})"
            for one in alone[:MOST_NAMED]
        )
        named += f" and {more} more" if more > 0 else ""
        notes.append(
            "Packing goes on when nobody is there any more, so these orders are packed later than their "
            f"sheets say unless somebody stays: {named}."
        )
    return tuple(notes)
