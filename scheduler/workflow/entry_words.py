"""An entry of the day book in words."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from scheduler.domain.clock import moment_words
from scheduler.domain.figures import counted
from scheduler.domain.progress import IN_BETWEEN, EventKind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from scheduler.domain.plan import Plan
    from scheduler.domain.progress import Event


def head(plan: Plan) -> str:
    """The day and version that something was entered for."""
    from scheduler.domain.clock import long_date

    return f"{long_date(plan.day)}, plan version {plan.version}"


def entry_words(plan: Plan, event: Event, known: Mapping[str, Event] | None = None) -> str:
    """What an entry says, in one line.

    Parameters
    ----------
    known
        Entries by id, to say what one that takes another back is about.
    """
    if known is not None and event.kind is EventKind.TAKEN_BACK and event.corrects in known:
        return f"taken back: {entry_words(plan, known[event.corrects], known)}"
    if event.kind in IN_BETWEEN:
        return _between_words(plan, event)
    run = next((run for run in plan.runs if run.id == event.run), None)
    what = f"run {run.number} (order {run.content.order})" if run else event.run or event.subject
    said = said_words(plan, event)
    return f"{what}: {said}" if what else said


def said_words(plan: Plan, event: Event) -> str:
    """What an entry says of its run, without the run: "finished 08:50, 28 pieces done"."""
    from scheduler.daybook.facts import spoiled_in

    parts = ["counted" if event.kind is EventKind.PIECES else str(event.kind)]
    if event.at is not None:
        parts[0] += f" {moment_words(event.at, plan.day)}"
    elif event.kind.value in ("started", "finished"):
        parts[0] += ", time not noted"
    if event.pieces is not None:
        parts.append(f"{counted(event.pieces, 'piece')} done")
    if event.spoiled:
        more = [" ".join(filter(None, (one.size, str(one.quantity)))) for one in spoiled_in(event)]
        said = "; ".join(filter(None, (", ".join(more), event.reason)))
        parts.append(f"{event.spoiled} spoiled" + (f" ({said})" if said else ""))
    elif event.reason:
        parts.append(event.reason)
    if event.press:
        parts.append(f"at {event.press}")
    if event.who:
        parts.append(f"by {event.who}")
    if event.until is not None:
        parts.append(f"until {moment_words(event.until, plan.day)}")
    return ", ".join(parts)


def _between_words(plan: Plan, event: Event) -> str:
    """What came in between, and the version that it led to."""
    run = next((run for run in plan.runs if run.id == event.run), None)
    named = event.press or event.who or (f"order {event.subject}" if event.subject else "")
    what = named or (f"run {run.number}" if run else event.run)
    parts = [f"{what}: {event.kind}"]
    if event.at is not None:
        parts[0] += f" {moment_words(event.at, plan.day)}"
    if event.pieces is not None:
        parts.append(counted(event.pieces, "piece"))
    if event.kind in (EventKind.ORDER_NEW, EventKind.ORDER_CHANGED) and event.data:
        parts.append(f"cut-off {moment_words(_cut_off(event), plan.day)}")
    if event.until is not None:
        parts.append(f"until {moment_words(event.until, plan.day)}")
    if event.led_to is not None:
        parts.append(f"led to version {event.led_to}")
    return ", ".join(parts)


def _cut_off(event: Event) -> datetime:
    """The cut-off of the order that an entry holds."""
    import json

    return datetime.fromisoformat(json.loads(event.data)["cut_off"])
