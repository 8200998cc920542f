"""What was entered in the day book, or taken back, in lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.domain.progress import EventKind
from scheduler.workflow.entry_words import entry_words, head

if TYPE_CHECKING:
    from scheduler.daybook.book import Recorded
    from scheduler.plans.book import OpenDay
    from scheduler.workflow.undo import TakenBack


def entered_lines(day: OpenDay, recorded: Recorded) -> list[str]:
    """What was entered, what it corrects, and what was there already."""
    before = {event.id: event for event in day.events}
    known = before | {event.id: event for event in recorded.new}
    lines = [f"{head(day.plan)}:"]
    for event in recorded.new:
        corrects = before.get(event.corrects)
        more = f"; corrects entry {corrects.number}" if corrects else ""
        lines.append(f"  entry {event.number}: {entry_words(day.plan, event, known)}{more}")
    for event in recorded.repeated:
        lines.append(f"  entry {event.number}, in the book already: {entry_words(day.plan, event, known)}")
    if not recorded.new and not recorded.repeated:
        lines.append("  nothing was filled in")
    return lines


def taken_back_lines(day: OpenDay, done: TakenBack) -> list[str]:
    """What was taken back, and the entries that hold again, since what corrected them was taken back."""
    known = {event.id: event for event in done.events}
    lines = entered_lines(day, done.recorded)
    lines += [
        f"  holds again: entry {event.number}: {entry_words(day.plan, event, known)}"
        for event in done.again
        if event.kind is not EventKind.TAKEN_BACK
    ]
    if done.in_between:
        lines.append("It counts from the next plan of the day on: pressday replan.")
    return lines
