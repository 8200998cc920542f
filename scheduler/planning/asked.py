"""What a day can't be planned again for: names that it hasn't got, and times that are over."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from scheduler.domain.clock import moment_words, short_date
from scheduler.domain.day_state import DayState, RunState, RunStatus
from scheduler.domain.disruptions import NOTHING, Disruptions, OrderChange, RunPart, cancelled_of
from scheduler.domain.faults import Fault, Severity, Source
from scheduler.domain.figures import counted
from scheduler.domain.kinds import unwanted_pieces
from scheduler.domain.orders import Order
from scheduler.domain.pieces import pieces_done
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import ScheduledTask
from scheduler.domain.shop import Operator
from scheduler.planning.calendar import clock, shift_on
from scheduler.planning.changed import as_it_is

MOST_NAMES = 12
"""Names listed where one is not known."""


def faults_of_asked(
    plan: Plan, at: datetime, between: Disruptions, changed: tuple[Order, ...]
) -> list[Fault]:
    """Everything that is wrong with what a day is to be planned again for.

    Parameters
    ----------
    at
        The moment from which it is planned again.
    between
        What came in between since the plan was made.
    changed
        Orders of the plan as they are now.
    """
    return [
        *_before_the_plan(plan, at),
        *_unknown_names(plan, between, changed),
        *(
            on_top_fault(one)
            for one in plan.given
            if one.on_top_of and one.id in {each.id for each in changed}
        ),
        *_over(plan, at, between, changed),
    ]


def doubts_of_asked(plan: Plan, state: DayState, between: Disruptions) -> list[Fault]:
    """What is odd about what came in between, and taken as said."""
    own: dict[str, list[RunState]] = {}
    for run in state.runs:
        own.setdefault(run.order, []).append(run)
    found = []
    for box in between.late_boxes:
        begun = [run for run in own.get(box.order, ()) if run.status is not RunStatus.NOT_STARTED]
        if begun and box.at > state.at:
            first = min(begun, key=lambda run: (run.start, run.number))
            found.append(
                Fault(
                    code="box-late-after-start",
                    source=Source(file=f"--late-box {box.order}"),
                    found=f"{box.at:%H:%M}, but run {first.number} of it was begun at {first.start:%H:%M}",
                    expected="an order whose garments are not there yet",
                    mend="What isn't begun waits for it; was it another order, take it back: pressday undo.",
                    severity=Severity.DOUBT,
                )
            )
    for order in between.cancelled:
        gone = cancelled_of(plan.given, replace(NOTHING, cancelled=(order,)))
        runs = [run for one in gone for run in own.get(one, ())]
        if runs and all(run.status is RunStatus.FINISHED for run in runs):
            found.append(
                Fault(
                    code="cancelled-when-done",
                    source=Source(file=f"--cancel {order}"),
                    found="every piece of it is pressed already",
                    expected="an order of which something is still to be pressed",
                    mend="It is left out of the lists from now on; put its garments aside.",
                    severity=Severity.DOUBT,
                )
            )
    return [*found, *_away_when_not_in(plan, state, between)]


def _away_when_not_in(plan: Plan, state: DayState, between: Disruptions) -> list[Fault]:
    """Absences in which the person would not be in anyway, nor is at a run that went on beyond the hours."""
    crew = {person.name: person for person in plan.shop.crew}
    found = []
    for away in between.away:
        day = away.start.date()
        over = away.end or datetime.combine(day + timedelta(days=1), time())
        dates = [day + timedelta(days=ahead) for ahead in range((over.date() - day).days + 1)]
        hours = {on: _in_on(plan, crew[away.person], on) for on in dates}
        if any(span is not None and away.start < span[1] and over > span[0] for span in hours.values()):
            continue
        if any(
            run.operator == away.person and run.start < over and run.end > away.start
            for run in state.runs
            if run.status is RunStatus.UNDER_WAY
        ):
            continue
        own = hours[day]
        date_ = short_date(day)
        is_in = f"in {own[0]:%H:%M}-{own[1]:%H:%M} on {date_}" if own else f"with no shift on {date_}"
        until = "" if away.end is None else moment_words(away.end, day)
        found.append(
            Fault(
                code="away-when-not-in",
                source=Source(file=f"--away {away.person}"),
                found=f"away {away.start:%H:%M}-{until}, {is_in}",
                expected="a time at which that person would be in, overtime included",
                mend="Nothing is planned otherwise for it; correct the time or the name.",
                severity=Severity.DOUBT,
            )
        )
    return found


def _in_on(plan: Plan, person: Operator, on: date) -> tuple[datetime, datetime] | None:
    """From when to when somebody may work on a date, overtime included; None: not at all."""
    tick_s = plan.instance.tick_s
    shift = shift_on(plan.shop, person, on, on, tick_s)
    if shift is None:
        return None
    return clock(on, shift.start, tick_s), clock(on, shift.overtime_end, tick_s)


def doubts_of_stopped(
    plan: Plan,
    state: DayState,
    parts: Iterable[RunPart],
    begun: Iterable[ScheduledTask],
    *,
    cancelled: Collection[str] = (),
) -> list[Fault]:
    """Runs that are stopped with nobody having counted what they did, with the call to do so.

    Parameters
    ----------
    plan
        The one on the sheets in hand.
    state
        How the day stands by it.
    parts, begun
        Those of the rest of the day that is planned now.
    cancelled
        Orders of which nothing more is pressed.
    """
    runs = {run.id: run for run in plan.runs}
    ends = {done.task: done.end for done in begun}
    return [
        Fault(
            code="stopped-not-counted",
            source=Source(file=f"run {run.number}"),
            found=f"about {pieces_done(part.done - spoiled, part.done + part.pieces, spoiled)} when it stops "
            f"at {stop:%H:%M} by the planned pace; nobody counted",
            expected="a count",
            mend=f"Count them and enter it, pressday done {run.number} --pieces N --at {stop:%H:%M}; "
            + (
                f"order {run.content.order} is cancelled: nothing more of it is pressed."
                if run.content.order in cancelled
                else "then pressday replan gives the rest the right number."
            ),
            severity=Severity.DOUBT,
        )
        for part in parts
        if part.assumed and part not in plan.parts and (run := runs.get(part.run)) is not None
        for stop in (clock(plan.day, ends[part.run], plan.instance.tick_s),)
        for spoiled in (state.of_run(part.run).spoiled,)
    ]


def doubts_of_fewer(
    plan: Plan, state: DayState, changes: Iterable[OrderChange], parts: Iterable[RunPart]
) -> list[Fault]:
    """Runs under way that keep pieces which nobody wants any more, with what to do about it.

    Parameters
    ----------
    plan
        The one on the sheets in hand.
    state
        How the day stands by it.
    changes, parts
        Those of the rest of the day that is planned now; changes that the plan has already are passed over.
    """
    fresh = [change for change in changes if change not in plan.between.fewer]
    in_turn = sorted(plan.runs, key=lambda run: (run.start, run.number))
    over = unwanted_pieces(fresh, parts, {run.id: run.content for run in in_turn})
    cut = {part.run for part in parts if part not in plan.parts}
    found = []
    for run in in_turn:
        known = state.of_run(run.id)
        if run.id not in over or run.id in cut or known.status is RunStatus.FINISHED:
            continue
        pieces = run.content.quantity
        enough = max(pieces - over[run.id], known.good)
        who = f"{run.operator or 'whoever is there'} at {' + '.join(run.presses)}"
        found.append(
            Fault(
                code="fewer-under-way",
                source=Source(file=f"order {run.content.order}"),
                found=f"run {run.number} of it is begun and goes on to {counted(pieces, 'piece')}, "
                f"{over[run.id]} more than are wanted",
                expected="fewer pieces only in what is not begun",
                mend=f"To stop it at {enough}, tell {who}; when it is over, enter pressday done {run.number} "
                f"--pieces {enough} --finished HH:MM and run pressday replan, so that press and person are "
                "free from then on. Nothing counts as missing then.",
                severity=Severity.DOUBT,
            )
        )
    return found


def on_top_fault(order: Order) -> Fault:
    """Pieces on top can't be changed by themselves: with the next change they would be counted twice."""
    return Fault(
        code="order-on-top",
        source=Source(file=order.id),
        found=f"pieces on top of order {order.on_top_of}, and no order by itself",
        expected=f"order {order.on_top_of}, with all its pieces",
        mend=f"Change order {order.on_top_of}; cancelled, or late in its box, it can be by itself.",
    )


def _before_the_plan(plan: Plan, at: datetime) -> list[Fault]:
    if plan.at is None or at >= plan.at:
        return []
    return [
        Fault(
            code="moment-before-plan",
            source=Source(file="--at"),
            found=f"{at:%Y-%m-%d %H:%M}, but version {plan.version} was planned as of {plan.at:%H:%M}",
            expected=f"{plan.at:%H:%M} or later: what it says before that has happened",
            mend="Give a later time.",
        )
    ]


def _over(plan: Plan, at: datetime, between: Disruptions, changed: tuple[Order, ...]) -> list[Fault]:
    """What ended, or was due, before the moment."""
    said = [
        (f"--down {one.press}", one.until, "the press is up again by then")
        for one in between.down
        if one.until is not None
    ]
    said += [
        (f"--away {one.person}", one.end, "the person is back by then")
        for one in between.away
        if one.end is not None
    ]
    known = {order.id for order in plan.given}
    said += [
        (f"cut-off of order {one.id}", one.cut_off, "the order would be late whatever is done")
        for one in changed
        if one.id in known and as_it_is(plan, one.id).cut_off != one.cut_off
    ]
    return [
        Fault(
            code="over-by-then",
            source=Source(file=what),
            found=f"{_when(until, at)}, which is not after {at:%H:%M}, from when the day is planned again",
            expected=f"a time after {at:%H:%M}; {why}",
            mend="Correct the time, or leave it out.",
        )
        for what, until, why in said
        if until is not None and until <= at
    ]


def _when(moment: datetime, at: datetime) -> str:
    return f"{moment:%H:%M}" if moment.date() == at.date() else f"{moment:%Y-%m-%d %H:%M}"


def _unknown_names(plan: Plan, between: Disruptions, changed: tuple[Order, ...]) -> list[Fault]:
    faults = []
    for what, names, known in (
        ("press", [one.press for one in between.down], [press.name for press in plan.shop.presses]),
        ("person", [away.person for away in between.away], [person.name for person in plan.shop.crew]),
        (
            "order",
            [*(one.order for one in between.late_boxes), *between.cancelled, *(one.id for one in changed)],
            [order.id for order in plan.given],
        ),
    ):
        for name in names:
            if name not in known:
                shown = known if len(known) <= MOST_NAMES else [*known[:MOST_NAMES], "..."]
                faults.append(
                    Fault(
                        code=f"no-such-{what}",
                        source=Source(file=f"plan of {plan.day}"),
                        found=f'no {what} "{name}" in it',
                        expected=f"one of: {', '.join(shown)}",
                        mend=_with_equals(what, name, known) or "Write the name as it stands on the sheets.",
                    )
                )
    return faults


_TIME = re.compile(r"\s*[\s:,]\s*(\d{1,2}[:.]\d\d.*)")


def _with_equals(what: str, written: str, known: Collection[str]) -> str:
    """What to write for a known name with a time behind it and no equals sign; nothing for another name."""
    for name in sorted(known, key=len, reverse=True):
        behind = _TIME.fullmatch(written[len(name) :])
        if behind and written[: len(name)].casefold() == name.casefold():
            rest = "-" if what == "person" and "-" not in behind[1] else ""
            return f'An equals sign goes between name and time, "{name}={behind[1]}{rest}".'
    return ""


__all__ = ["doubts_of_asked", "doubts_of_fewer", "doubts_of_stopped", "faults_of_asked", "on_top_fault"]
