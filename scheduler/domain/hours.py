"""Working time of the people of a plan: what a stretch holds, and when so much of it is done."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, time, timedelta

from scheduler.domain.disruptions import PersonAway
from scheduler.domain.instance import Operator
from scheduler.domain.plan import Plan
from scheduler.domain.presence import joined

NOTHING = timedelta(0)


class Hours:
    """The breaks of a plan's people, and absences like breaks. Nobody ("") has none.

    Parameters
    ----------
    away
        Those of the plan's people who were not there: the plan itself counts on breaks alone.
    """

    def __init__(self, plan: Plan, away: Iterable[PersonAway] = ()) -> None:
        self._plan = plan
        gone = list(away)
        self._away = {
            person.id: joined((one.start, self._back(person, one)) for one in gone if one.person == person.id)
            for person in plan.instance.operators
        }
        self._breaks = {
            person.id: joined(
                [
                    *(
                        (self.moment(first), self.moment(last))
                        for shift in person.shifts
                        for first, last in shift.breaks
                    ),
                    *self._away[person.id],
                ]
            )
            for person in plan.instance.operators
        }

    def left(self, person: str, start: datetime, end: datetime) -> datetime | None:
        """When a person goes away within a stretch, or is away at its start; None: never."""
        return next(
            (max(start, first) for first, last in self._away.get(person, ()) if first < end and start < last),
            None,
        )

    def _back(self, person: Operator, away: PersonAway) -> datetime:
        """The end of an absence; of one with no end the next day's shift, or midnight where there is none."""
        if away.end is not None:
            return away.end
        midnight = datetime.combine(away.start.date() + timedelta(days=1), time())
        shifts = (self.moment(shift.start) for shift in person.shifts)
        return min((start for start in shifts if start >= midnight), default=midnight)

    def moment(self, tick: int) -> datetime:
        """The time of a tick of the plan's instance."""
        return datetime.combine(self._plan.day, time()) + self.span(tick)

    def span(self, ticks: int) -> timedelta:
        """A number of ticks as a length of time."""
        return timedelta(seconds=ticks * self._plan.instance.tick_s)

    def worked(self, person: str, start: datetime, end: datetime) -> timedelta:
        """Working time of a person from start to end, breaks left out; nothing when the end is before."""
        if end <= start:
            return NOTHING
        breaks = self._breaks.get(person, ())
        paused = (
            min(end, last) - max(start, first) for first, last in breaks if first < end and start < last
        )
        return sum((-pause for pause in paused), end - start)

    def after(self, person: str, start: datetime, work: timedelta) -> datetime:
        """When so much work of a person is done; a break that begins just then is not waited for.

        Work that the shift does not hold goes on after it: this tells how things stand, it plans nothing.
        """
        at = start
        for first, last in self._breaks.get(person, ()):
            if work <= max(NOTHING, first - at):
                break
            if last > at:
                work -= max(NOTHING, first - at)
                at = last
        return at + work

    def set_up(self, person: str, begin: datetime, hands_on: timedelta) -> datetime:
        """The first begin from a moment on at which no break meets the set-up or the first pressing."""
        at = begin
        for first, last in self._breaks.get(person, ()):
            if (first < at + hands_on and at < last) or first <= at + hands_on < last:
                at = last
        return at
