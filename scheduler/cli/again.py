"""The rest of a day planned again: new orders read, search, check, and what it means in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Any

from scheduler.cli.ends import counted, put_json, say, say_faults
from scheduler.cli.planned import passed, values_of_check
from scheduler.cli.progress import how_long, shown, watched
from scheduler.exceptions import BadInput, NoPlan

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date
    from pathlib import Path

    from scheduler.cli.files import Written
    from scheduler.cli.options import Effort, Paper
    from scheduler.cli.options import Moment as AtMoment
    from scheduler.domain.disruptions import Disruptions
    from scheduler.domain.faults import Fault
    from scheduler.domain.orders import Order
    from scheduler.domain.plan import Plan, PlannedRun
    from scheduler.domain.schedule import LevelValue, Result, Verdict
    from scheduler.domain.shop import Shop
    from scheduler.planning.again import Rest
    from scheduler.planning.differences import Difference


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

    Raises
    ------
    NoPlan
        When the search ended without a plan.
    BrokenPlan
        When the independent check refuses the rest.
    """
    from scheduler.engine.baseline import as_they_come
    from scheduler.engine.solve import solve
    from scheduler.planning.again import merged
    from scheduler.verify import check

    instance = rest.instance
    with shown(instance, how_long(effort, seconds)) as show:
        ask = partial(solve, instance, effort=effort, seconds=seconds, seed=seed, near=rest.kept)
        result = watched(ask, show)
    if result.schedule is None:
        raise NoPlan(f"The search ended after {result.runtime_s:.1f} s without a plan; nothing was written.")
    day = rest.problem.instance
    return RestAnswer(
        rest=rest,
        result=result,
        verdict=passed(instance, result.schedule, "the rest of the day"),
        whole=check(day, merged(rest, result.schedule)),
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
    """

    plans: Path
    at: AtMoment | None
    orders: tuple[Path, ...] = ()
    between: Callable[[date], Disruptions] | None = None


def replan_day(
    asked: Asked, effort: Effort, seconds: float | None, seed: int, as_json: bool, paper: Paper
) -> None:
    """Plan the rest of a day again, write it as the next version, and say what changes.

    Raises
    ------
    BadInput
        When something asked for does not fit the plan.
    """
    from scheduler.cli.books import open_day
    from scheduler.cli.files import put
    from scheduler.cli.summary import columns_here, files_lines, summary
    from scheduler.daybook.state import state_at
    from scheduler.domain.disruptions import NOTHING
    from scheduler.planning.again import plan_rest
    from scheduler.planning.differences import differences

    with open_day(asked.plans, asked.at.day if asked.at else None) as day:
        plan, events = day.plan, day.events
    moment = asked.at.on(plan.day) if asked.at else datetime.now().replace(second=0, microsecond=0)
    new: tuple[Order, ...] = ()
    if asked.orders:
        new, doubts = read_new(asked.orders, plan.shop, plan.day)
        say_faults(doubts, "", to_error=True)
    between = NOTHING if asked.between is None else asked.between(plan.day)
    rest = plan_rest(plan, new, state_at(plan, events, moment), between=between)
    answer = search_rest(rest, effort=effort.value, seconds=seconds, seed=seed)
    written = put(answer.plan, plan.day, asked.plans, paper=paper.value)
    found = differences(plan, written.plan)
    if as_json:
        put_json(_as_json(plan, moment, answer, written, found))
    lines = summary(written.plan, columns_here())
    for line in [*lines, "", *change_lines(found), "", *files_lines(written.folder, written.files)]:
        say(line, to_error=as_json)


def _as_json(
    plan: Plan, moment: datetime, answer: RestAnswer, written: Written, found: Sequence[Difference]
) -> dict[str, Any]:
    from scheduler.planning.differences import changed_sheets

    new = written.plan
    return {
        "day": plan.day.isoformat(),
        "at": moment.isoformat(timespec="seconds"),
        "version": new.version,
        "replaces": plan.version,
        "folder": str(written.folder),
        "levels": [{"name": one.name, "value": one.value} for one in answer.result.levels],
        "first_answer_s": round(answer.result.first_plan_s, 2),
        "orders": [
            {
                "id": order.id,
                "cut_off": order.cut_off.isoformat(),
                "finished": order.finished.isoformat() if order.finished else None,
                "late_minutes": order.late_minutes,
            }
            for order in new.orders
        ],
        "changes": [
            {
                "run": one.run,
                "kind": one.kind.name.lower(),
                "minutes": one.minutes,
                "people": list(one.people),
            }
            for one in found
        ],
        "new_sheets_for": list(changed_sheets(found)),
    }


def change_lines(found: Sequence[Difference]) -> list[str]:
    """What changed on the sheets, in words, by person."""
    from scheduler.planning.differences import Kind, changed_sheets

    if not found:
        return ["Nothing on the printed sheets changes."]
    people = changed_sheets(found)
    counts = [
        f"{sum(1 for one in found if one.kind is kind)} {kind.value}"
        for kind in Kind
        if any(one.kind is kind for one in found)
    ]
    lines = [f"Against the printed sheets: {', '.join(counts)}.", f"New sheets for {', '.join(people)}."]
    for person in people:
        lines.append(f"  {person}:")
        lines.extend(f"    {_said(one, person)}" for one in found if person in one.people)
    return lines


def _said(one: Difference, person: str) -> str:
    after, before = one.after, one.before
    if after is None or (before is not None and before.operator == person != after.operator):
        assert before is not None
        gone = "is no longer pressed" if after is None else f"goes to {after.operator}"
        return f"run {before.number}, {_what(before)}: {gone}"
    where = f"{after.pressing_start:%H:%M} at {after.press}"
    if before is None:
        return f"new: run {after.number}, {_what(after)}, {where}"
    if before.operator != after.operator:
        return f"run {after.number}, {_what(after)}: from {before.operator}, {where}"
    if before.press != after.press:
        return f"run {after.number}, {_what(after)}: now {where}, not at {before.press}"
    moved = f"{before.pressing_start:%H:%M} becomes {where}"
    return f"run {after.number}, {_what(after)}: {moved}"


def _what(run: PlannedRun) -> str:
    pieces = counted(run.content.quantity, "piece")
    return f"order {run.content.order}, {' and '.join(run.content.placements)}, {pieces}"


__all__ = ["Asked", "RestAnswer", "change_lines", "read_new", "replan_day", "search_rest"]
