"""A plan that comes out worse than the one that is there: which of them counts, and how that is said."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scheduler.domain.shop import NOWHERE

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from scheduler.domain.instance import Level
    from scheduler.domain.orders import Order
    from scheduler.domain.plan import Plan
    from scheduler.domain.schedule import LevelValue

ALWAYS_SAID: tuple[Level, ...] = ("lateness", "changeover")
"""Levels that an owner weighs plans by; the one that decides is said beside them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Worse:
    """A plan, and the one before it of the same day, which was better.

    Attributes
    ----------
    found
        The plan that the search gave.
    same_input
        Both were made from the same orders, shop and times.
    stays
        The plan before stays the newest one of the day; the one found was written nowhere.
    """

    found: Plan
    before: Plan
    same_input: bool
    stays: bool


def worse(found: Plan, before: Plan, *, counts: bool) -> Worse | None:
    """That a plan is worse than the one before; None when it isn't, or when they can't be held side by side.

    Parameters
    ----------
    counts
        The plan found counts all the same, since more was asked for than the best.
    """
    if found.at is not None or before.at is not None or not _side_by_side(found, before):
        return None
    if [one.value for one in found.levels] <= [one.value for one in before.levels]:
        return None
    same = _same_input(found, before)
    return Worse(found=found, before=before, same_input=same, stays=same and not counts)


def _side_by_side(one: Plan, other: Plan) -> bool:
    names = [[level.name for level in plan.levels] for plan in (one, other)]
    return names[0] == names[1] and one.instance.tick_s == other.instance.tick_s


def _same_input(one: Plan, other: Plan) -> bool:
    """Whether two plans were made from the same orders, shop and times, in whatever cells they stood."""
    return (
        one.instance == other.instance
        and one.shop == other.shop
        and _anywhere(one) == _anywhere(other)
        and _left_out(one) == _left_out(other)
    )


def _anywhere(plan: Plan) -> list[Order]:
    return [
        replace(
            order,
            source=NOWHERE,
            lines=tuple(
                replace(
                    line, source=NOWHERE, prints=tuple(replace(one, source=NOWHERE) for one in line.prints)
                )
                for line in order.lines
            ),
        )
        for order in plan.given
    ]


def _left_out(plan: Plan) -> set[tuple[str, bool]]:
    return {(one.order, one.whole) for one in plan.not_planned}


def worse_lines(told: Worse, folder: Path, stopped: str = "") -> list[str]:
    """What is said of it: which plan counts, the figures of both, and where the sheets of the other are.

    Parameters
    ----------
    folder
        Where the plan that counts stands.
    stopped
        Why the search was stopped early; where the plan before stays, the summary below is silent on it.
    """
    before = f"version {told.before.version}"
    figures = list(_figures(told))
    if told.stays:
        return [
            f"This search found no plan as good as {before}, which is of the same orders, shop and times. "
            f"So {before} stays the plan of the day, and sheets in hand stay valid.",
            *figures,
            *([stopped] if stopped else []),
            "To have the plan of a search even if it is worse, give --anew.",
            "",
        ]
    head = (
        f"{before.capitalize()}, of the same orders, shop and times, was better."
        if told.same_input
        else f"By its figures {before} was better, but orders, shop or times are no longer the same: this "
        "plan counts."
    )
    there = _folder_of(told.before.version, folder)
    return [
        head,
        *figures,
        f'The sheets of {before} are in {there}; to print them again: pressday sheets "{there}"',
        "",
    ]


def _figures(told: Worse) -> Iterator[str]:
    labels = ("this search" if told.stays else "this plan", f"version {told.before.version}")
    width = max(len(label) for label in labels) + 1
    decides = next(
        one.name
        for one, other in zip(told.found.levels, told.before.levels, strict=True)
        if one.value != other.value
    )
    for label, plan in zip(labels, (told.found, told.before), strict=True):
        said = [_said(plan, level) for level in plan.levels if level.name in (*ALWAYS_SAID, decides)]
        yield f"  {label + ':':<{width}} {'; '.join(said)}"


def _said(plan: Plan, level: LevelValue) -> str:
    from scheduler.sheets.words import said, title

    name = title(plan, level.name)
    return f"{name[0].lower()}{name[1:]} {said(plan, level)}"


def _folder_of(version: int, newest: Path) -> Path:
    """Where the plan before stands now: within the newest one's folder, or beside it when it was locked."""
    within = newest / f"version-{version}"
    beside = newest.with_name(newest.name.partition("-version-")[0])
    return within if within.is_dir() or beside == newest else beside
