"""How a day stands, in lines for the terminal and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scheduler.domain.clock import clock, how_late, moment_words
from scheduler.domain.day_state import RunStatus
from scheduler.domain.disruptions import PartKind
from scheduler.domain.figures import counted
from scheduler.domain.pieces import pieces_done
from scheduler.workflow.entry_words import entry_words, head

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from scheduler.domain.day_state import DayState, OrderState, PersonState, RunState
    from scheduler.domain.plan import Plan
    from scheduler.domain.progress import Event

WORTH_SAYING_MIN = 1.0
"""Less than a minute behind or ahead is on time."""


def standing_lines(plan: Plan, state: DayState) -> list[str]:
    """The day at a moment: runs, what was assumed, people, orders that are behind, pieces to press again."""
    return [
        f"{head(plan)}, as of {moment_words(state.at, plan.day)}",
        "",
        *_runs(plan, state),
        "",
        *_people(state),
        "",
        *_orders(plan, state),
        *_owed(plan, state),
    ]


def history_lines(plan: Plan, events: Sequence[Event]) -> list[str]:
    """All entries of the day with what became of them."""
    from scheduler.daybook.facts import standing

    holds = {event.id for event in standing(events)}
    number = {event.id: event.number for event in events}
    known = {event.id: event for event in events}
    lines = [f"{head(plan)}: {counted(len(events), 'entry').replace('entrys', 'entries')}"]
    for event in events:
        corrects = f"; corrects entry {number[event.corrects]}" if event.corrects in number else ""
        void = "" if event.id in holds else "; no longer holds"
        written = f"{event.entered:%Y-%m-%d %H:%M}"
        lines.append(f"  {event.number:>4}  {written}  {entry_words(plan, event, known)}{corrects}{void}")
    return lines


def state_json(plan: Plan, state: DayState, history: Sequence[Event] | None = None) -> dict[str, Any]:
    """The day at a moment as plain JSON values.

    Parameters
    ----------
    history
        All entries of the day; None: not asked for.
    """
    from scheduler.domain.asjson import to_json

    document: dict[str, Any] = {
        "day": plan.day.isoformat(),
        "fingerprint": plan.fingerprint,
        **to_json(state),
    }
    document["runs"] = [
        {**data, "owed": run.owed} for data, run in zip(document["runs"], state.runs, strict=True)
    ]
    document["people"] = [
        {**data, "behind_minutes": person.behind_minutes}
        for data, person in zip(document["people"], state.people, strict=True)
    ]
    return document if history is None else {**document, "history": to_json(history)}


def _runs(plan: Plan, state: DayState) -> list[str]:
    done = [run for run in state.runs if run.status is RunStatus.FINISHED]
    on = [run for run in state.runs if run.status is RunStatus.UNDER_WAY]
    still = len(state.runs) - len(done) - len(on)
    lines = [
        f"{counted(len(state.runs), 'run')}: {len(done)} finished, {len(on)} under way, {still} not started."
    ]
    lines += [f"  {_under_way(run, state)}" for run in on]
    stopped = _stopped(plan, state)
    lines += [f"  {words}" for words in stopped.values()]
    known = {event.run for event in state.news}
    assumed = [run for run in state.assumed if run.run not in stopped]
    silent = [run for run in assumed if run.run not in known]
    begun = [run for run in assumed if run.run in known]
    if silent:
        lines.append(f"Nobody said anything of these, so they count as gone to plan: {_numbers(silent)}.")
    if begun:
        lines.append(
            "Something was entered of these, but not that they ended, so they count as gone on "
            f"at the planned pace: {_numbers(begun)}."
        )
    return lines


def _stopped(plan: Plan, state: DayState) -> dict[str, str]:
    """By run that was stopped: how far it came, and whether that is counted.

    One that was counted, and whose rest has the other pieces, is like any that is done.
    """
    from scheduler.sheets.stopped import cancelled_rest

    found = {}
    planned = {run.id: run for run in plan.runs}
    rests = {part.run: part for part in plan.parts if part.name is PartKind.REST}
    again = {part.run for part in plan.parts if part.name is PartKind.AGAIN}
    for run in state.runs:
        part = rests.get(run.run)
        if part is None or run.status is not RunStatus.FINISHED:
            continue
        cancelled = cancelled_rest(plan, planned[run.run]) is not None
        at, done = clock(run.planned_end), pieces_done(run.good, part.done + part.pieces, run.spoiled)
        if run.assumed:
            count = f"count them: pressday done {run.number} --pieces N --at {at}"
            done = f"about {done}, by the planned pace; {count}"
        elif cancelled:
            done += ", as counted"
        elif run.taken_over:
            more = counted(run.taken_over, "piece")
            done += f", as counted; pressday replan gives the rest of it {more} more"
        elif run.unpressed > run.spoiled and run.run not in again:
            more = counted(run.unpressed - run.spoiled, "piece")
            done += f", as counted: {more} fewer than its rest was planned with"
        else:
            continue
        order = f"order {run.order}{', cancelled' if cancelled else ''}"
        found[run.run] = f"run {run.number} ({order}) stopped at {at}: {done}"
    return found


def _under_way(run: RunState, state: DayState) -> str:
    by = f", {run.operator}" if run.operator else ""
    pieces = f"about {pieces_done(run.good, run.quantity, run.spoiled)}, {run.remaining} to go"
    return (
        f"run {run.number} (order {run.order}, {' + '.join(run.presses)}{by}): {pieces}, until about "
        f"{moment_words(run.end, state.at.date())}"
    )


def _numbers(runs: Iterable[RunState]) -> str:
    return ("runs " if len(list(runs)) > 1 else "run ") + ", ".join(str(run.number) for run in runs)


def _people(state: DayState) -> list[str]:
    by_id = {run.run: run for run in state.runs}
    width = max((len(person.person) for person in state.people), default=0)
    return [f"  {person.person:<{width}}  {_person(person, by_id)}" for person in state.people]


def _person(person: PersonState, runs: dict[str, RunState]) -> str:
    words = _behind(person.behind_minutes)
    if person.running:
        words += f", at run {runs[person.running].number}"
    return words


def _behind(minutes: float, even: str = "on time") -> str:
    if abs(minutes) < WORTH_SAYING_MIN:
        return even
    return f"{how_late(abs(minutes))} {'behind' if minutes > 0 else 'ahead'}"


def _orders(plan: Plan, state: DayState) -> list[str]:
    told = [
        one
        for one in state.orders
        if abs(one.behind_minutes) >= WORTH_SAYING_MIN or one.late_minutes > 0 or one.missing
    ]
    if not told:
        return ["All orders as planned."]
    return ["Orders that stand otherwise than planned, or late:", *(f"  {_order(plan, one)}" for one in told)]


def _order(plan: Plan, order: OrderState) -> str:
    if order.missing:
        late = f"; the others {how_late(order.late_minutes)} LATE" if order.late_minutes > 0 else ""
        return (
            f"{order.order} {order.customer}: can't be packed, {counted(order.missing, 'piece')} spoiled or "
            f"missing, in no plan{late} (cut-off {moment_words(order.cut_off, plan.day)})"
        )
    packed = f", packed about {moment_words(order.finished, plan.day, up=True)}" if order.finished else ""
    late = f", {how_late(order.late_minutes)} LATE" if order.late_minutes > 0 else ""
    return (
        f"{order.order} {order.customer}: {_behind(order.behind_minutes, 'as planned')}{packed}{late} "
        f"(cut-off {moment_words(order.cut_off, plan.day)})"
    )


def _owed(plan: Plan, state: DayState) -> list[str]:
    """Spoiled and missing pieces: those in no plan yet, and those that have a run of their own."""
    from scheduler.domain.disruptions import PartKind, cancelled_of

    cancelled = cancelled_of(plan.given, plan.between)
    again = [part for part in plan.parts if part.name is PartKind.AGAIN]
    numbers = {run.run: run.number for run in state.runs}
    owed, planned = [], []
    for run in state.runs:
        if run.order in cancelled:
            continue
        parts = [part for part in again if part.run == run.run]
        pieces = run.owed - sum(part.pieces for part in parts)
        if pieces > 0:
            owed.append(f"  run {run.number} (order {run.order}): {counted(pieces, 'piece')}{_why(run)}")
        for part in parts:
            if part.task not in numbers:
                continue
            words = f"{counted(part.pieces, 'piece')}, as run {numbers[part.task]}"
            planned.append(f"  run {run.number} (order {run.order}): {words}")
    title = "To be pressed again, in no plan yet (pressday replan --press-again puts them in one):"
    lines = ["", title, *owed] if owed else []
    return lines + (["", "Pressed again by this plan:", *planned] if planned else [])


def _why(run: RunState) -> str:
    gone = run.gone + run.owed - run.unpressed
    missing = run.unpressed - run.spoiled - run.gone
    parts = [f"{run.spoiled} spoiled"] if run.spoiled else []
    parts += [f"{missing} not done"] if missing > 0 else []
    a_garment = "a garment" if gone == 1 else "garments"
    parts += [f"{gone} on {a_garment} spoiled at another placement"] if gone else []
    return f" ({', '.join(parts)})"
