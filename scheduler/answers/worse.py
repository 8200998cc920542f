"""What is said of a plan that is worse than the one before it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from scheduler.domain.instance import Level
    from scheduler.domain.plan import Plan
    from scheduler.domain.schedule import LevelValue
    from scheduler.plans.worse import Worse


ALWAYS_SAID: tuple[Level, ...] = ("lateness", "changeover")
"""Levels that an owner weighs plans by; the one that decides is said beside them."""


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
