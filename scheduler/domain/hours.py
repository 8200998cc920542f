"""Working time of the people of a plan: what a stretch holds, and when so much of it is done."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from scheduler.domain.plan import Plan

NOTHING = timedelta(0)


class Hours:
    """The breaks of a plan's people. Nobody ("") has none."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._breaks = {
            person.id: tuple(
                (self.moment(first), self.moment(last))
                for shift in person.shifts
                for first, last in shift.breaks
            )
            for person in plan.instance.operators
        }

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
