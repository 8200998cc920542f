"""Breaks over which a press stays hot and nobody else is at work: who has the break is told to stay near."""

from __future__ import annotations

from datetime import datetime

from scheduler.domain.idle import press_off
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.presence import (
    LONG_BREAK,
    Span,
    away_until,
    empty_between,
    joined,
    without,
)
from scheduler.domain.press_order import press_after


def alone_words(plan: Plan, name: str, start: datetime, end: datetime) -> str:
    """What is said of a break over which presses stay hot; empty: somebody else is there, or none is hot.

    Over a break of `LONG_BREAK` with nobody in, presses go off.
    """
    if not name or end - start >= LONG_BREAK:
        return ""
    if not empty_between(_at_work(plan, name, start), start, end):
        return ""
    hot = [press.name for press in plan.shop.presses if _stays_on(plan, press.name, start)]
    if not hot:
        return ""
    stay = "stays" if len(hot) == 1 else "stay"
    return f"nobody else is at work then, and {' and '.join(hot)} {stay} hot: stay near"


def _at_work(plan: Plan, name: str, day: datetime) -> list[Span]:
    """When others are at work on a date, breaks left out."""
    spans: list[Span] = []
    for shift in plan.shifts:
        if shift.operator == name or shift.start.date() != day.date():
            continue
        out = [(one.start, one.end) for one in plan.breaks if one.operator == shift.operator]
        out += [(one.start, away_until(one)) for one in plan.between.away if one.person == shift.operator]
        spans += without([(shift.start, shift.end)], out)
    spans += [(run.start, run.end) for run in plan.runs if run.operator not in (name, "") and not run.pauses]
    return joined(spans)


def _stays_on(plan: Plan, press: str, moment: datetime) -> bool:
    """Whether a press is hot at a moment and stays so for a run, or in the middle of one."""
    before = [run for run in _of_day(plan, press, moment) if run.pressing_start < moment]
    if not before:
        return False
    last = max(before, key=lambda run: run.start)
    if last.end > moment:
        return True
    return press_after(plan, last, press) is not None and press_off(plan, last, press) is None


def _of_day(plan: Plan, press: str, moment: datetime) -> list[PlannedRun]:
    return [run for run in plan.runs if press in run.presses and run.start.date() == moment.date()]


__all__ = ["alone_words"]
