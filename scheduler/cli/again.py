"""The rest of a day planned again: new orders read, search, check, and what it means in words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from scheduler.cli.ends import put_json, say, say_faults
from scheduler.cli.now import now
from scheduler.cli.planned import passed, values_of_check
from scheduler.cli.progress import how_long, shown, watched
from scheduler.exceptions import BadInput, NoPlan

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date
    from pathlib import Path

    from scheduler.cli.options import Effort, Paper
    from scheduler.cli.options import Moment as AtMoment
    from scheduler.domain.disruptions import Disruptions
    from scheduler.domain.faults import Fault
    from scheduler.domain.orders import Order
    from scheduler.domain.plan import Plan
    from scheduler.domain.progress import Event
    from scheduler.domain.schedule import LevelValue, Result, Verdict
    from scheduler.domain.shop import Shop
    from scheduler.planning.again import Rest
    from scheduler.planning.helps import TryOut
    from scheduler.sheets.new_sheets import NewPaper


@dataclass(frozen=True, slots=True, kw_only=True)
class RestAnswer:
    """The best rest of the day that was found, checked."""

    rest: Rest
    result: Result
    verdict: Verdict
    whole: Verdict
    as_they_come: tuple[LevelValue, ...]

    def plan(self, version: int) -> Plan:
        """The whole day in trade words."""
        from scheduler.planning.again import plan_again

        return plan_again(
            self.rest, self.result, self.verdict, self.whole, self.as_they_come, version=version
        )


def read_new(orders: Sequence[Path], shop: Shop, day: date) -> tuple[tuple[Order, ...], tuple[Fault, ...]]:
    """New orders, read by the words of the shop that was planned with; and the doubts.

    Raises
    ------
    BadInput
        With every fault and doubt.
    """
    from scheduler.cli.reading import has_fault
    from scheduler.intake import scan_orders

    found, findings = scan_orders(orders, shop, day)
    if has_fault(findings):
        raise BadInput(findings)
    return found, findings


def search_rest(rest: Rest, *, effort: str, seconds: float | None, seed: int) -> RestAnswer:
    """Look for the best rest of the day, beginning with what is printed, and check it.

    Printed runs that came earlier for nothing are put back to their printed starts.

    Raises
    ------
    NoPlan
        When the search ended without a plan.
    BrokenPlan
        When the independent check refuses the rest.
    """
    from scheduler.engine.baseline import as_they_come
    from scheduler.engine.line import put_down_anew
    from scheduler.engine.solve import solve
    from scheduler.planning.again import merged
    from scheduler.planning.held import held
    from scheduler.verify import check

    instance = rest.instance
    with shown(instance, how_long(effort, seconds)) as show:
        ask = partial(solve, instance, effort=effort, seconds=seconds, seed=seed, near=rest.kept)
        result = watched(ask, show)
    if result.schedule is None:
        raise NoPlan(f"The search ended after {result.runtime_s:.1f} s without a plan; nothing was written.")
    passed(instance, result.schedule, "the rest of the day")
    schedule = held(instance, rest.kept, result.schedule, put_down_anew, check)
    day = rest.problem.instance
    return RestAnswer(
        rest=rest,
        result=replace(result, schedule=schedule),
        verdict=passed(instance, schedule, "the rest of the day, printed starts held"),
        whole=check(day, merged(rest, schedule)),
        as_they_come=values_of_check(day, passed(day, as_they_come(day), "the orders taken as they come")),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a day is planned again for.

    Attributes
    ----------
    at
        None: now.
    between
        What came in between, once the plan's day is known.
    changed
        Orders files read again: orders of the plan as they are now, and new ones.
    edits
        Orders of the plan with another cut-off or quantity, once the plan is known and the files are read.
    """

    plans: Path
    at: AtMoment | None
    orders: tuple[Path, ...] = ()
    between: Callable[[date], Disruptions] | None = None
    changed: tuple[Path, ...] = ()
    edits: Callable[[Plan, dict[str, Order]], tuple[Order, ...]] | None = None


def replan_day(
    asked: Asked, effort: Effort, seconds: float | None, seed: int, as_json: bool, paper: Paper
) -> None:
    """Plan the rest of a day again, write it as the next version, and say what changes.

    When another command has made a plan of the day meanwhile, or entered what happened, it begins anew
    from there.

    Raises
    ------
    BadInput
        When something asked for does not fit the plan.
    """
    from scheduler.cli.moments import BEGUN_ANEW, OvertakenError, never_alone

    for _ in range(BEGUN_ANEW):
        try:
            return _replan_day(asked, effort, seconds, seed, as_json, paper)
        except OvertakenError as news:
            say(str(news), to_error=True)
    raise BadInput([never_alone(asked.plans)])


def _replan_day(
    asked: Asked, effort: Effort, seconds: float | None, seed: int, as_json: bool, paper: Paper
) -> None:
    from scheduler.cli.again_words import again_json, change_lines
    from scheduler.cli.books import open_day
    from scheduler.cli.cures import looking_for, with_cures
    from scheduler.cli.files import new_paper, put
    from scheduler.cli.moments import moment_for, still_as
    from scheduler.cli.pressed import pressed_doubts
    from scheduler.cli.summary import columns_here, files_lines, same_plan, summary, sure_summary
    from scheduler.daybook.between import CameIn, between_of, entries_of
    from scheduler.daybook.state import state_at
    from scheduler.domain.disruptions import NOTHING
    from scheduler.planning.again import plan_rest
    from scheduler.planning.asked import doubts_of_asked, doubts_of_stopped
    from scheduler.planning.changed import orders_meant
    from scheduler.sheets.write import changed_files

    with open_day(asked.plans, asked.at.day if asked.at else None) as day:
        plan, events = day.plan, day.events
    # What was said once may have been taken back since.
    plan = replace(plan, between=between_of(plan, events))
    moment = moment_for(asked.at, plan, events)
    new: tuple[Order, ...] = ()
    if asked.orders:
        new, doubts = read_new(asked.orders, plan.shop, plan.day)
        say_faults(doubts, "", to_error=True)
    restated: dict[str, Order] = {}
    if asked.changed:
        again, doubts = read_new(asked.changed, plan.shop, plan.day)
        say_faults(doubts, "", to_error=True)
        known = {order.id for order in plan.given}
        new = (*new, *(order for order in again if order.id not in known))
        restated = {order.id: order for order in again if order.id in known}
        for line in _not_in_it(plan, restated):
            say(line, to_error=True)
    say_faults(pressed_doubts(asked.plans, plan.day, new), "", to_error=True)
    if asked.edits is not None:
        restated.update((order.id, order) for order in asked.edits(plan, restated))
    between = NOTHING if asked.between is None else orders_meant(plan, asked.between(plan.day))
    state = state_at(plan, events, moment)

    def planned(split: frozenset[str]) -> Rest:
        now = tuple(restated.values())
        return plan_rest(plan, new, state, between=between, changed=now, split=split)

    rest = planned(frozenset())
    odd = doubts_of_asked(plan, state, between)
    odd += doubts_of_stopped(plan, rest.problem.parts, rest.moment.begun)
    say_faults(odd, "", to_error=True)
    answer = search_rest(rest, effort=effort.value, seconds=seconds, seed=seed)
    cured = with_cures(
        answer.plan(plan.version + 1),
        lambda split: _tried(planned(split), answer),
        looking_for(rest.problem, answer.result, seconds=seconds, seed=seed),
    )
    changed: list[NewPaper] = []

    def make(version: int) -> Plan:
        made = replace(cured, version=version, at=moment)
        paper_of = new_paper(plan, made, moment)
        made = replace(made, paper=paper_of.change.in_hand)
        changed.append(replace(paper_of, new=made))
        return made

    def sheets(_: Plan) -> dict[str, bytes]:
        return changed_files(changed[-1], paper=paper.value)

    came = CameIn(between=between, new=new, changed=_changed(plan, restated))

    def entries(made: Plan) -> tuple[Event, ...]:
        return entries_of(came, plan, made, moment, now().replace(microsecond=0))

    written = put(
        make,
        plan.day,
        asked.plans,
        paper=paper.value,
        sheets=sheets,
        events=entries,
        still=still_as(day),
    )
    if as_json:
        put_json(again_json(moment, answer, written, changed[-1]))
    lines = [
        *summary(written.plan, columns_here(), result=answer.result),
        *sure_summary(written.sure, written.folder),
    ]
    if written.same:
        lines.insert(1, same_plan(written.plan))
    told = [] if written.same else change_lines(changed[-1])
    where = files_lines(written.folder, written.files)
    for line in [*lines, "", *told, *([""] if told else []), *written.notes, *where]:
        say(line, to_error=as_json)


def _changed(plan: Plan, restated: dict[str, Order]) -> tuple[Order, ...]:
    """Those of the orders read again that are not as they were."""
    from scheduler.planning.changed import as_it_is, same_order

    return tuple(order for name, order in restated.items() if not same_order(as_it_is(plan, name), order))


def _not_in_it(plan: Plan, again: dict[str, Order]) -> list[str]:
    """What is said of orders that a file read again lacks."""
    gone = [
        order.id
        for order in plan.given
        if order.id not in again and order.id not in plan.between.cancelled and not order.on_top_of
    ]
    if not gone:
        return []
    named = ", ".join(gone[:12]) + (f" and {len(gone) - 12} more" if len(gone) > 12 else "")
    return [f"Not in the file that was read again, so they stay as planned (--cancel drops one): {named}."]


def _tried(rest: Rest, answer: RestAnswer) -> TryOut:
    """The rest of a day to be searched again, beginning with what was found for it."""
    from scheduler.planning.helps import TryOut

    schedule = answer.result.schedule
    assert schedule is not None
    there = {(task.id, mode.id) for task in rest.instance.tasks for mode in task.modes}
    kept = replace(
        schedule,
        tasks=tuple(done for done in schedule.tasks if (done.task, done.mode) in there),
        left_over=tuple(task for task in schedule.left_over if task in rest.problem.contents),
    )
    return TryOut(problem=rest.problem, instance=rest.instance, kept=kept)


__all__ = ["Asked", "RestAnswer", "read_new", "replan_day", "search_rest"]
