"""Doubts about the end of a run that can hardly have been: something else was under way, or it is too soon.

What is typed is taken as said; most often it was another run's number.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from scheduler.daybook.entries import fault_at
from scheduler.daybook.facts import Facts, facts_of, standing
from scheduler.daybook.forecast import Course, Forecast
from scheduler.domain.clock import clock
from scheduler.domain.faults import Fault, Severity
from scheduler.domain.figures import counted, nearest
from scheduler.domain.hours import Hours
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.progress import Event, RunLine

QUICK = 2
"""Pieces pressed more than so many times as fast as planned are doubted."""

NOTED = timedelta(minutes=1)
"""Times are noted to the minute."""


def doubts_of_end(
    line: RunLine,
    run: PlannedRun,
    plan: Plan,
    events: Iterable[Event],
    *,
    box: str,
    start: datetime | None,
    end: datetime,
    pieces: int,
) -> list[Fault]:
    """Doubt about the end or the count of a run beside what is known of others; one at most.

    Parameters
    ----------
    events
        The entries of the day so far.
    box, end
        The box that tells the time of the end or of the count, and that time.
    start
        Its first pressing; None: nobody said.
    pieces
        Pieces off the press by then, spoiled ones with them.
    """
    if not pieces:
        return []
    news = standing(events)
    facts = {one.id: known for one in plan.runs if (known := facts_of(one, news, datetime.max)) is not None}
    found = _at_another(line, run, plan, facts, box, start, end)
    if not found and start is None:
        found = _too_soon(line, run, plan, facts, box, end, pieces)
    return [replace(one, severity=Severity.DOUBT) for one in found]


def planned_for(run: PlannedRun, plan: Plan, pieces: int) -> timedelta:
    """Working time that is planned for so many pieces of a run."""
    whole = Hours(plan).worked(run.operator, run.pressing_start, run.end)
    return whole * (pieces / max(1, run.content.quantity))


def _at_another(
    line: RunLine,
    run: PlannedRun,
    plan: Plan,
    facts: dict[str, Facts],
    box: str,
    start: datetime | None,
    end: datetime,
) -> list[Fault]:
    """Doubt where another run, whose start was entered, was under way at its press or by its person then."""
    courses = Forecast(plan, facts).courses
    presses, who = _where_and_who(line, run, facts)
    for other in sorted(courses.values(), key=lambda one: (one.pressing_start, one.run.number)):
        known = other.facts
        if other.run.id == run.id or known is None or known.started is None:
            continue
        same_press = [press for press in other.presses if press in presses]
        if not (same_press or (who and other.operator == who)) or not _meets(other, start, end):
            continue
        where = f"at {same_press[0]}" if same_press else f"by {who}"
        since = clock(other.pressing_start)
        doing = f"is under way {where} since {since}"
        if known.finished is not None:
            doing = f"was pressed {where} from {since} to {clock(known.finished)}"
        number = other.run.number
        return [
            fault_at(
                "another-under-way",
                line,
                box,
                f"run {run.number}: {_said(box, end)}, but run {number} {doing}",
                "one run at a time at a press, and by a person",
                f"It is taken as said; enter it again if it was another time or run, or run {number} if that "
                f"was over by then: pressday done {number} --finished HH:MM.",
            )
        ]
    return []


def _meets(other: Course, start: datetime | None, end: datetime) -> bool:
    """Whether a run was pressed in the time of another; of one without a start its end alone is known."""
    if start is None:
        return other.pressing_start + NOTED <= end <= other.end - NOTED
    return min(end, other.end) - max(start, other.pressing_start) > NOTED


def _too_soon(
    line: RunLine,
    run: PlannedRun,
    plan: Plan,
    facts: dict[str, Facts],
    box: str,
    end: datetime,
    pieces: int,
) -> list[Fault]:
    """Doubt about pieces for which not half of the planned time has passed since the run could begin."""
    presses, who = _where_and_who(line, run, facts)
    free = _free_from(run, plan, facts, presses, who)
    begin = run.pressing_start if free is None else min(run.pressing_start, free)
    planned = planned_for(run, plan, pieces)
    if end - begin + NOTED >= planned / QUICK:
        return []
    since = "the run before it ended" if begin < run.pressing_start else "it was to begin"
    when = f"{nearest((end - begin).total_seconds() / 60)} min after {since}, at {clock(begin)}"
    if end <= begin:
        when = f"and {since} at {clock(begin)}"
    return [
        fault_at(
            "too-soon",
            line,
            box,
            f"run {run.number}: {counted(pieces, 'piece')} by {clock(end)}, {when}",
            f"about the {nearest(planned.total_seconds() / 60)} min that are planned for so many",
            "It is taken as said; enter it again if it was another time or run, or with --started if it was "
            "begun before.",
        )
    ]


def _where_and_who(line: RunLine, run: PlannedRun, facts: dict[str, Facts]) -> tuple[Sequence[str], str]:
    known = facts.get(run.id)
    press = line.press or (known.press if known else "")
    who = line.who or (known.who if known else "") or run.operator
    return (press,) if press else run.presses, who


def _free_from(
    run: PlannedRun, plan: Plan, facts: dict[str, Facts], presses: Sequence[str], who: str
) -> datetime | None:
    """When the runs before it at its press and by its person had ended, as entered; None: not known."""
    earlier = [one for one in plan.runs if one.start < run.start and one.start.date() == run.start.date()]
    before = [
        max(own, key=lambda one: one.start)
        for own in (
            *([one for one in earlier if press in one.presses] for press in presses),
            [one for one in earlier if who and one.operator == who],
        )
        if own
    ]
    ends = [known.finished for one in before if (known := facts.get(one.id)) is not None]
    if len(ends) < len(before) or not before:
        return None
    known_ends = [end for end in ends if end is not None]
    return max(known_ends) if len(known_ends) == len(ends) else None


def _said(box: str, end: datetime) -> str:
    return f"counted {clock(end)}" if box == "pieces" else f"finished {clock(end)}"


__all__ = ["NOTED", "QUICK", "doubts_of_end", "planned_for"]
