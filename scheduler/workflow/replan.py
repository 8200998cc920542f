"""The rest of a day planned again: what is asked for read, searched, checked, and written as a version."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput
from scheduler.now import now
from scheduler.workflow.new_orders import read_new
from scheduler.workflow.rest import search_rest

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date, datetime
    from pathlib import Path

    from scheduler.domain.disruptions import Disruptions
    from scheduler.domain.orders import Order
    from scheduler.domain.plan import Plan
    from scheduler.domain.progress import Event
    from scheduler.planning.helps import TryOut
    from scheduler.planning.rest import Rest
    from scheduler.plans.files import PaperName, Written
    from scheduler.sheets.new_sheets import NewPaper
    from scheduler.workflow.moments import Moment
    from scheduler.workflow.owner import Owner
    from scheduler.workflow.rest import RestAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a day is planned again for.

    Attributes
    ----------
    at
        None: now.
    day
        Which planned day; None: that of `at`, else today if it is planned, otherwise the newest that is.
    between
        What came in between, once the plan's day is known.
    changed
        Orders files read again: orders of the plan as they are now, and new ones.
    edits
        Orders of the plan with another cut-off or quantity, once the plan is known and the files are read.
    """

    plans: Path
    at: Moment | None
    day: date | None = None
    orders: tuple[Path, ...] = ()
    between: Callable[[date], Disruptions] | None = None
    changed: tuple[Path, ...] = ()
    edits: Callable[[Plan, dict[str, Order]], tuple[Order, ...]] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """The next version of a day.

    Attributes
    ----------
    moment
        From which it was planned again.
    paper
        What becomes of the sheets in hand.
    """

    moment: datetime
    answer: RestAnswer
    written: Written
    paper: NewPaper


def replan_day(
    asked: Asked, *, effort: str, seconds: float | None, seed: int, paper: PaperName, owner: Owner
) -> Replanned:
    """Plan the rest of a day again, and write it as the next version.

    When another command has made a plan of the day meanwhile, or entered what happened, it begins anew
    from there.

    Raises
    ------
    BadInput
        When something asked for does not fit the plan.
    """
    from scheduler.workflow.moments import BEGUN_ANEW, OvertakenError, never_alone

    for _ in range(BEGUN_ANEW):
        try:
            return _replan_day(asked, effort, seconds, seed, paper, owner)
        except OvertakenError as news:
            owner.tell(str(news))
    raise BadInput([never_alone(asked.plans)])


def _replan_day(
    asked: Asked, effort: str, seconds: float | None, seed: int, paper: PaperName, owner: Owner
) -> Replanned:
    from scheduler.daybook.between import CameIn, between_of, entries_of
    from scheduler.daybook.state import state_at
    from scheduler.domain.disruptions import NOTHING, cancelled_of
    from scheduler.planning.asked import doubts_of_asked, doubts_of_fewer, doubts_of_stopped
    from scheduler.planning.changed import names_meant
    from scheduler.planning.idle import idle_notes
    from scheduler.planning.rest import plan_rest
    from scheduler.plans.book import open_day
    from scheduler.plans.files import new_paper, put
    from scheduler.plans.folder import check_writable
    from scheduler.sheets.write import changed_files
    from scheduler.workflow.cures import looking_for, with_cures
    from scheduler.workflow.moments import moment_for, still_as
    from scheduler.workflow.pressed import pressed_doubts

    chosen = asked.day or (asked.at.day if asked.at else None)
    with open_day(asked.plans, chosen, tell=owner.tell) as day:
        plan, events = day.plan, day.events
    check_writable(asked.plans)
    # What was said once may have been taken back since.
    plan = replace(plan, between=between_of(plan, events))
    moment = moment_for(asked.at, plan, events)
    new, restated = _orders(asked, plan, owner)
    owner.tell_faults(pressed_doubts(asked.plans, plan.day, new, tell=owner.tell))
    between = NOTHING if asked.between is None else names_meant(plan, asked.between(plan.day))
    between = replace(between, down=tuple(replace(one, since=moment) for one in between.down))
    # Whoever had gone by the moment has pressed nothing since.
    gone = replace(plan.between, away=plan.between.and_then(between).away)
    state = state_at(replace(plan, between=gone), events, moment)
    # How late orders stood, though, is told without what is said now: that is what may have made them later.
    state = replace(state, orders=state_at(plan, events, moment).orders)

    def planned(split: frozenset[str]) -> Rest:
        now = tuple(restated.values())
        return plan_rest(plan, new, state, between=between, changed=now, split=split)

    rest = planned(frozenset())
    odd = doubts_of_asked(plan, state, between)
    odd += doubts_of_stopped(
        plan,
        state,
        rest.problem.parts,
        rest.moment.begun,
        cancelled=cancelled_of(rest.problem.orders, rest.problem.between),
    )
    odd += doubts_of_fewer(plan, state, rest.problem.between.fewer, rest.problem.parts)
    owner.tell_faults(odd)
    answer = search_rest(rest, effort=effort, seconds=seconds, seed=seed, owner=owner)
    cured = with_cures(
        answer.plan(plan.version + 1),
        lambda split: _tried(planned(split), answer),
        looking_for(rest.problem, answer.result, seconds=seconds, seed=seed),
    )
    changed: list[NewPaper] = []

    def make(version: int) -> Plan:
        made = replace(cured, version=version, at=moment, pressed=state.pressed)
        made = replace(made, notes=(*idle_notes(made), *made.notes))
        paper_of = new_paper(plan, made, moment)
        made = replace(made, paper=paper_of.change.in_hand)
        assumed = {run.run for run in state.assumed} | {part.run for part in made.parts if part.assumed}
        entered = frozenset(run.id for run in made.runs) - assumed
        changed.append(replace(paper_of, new=made, entered=entered))
        return made

    def sheets(_: Plan) -> dict[str, bytes]:
        return changed_files(changed[-1], paper=paper)

    came = CameIn(between=between, new=new, changed=_changed(plan, restated))

    def entries(made: Plan) -> tuple[Event, ...]:
        return entries_of(came, plan, made, moment, now().replace(microsecond=0), events)

    written = put(
        make,
        plan.day,
        asked.plans,
        paper=paper,
        tell=owner.tell,
        sheets=sheets,
        events=entries,
        still=still_as(day),
    )
    return Replanned(moment=moment, answer=answer, written=written, paper=changed[-1])


def _orders(asked: Asked, plan: Plan, owner: Owner) -> tuple[tuple[Order, ...], dict[str, Order]]:
    """New orders, and by id those of the plan as they are now."""
    new: tuple[Order, ...] = ()
    if asked.orders:
        new, doubts = read_new(asked.orders, plan.shop, plan.day)
        owner.tell_faults(doubts)
    restated: dict[str, Order] = {}
    if asked.changed:
        again, doubts = read_new(asked.changed, plan.shop, plan.day)
        owner.tell_faults(doubts)
        known = {order.id for order in plan.given}
        new = (*new, *(order for order in again if order.id not in known))
        restated = {order.id: order for order in again if order.id in known}
        for line in _not_in_it(plan, restated):
            owner.tell(line)
    if asked.edits is not None:
        restated.update((order.id, order) for order in asked.edits(plan, restated))
    return new, restated


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
