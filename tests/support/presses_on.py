"""When each press is on, if everybody does what the sheets say: a reading of its own, from the words.

A press goes on by the switch-on list, and off where the sheet of a run says so, or at the moment of planning
again. What is said must do: hot for every run, and never on with nobody of the crew in.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from scheduler.domain.idle import NOTICE_MIN, off_at_once, off_by
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.sheets.dayview import names, sheet_days
from scheduler.sheets.lines import after_words
from scheduler.sheets.run_sheets import sheets_data

Span = tuple[datetime, datetime]
On = Mapping[str, Sequence[Span]]

ALONE = timedelta(minutes=5)
"""For less than that nobody may be in, as when one goes and another comes."""

HOME = timedelta(hours=1)
"""Over a break as long as this nobody need be in."""


def follow(plan: Plan, before: On | None = None) -> dict[str, list[Span]]:
    """When each press is on by the sheets of a plan, from its moment on; before as it was.

    Parameters
    ----------
    before
        The same by the sheets that were in hand until the plan's moment; None: it is the first plan.

    Raises
    ------
    AssertionError
        When a press isn't hot for a run to come, is switched on although it is on, stays on, or is on with
        nobody of the crew in.
    """
    return {
        press.name: _follow(plan, press.name, (before or {}).get(press.name, ()))
        for press in plan.shop.presses
    }


def _follow(plan: Plan, press: str, before: Sequence[Span]) -> list[Span]:
    at = plan.at or datetime.min
    spans = [(start, end) for start, end in before if end <= at]
    since = next((start for start, end in before if start < at < end), None)
    runs = [run for run in plan.runs if press in run.presses]
    told = [(warm.start, "on") for warm in plan.warm_ups if warm.press == press and warm.start >= at]
    told += [(run.end, "off") for run in runs if run.end >= at and _goes_off(after_words(plan, run, press))]
    if press in off_at_once(plan) or _stands_still(plan, press):
        told.append((at, "off"))
    for moment, what in sorted(told):  # of two at a moment "off" comes first
        if what == "on":
            assert since is None, (press, moment, "is switched on though it is on")
            since = moment
        elif since is not None:
            spans.append((since, moment))
            since = None
    assert since is None, (press, since, "stays on")
    ready = {warm.start: warm.ready for warm in plan.warm_ups if warm.press == press}
    for run in runs:
        if run.start >= at:
            own = [start for start, end in spans if start <= run.pressing_start and run.end <= end]
            assert own and ready.get(own[0], own[0]) <= run.pressing_start, (press, run.id, "is not hot")
    for start, end in spans:
        _check_near(plan, press, max(start, at, _as_printed_until(runs, at)), end)
    return spans


def _as_printed_until(runs: Sequence[PlannedRun], at: datetime) -> datetime:
    """The beginning of a run within the notice: it stays as printed, and its press on, whoever left."""
    soon = [run.start for run in runs if at <= run.start < at + timedelta(minutes=NOTICE_MIN)]
    return min(soon, default=at)


def told_off_by(plan: Plan) -> dict[str, list[str]]:
    """By press: whose printed sheets say to switch it off at the moment of planning again, once a saying."""
    found: dict[str, list[str]] = {press.name: [] for press in plan.shop.presses}
    for name in names(plan, "operator"):
        for sheet in sheet_days(plan, "operator", name):
            data = sheets_data(plan, [sheet], since=plan.at)
            (one,) = data["sections"]  # type: ignore[misc]
            lines = [entry["text"] for entry in one["entries"] if entry["type"] == "line"]
            for press in found:
                told = [text for text in lines if text.startswith("SWITCH OFF") and press in _listed(text)]
                told += [text for text in one["stops"] if press in _stopped_at(text)]
                found[press] += [name] * len(told)
    return found


def check_told_once(plan: Plan) -> None:
    """Each press that goes off at the moment is on one sheet, if somebody of the crew is in then.

    Raises
    ------
    AssertionError
        When two say it, or none, or one of a press that is off or stays on.
    """
    at_once = off_at_once(plan)
    for press, people in told_off_by(plan).items():
        if press in at_once:
            assert len(people) == 1 or (not people and not off_by(plan)), (press, people)
        else:
            assert not people, (press, people)


def _listed(text: str) -> list[str]:
    return text.removeprefix("SWITCH OFF ").split(":")[0].split(" and ")


def _stopped_at(text: str) -> list[str]:
    """The presses that the box of a run that stops says to switch off."""
    place = re.search(r" At (.+?), (?:finish|press|nothing)", text)
    presses = place[1].split(" + ") if place else []
    if len(presses) == 1:
        return presses if _goes_off(text) else []
    return [
        press
        for press in presses
        if f"SWITCH {press.upper()} OFF" in text or f"last run on {press} today" in text
    ]


def _goes_off(words: str) -> bool:
    return "switch it off" in words or "SWITCH" in words


def _stands_still(plan: Plan, press: str) -> bool:
    """Whether a press is down at the plan's moment: then it is off, whoever switched it."""
    return plan.at is not None and any(
        down.press == press and (down.until is None or down.until > plan.at) for down in plan.between.down
    )


def _check_near(plan: Plan, press: str, start: datetime, end: datetime) -> None:
    """Somebody is in over a stretch, from when the first of that day came."""
    inside: list[Span] = []
    for shift in plan.shifts:
        if shift.start.date() == start.date():
            stays = [
                run.end
                for run in plan.runs
                if run.operator == shift.operator and shift.start <= run.start < end
            ]
            inside += _without_absences(plan, shift.operator, shift.start, max([shift.end, *stays]))
    inside.sort()
    if start >= end or not inside:
        return
    gone = max(start, inside[0][0])
    for first, last in inside:
        if gone >= end:
            return
        assert min(first, end) - gone < ALONE, (press, gone, min(first, end), "is on with nobody in")
        gone = max(gone, last)
    assert end - gone < ALONE, (press, gone, end, "is on with nobody in")


def _without_absences(plan: Plan, person: str, start: datetime, end: datetime) -> list[Span]:
    out = [(one.start, one.end or _midnight(one.start)) for one in plan.between.away if one.person == person]
    out += [
        (one.start, one.end) for one in plan.breaks if one.operator == person and one.end - one.start >= HOME
    ]
    parts = [(start, end)]
    for gone, back in out:
        parts = [
            part
            for first, last in parts
            for part in ((first, min(last, gone)), (max(first, back), last))
            if part[0] < part[1]
        ]
    return parts


def _midnight(moment: datetime) -> datetime:
    return datetime.combine(moment.date() + timedelta(days=1), datetime.min.time())
