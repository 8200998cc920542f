"""The rest of a day planned again: new orders read, search, check, and what it means in words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from scheduler.cli.ends import counted
from scheduler.cli.planned import passed, values_of_check
from scheduler.cli.progress import how_long, shown, watched
from scheduler.exceptions import BadInput, NoPlan

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from pathlib import Path

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


__all__ = ["RestAnswer", "change_lines", "read_new", "search_rest"]
