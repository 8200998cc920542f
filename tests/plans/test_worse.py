"""A plan that comes out worse than the one before it is said, and never takes its place unasked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from scheduler.domain.faults import Source
from scheduler.domain.plan import Plan
from scheduler.plans.worse import Worse, worse
from tests.sheets.sample_plan import sample_plan


def with_level(plan: Plan, name: str, more: int) -> Plan:
    """The plan with so much more at a level."""
    levels = [replace(one, value=one.value + more) if one.name == name else one for one in plan.levels]
    return replace(plan, levels=tuple(levels))


def held(found: Plan, before: Plan) -> Worse:
    told = worse(found, before, counts=False)
    assert told is not None
    return told


def test_better_and_as_good_plans_are_silent() -> None:
    plan = sample_plan()
    assert worse(plan, plan, counts=False) is None
    assert worse(plan, with_level(plan, "changeover", 1), counts=False) is None
    less_late = with_level(with_level(plan, "lateness", -1), "changeover", 5)
    assert worse(less_late, plan, counts=False) is None, "lateness goes before changeovers"
    assert worse(plan, less_late, counts=False) is not None


def test_what_was_asked_for_counts_and_so_does_other_input() -> None:
    plan = sample_plan()
    found = with_level(plan, "changeover", 10)
    asked = worse(found, plan, counts=True)
    assert asked is not None and asked.same_input and not asked.stays
    assert held(found, plan).stays
    other_shop = held(replace(found, shop=replace(plan.shop, name="Elsewhere")), plan)
    assert not other_shop.same_input and not other_shop.stays
    assert worse(replace(found, at=plan.runs[0].start), plan, counts=False) is None


def test_the_same_orders_in_another_file_are_the_same_input(planned_once: Path) -> None:
    from scheduler.plans.kept import read_kept

    plan, _ = read_kept(planned_once)
    moved = tuple(replace(one, source=Source(file="copy.xlsx", cell="A99")) for one in plan.given)
    assert moved != plan.given
    found = with_level(replace(plan, given=moved), "changeover", 10)
    assert held(found, plan).stays
    fewer = replace(found, given=moved[1:])
    assert not held(fewer, plan).stays
