"""What came in between on a day, as entries of the day book and back."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from scheduler.daybook.entries import with_id
from scheduler.daybook.facts import standing
from scheduler.domain.asjson import to_json
from scheduler.domain.disruptions import NOTHING, BoxLate, Disruptions, PersonAway, PressDown, more_again
from scheduler.domain.orders import Order
from scheduler.domain.plan import Plan
from scheduler.domain.progress import Event, EventKind

Key = tuple[EventKind, str]
"""What an entry is about: of two with the same key the later one counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CameIn:
    """What a day is planned again for.

    Attributes
    ----------
    new, changed
        Orders that came in, and orders of the plan as they are now.
    """

    between: Disruptions = NOTHING
    new: tuple[Order, ...] = ()
    changed: tuple[Order, ...] = ()


def entries_of(
    came: CameIn,
    old: Plan,
    new: Plan,
    at: datetime,
    entered: datetime,
    events: Iterable[Event] = (),
) -> tuple[Event, ...]:
    """Entries for what came in between, with the version that it led to.

    Parameters
    ----------
    old, new
        The plan that it was said of, and the one that was made because of it.
    at
        The moment from which the day was planned again.
    events
        The entries of the day so far.
    """
    every = tuple(events)
    base = Event(
        id="-",
        day=old.day,
        version=old.version,
        kind=EventKind.PRESS_DOWN,
        at=at,
        led_to=new.version,
        entered=entered,
    )

    def until(event: Event, moment: datetime | None) -> Event:
        # What ends before it was said happened at no time that is known.
        began = event.at if moment is None or event.at is None or event.at < moment else None
        return replace(event, at=began, until=moment)

    found = [until(replace(base, press=one.press), one.until) for one in came.between.down]
    found += [
        until(replace(base, kind=EventKind.PERSON_AWAY, who=one.person, at=one.start), one.end)
        for one in came.between.away
    ]
    found += [
        until(replace(base, kind=EventKind.BOX_LATE, subject=one.order), one.at)
        for one in came.between.late_boxes
    ]
    found += [
        replace(base, kind=EventKind.ORDER_CANCELLED, subject=order) for order in came.between.cancelled
    ]
    for kind, orders in ((EventKind.ORDER_NEW, came.new), (EventKind.ORDER_CHANGED, came.changed)):
        found += [
            replace(
                base,
                kind=kind,
                subject=order.id,
                pieces=order.quantity,
                data=json.dumps(to_json(order), ensure_ascii=False, separators=(",", ":")),
            )
            for order in orders
        ]
    found += [
        replace(base, kind=EventKind.PRESS_AGAIN, run=part.run, pieces=more)
        for part, more in more_again(old.parts, new.parts)
    ]
    return tuple(with_id(event, every) for event in found)


def between_of(plan: Plan, events: Iterable[Event]) -> Disruptions:
    """What came in between up to a plan, as the day book has it now.

    It is what the plan was made with, each point as the last entry of it that holds says, without those of
    which no entry holds any more; and what was said since and gave the same plan.
    """
    every = list(events)
    holding = {event.id for event in standing(every)}
    last: dict[Key, Event] = {}
    said: set[Key] = set()
    for event in sorted(every, key=lambda event: event.number):
        key = _key_of(event)
        if key is not None:
            said.add(key)
            if event.id in holding:
                last[key] = event
    was = plan.between
    kept = _points(was)
    points = [*kept, *(key for key, event in last.items() if event.led_to == plan.version)]
    found = replace(was, down=(), away=(), late_boxes=(), cancelled=())
    for key in dict.fromkeys(points):
        if key in last:
            one = kept[key].and_then(_said(last[key])) if key in kept else _said(last[key])
        else:
            one = kept[key] if key not in said else NOTHING
        found = replace(found.and_then(one), press_again=was.press_again)
    return found


def _points(between: Disruptions) -> dict[Key, Disruptions]:
    """Each point of what came in between by itself."""
    return {
        **{(EventKind.PRESS_DOWN, one.press): Disruptions(down=(one,)) for one in between.down},
        **{
            (EventKind.PERSON_AWAY, f"{one.person} {one.start.isoformat()}"): Disruptions(away=(one,))
            for one in between.away
        },
        **{(EventKind.BOX_LATE, one.order): Disruptions(late_boxes=(one,)) for one in between.late_boxes},
        **{(EventKind.ORDER_CANCELLED, one): Disruptions(cancelled=(one,)) for one in between.cancelled},
    }


def _key_of(event: Event) -> Key | None:
    said = _said(event)
    return next(iter(_points(said)), None)


def _said(event: Event) -> Disruptions:
    if event.kind is EventKind.PRESS_DOWN:
        return Disruptions(down=(PressDown(press=event.press, until=event.until, since=event.at),))
    if event.kind is EventKind.PERSON_AWAY and event.at is not None:
        return Disruptions(away=(PersonAway(person=event.who, start=event.at, end=event.until),))
    if event.kind is EventKind.BOX_LATE and event.until is not None:
        return Disruptions(late_boxes=(BoxLate(order=event.subject, at=event.until),))
    if event.kind is EventKind.ORDER_CANCELLED:
        return Disruptions(cancelled=(event.subject,))
    return NOTHING
