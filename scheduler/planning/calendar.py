"""Clock times to ticks and back, heating days, shifts, and how many days a plan must reach."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from fractions import Fraction

from scheduler.domain.instance import Day, Shift
from scheduler.domain.shop import OpenHours, Operator, Shop
from scheduler.domain.times import ticks_up

LOOK_AHEAD_DAYS = 400
"""How far the search for working days goes: more than a year of closed days is a fault."""

RESERVE = Fraction(6, 5)
"""Work is counted with a fifth on top when the days that hold it are counted."""


def tick_at_or_after(origin: date, moment: datetime, tick_s: int) -> int:
    """The first tick at or after a moment; 0 for moments before the origin's midnight."""
    seconds = _seconds(origin, moment)
    return ticks_up(seconds, tick_s) if seconds > 0 else 0


def tick_at_or_before(origin: date, moment: datetime, tick_s: int) -> int:
    """The last tick at or before a moment; negative before the origin's midnight."""
    return int(_seconds(origin, moment) // tick_s)


def clock(origin: date, tick: int, tick_s: int) -> datetime:
    """The local wall-clock time of a tick."""
    return datetime.combine(origin, time()) + timedelta(seconds=tick * tick_s)


def _seconds(origin: date, moment: datetime) -> Fraction:
    span = moment.replace(tzinfo=None) - datetime.combine(origin, time())
    return Fraction(span.days * 86400 + span.seconds) + Fraction(span.microseconds, 1_000_000)


def hours_on(shop: Shop, on: date) -> OpenHours | None:
    """The shop's hours on a date; None when it is closed, or closes before it opens."""
    hours = shop.hours.get(on.weekday())
    if hours is None or on in shop.closed_days or hours.open >= hours.close:
        return None
    return hours


def day_end(hours: OpenHours) -> time:
    """The latest hour of a day at which something may be pressed, overtime included."""
    if hours.overtime_end is not None and hours.overtime_end > hours.close:
        return hours.overtime_end
    return hours.close


def heating_day(shop: Shop, origin: date, on: date, tick_s: int) -> Day:
    """The stretch of a working day in which presses may be hot: from opening to the end of overtime."""
    hours = hours_on(shop, on)
    if hours is None:
        raise ValueError(f"{on} is not a working day of {shop.name}")
    return Day(
        start=tick_at_or_after(origin, datetime.combine(on, hours.open), tick_s),
        end=tick_at_or_before(origin, datetime.combine(on, day_end(hours)), tick_s),
    )


def closing_tick(shop: Shop, origin: date, on: date, tick_s: int) -> int:
    """The tick at which a working day closes, overtime left out."""
    hours = hours_on(shop, on)
    if hours is None:
        raise ValueError(f"{on} is not a working day of {shop.name}")
    return tick_at_or_before(origin, datetime.combine(on, hours.close), tick_s)


def shift_on(shop: Shop, person: Operator, origin: date, on: date, tick_s: int) -> Shift | None:
    """A person's shift on a date, cut to the shop's hours; None when there is none.

    Overtime needs both: the shop's overtime hours of that weekday and the person's consent.
    Breaks are cut to the shift, sorted and merged where they touch.
    """
    hours, own = hours_on(shop, on), person.hours.get(on.weekday())
    if hours is None or own is None:
        return None

    def up(at: time) -> int:
        return tick_at_or_after(origin, datetime.combine(on, at), tick_s)

    def down(at: time) -> int:
        return tick_at_or_before(origin, datetime.combine(on, at), tick_s)

    start, end = up(max(own.start, hours.open)), down(min(own.end, hours.close))
    if start >= end:
        return None
    late = end
    if own.overtime_end is not None and hours.overtime_end is not None:
        late = max(end, down(min(own.overtime_end, hours.overtime_end)))
    breaks: list[tuple[int, int]] = []
    for first, last in sorted((down(a), up(b)) for a, b in own.breaks):
        first, last = max(first, start), min(last, late)
        if breaks and first <= breaks[-1][1]:
            breaks[-1] = (breaks[-1][0], max(last, breaks[-1][1]))
        elif first < last:
            breaks.append((first, last))
    return Shift(start=start, end=end, overtime_end=late, breaks=tuple(breaks))


def working_ticks(shift: Shift, start: int, end: int) -> int:
    """Ticks of [start, end) inside a shift, its overtime included, breaks left out."""
    start, end = max(start, shift.start), min(end, shift.overtime_end)
    if start >= end:
        return 0
    paused = sum(max(0, min(end, last) - max(start, first)) for first, last in shift.breaks)
    return end - start - paused


def working_dates(shop: Shop, day: date, most: int) -> tuple[date, ...]:
    """The first working days from a date on, that date included: open, and somebody is there."""
    found: list[date] = []
    for ahead in range(LOOK_AHEAD_DAYS):
        on = day + timedelta(days=ahead)
        if any(shift_on(shop, person, on, on, 1) for person in shop.crew):
            found.append(on)
            if len(found) == most:
                break
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What a run asks for at least, and which of each resource can give it.

    Attributes
    ----------
    ticks
        Pressing at the fastest, and setting up for it.
    presses, platens, people
        Ids, sorted.
    release
        Tick at which its garments and transfers are in.
    """

    ticks: int
    presses: tuple[str, ...]
    platens: tuple[str, ...]
    people: tuple[str, ...]
    release: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class DayCapacity:
    """What one working day offers: its heating day and everybody's paid working ticks."""

    day: Day
    close: int
    people: dict[str, int]


def capacities(shop: Shop, origin: date, dates: tuple[date, ...], tick_s: int) -> tuple[DayCapacity, ...]:
    """What each working day offers, overtime left out."""
    result = []
    for on in dates:
        people = {}
        for person in shop.crew:
            shift = shift_on(shop, person, origin, on, tick_s)
            if shift is not None:
                people[person.name] = working_ticks(shift, shift.start, shift.end)
        day = heating_day(shop, origin, on, tick_s)
        result.append(DayCapacity(day=day, close=closing_tick(shop, origin, on, tick_s), people=people))
    return tuple(result)


def days_needed(demands: tuple[Demand, ...], offers: tuple[DayCapacity, ...], platens: dict[str, int]) -> int:
    """How many of the offered working days a plan should reach.

    The fewest days after which every garment is in and somebody able was there for every run, and
    in which each set of presses, platens or people that some runs are confined to has the time for
    all of them, with `RESERVE`; then one spare day.

    Parameters
    ----------
    demands
        One a run.
    offers
        The working days, first the planned one; at least one.
    platens
        How many are owned of each kind.

    Returns
    -------
    int
        Between 1 and the number of days offered.
    """
    for days in range(1, len(offers) + 1):
        if _holds(demands, offers[:days], platens):
            return min(days + 1, len(offers))
    return len(offers)


def _holds(demands: tuple[Demand, ...], offers: tuple[DayCapacity, ...], platens: dict[str, int]) -> bool:
    present = {name for offer in offers for name in offer.people}
    for demand in demands:
        if demand.release + demand.ticks > offers[-1].close or present.isdisjoint(demand.people):
            return False
    open_ticks = sum(offer.close - offer.day.start for offer in offers)
    by_press = dict.fromkeys((name for demand in demands for name in demand.presses), open_ticks)
    by_platen = {name: count * open_ticks for name, count in platens.items()}
    by_person = {name: sum(offer.people.get(name, 0) for offer in offers) for name in present}
    return (
        _has_time([(demand.presses, demand.ticks) for demand in demands], by_press)
        and _has_time([(demand.platens, demand.ticks) for demand in demands], by_platen)
        and _has_time([(demand.people, demand.ticks) for demand in demands], by_person)
    )


def _has_time(asked: list[tuple[tuple[str, ...], int]], given: dict[str, int]) -> bool:
    """Whether each set of resources has the time for all runs that are confined to it."""
    total: dict[tuple[str, ...], int] = {}
    for names, ticks in asked:
        total[names] = total.get(names, 0) + ticks
    for names in total:
        confined = sum(ticks for others, ticks in total.items() if set(others) <= set(names))
        if confined * RESERVE > sum(given.get(name, 0) for name in names):
            return False
    return True
