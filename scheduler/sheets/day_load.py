"""How full a day is, in figures: presses, people, and how many work at a time. Drawn on page and picture."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from scheduler.domain.clock import clock, long_date, number
from scheduler.domain.figures import in_percent, nearest
from scheduler.domain.plan import Load, Plan
from scheduler.domain.presence import joined, without

STEP = timedelta(minutes=30)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """A load for a bar: parts of the longer of hours and work, 0 to 1; they follow each other.

    Attributes
    ----------
    full
        Work as a share of the hours; above 1 with overtime, 0 without hours.
    """

    pressing: float
    changing: float
    hours: float
    full: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfHour:
    """People on average over half an hour: there, pressing, at changeovers.

    Breaks are left out; who works overtime, or goes on while away by the plan, is there.
    """

    start: datetime
    there: float
    pressing: float
    changing: float

    @property
    def working(self) -> float:
        """People pressing or at changeovers."""
        return self.pressing + self.changing

    @property
    def words(self) -> str:
        """The half hour in one line."""
        return (
            f"{clock(self.start)}–{clock(self.start + STEP)}: {number(self.there)} "
            f"{'person' if self.there == 1 else 'people'} there, "
            f"{number(self.pressing)} pressing, {number(self.changing)} at changeovers"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDay:
    """A planned day by half hours."""

    day: date
    steps: tuple[HalfHour, ...]

    @property
    def most(self) -> float:
        """The most people at a time, there or at work."""
        return max(max(step.there, step.working) for step in self.steps)

    @property
    def words(self) -> str:
        """The day in one line: when most people work."""
        busiest = max(self.steps, key=lambda step: step.working)
        return (
            f"{long_date(self.day)}: people at work by half hour, at most {number(busiest.working)} from "
            f"{clock(busiest.start)}, of {number(busiest.there)} there"
        )


def load_shares(load: Load) -> Shares:
    """The bar of a press or person."""
    work = load.pressing + load.changing
    whole = max(load.available, work, 1.0)
    return Shares(
        pressing=load.pressing / whole,
        changing=load.changing / whole,
        hours=load.available / whole,
        full=load.full,
    )


def load_words(load: Load) -> str:
    """The same in figures: "85 of 480 min, 18% (pressing 80, changeovers 5)"."""
    # The parts stand rounded in other places too; their sum is shown, so that nobody finds a minute missing.
    pressing, changing = nearest(load.pressing), nearest(load.changing)
    words = (
        f"{pressing + changing} of {nearest(load.available)} min, {in_percent(load.full)} "
        f"(pressing {pressing}, changeovers {changing})"
    )
    return f"{words}, overtime {nearest(load.overtime)}" if load.overtime else words


def work_days(plan: Plan) -> list[WorkDay]:
    """Every planned date on which somebody is planned by name."""
    days = sorted({run.start.date() for run in plan.runs if run.operator})
    return [
        WorkDay(day=day, steps=tuple(_half_hour(plan, step) for step in steps))
        for day in days
        if (steps := _steps(plan, day))
    ]


def _steps(plan: Plan, day: date) -> list[datetime]:
    runs = [run for run in plan.runs if run.operator and run.start.date() == day]
    first = min(run.start for run in runs)
    last = max(run.end for run in runs)
    shifts = [one for one in plan.shifts if one.start.date() == day]
    first = min([first, *(one.start for one in shifts)])
    last = max([last, *(one.end for one in shifts)])
    midnight = datetime.combine(day, time())
    begin = midnight + (first - midnight) // STEP * STEP
    return [begin + number * STEP for number in range(-((begin - last) // STEP))]


def _half_hour(plan: Plan, start: datetime) -> HalfHour:
    end = start + STEP
    there = _there(plan, start, end)
    pressing = changing = 0.0
    for run in plan.runs:
        if run.operator:
            changing += _share(run.start, run.pressing_start, start, end)
            pressing += _share(run.pressing_start, run.end, start, end)
            pressing -= sum(_share(first, last, start, end) for first, last in run.pauses)
    pressing, working = max(0.0, pressing), max(0.0, pressing + changing)
    return HalfHour(start=start, there=there, pressing=pressing, changing=working - pressing)


def _there(plan: Plan, start: datetime, end: datetime) -> float:
    """People there on average: each one's shift without breaks and absences, and all that is worked."""
    people = {one.operator for one in plan.shifts} | {run.operator for run in plan.runs if run.operator}
    return sum(_share(*span, start, end) for who in sorted(people) for span in _spans(plan, who))


def _spans(plan: Plan, who: str) -> list[tuple[datetime, datetime]]:
    """When a person is there and not on a break; disjoint."""
    off = [(one.start, one.end) for one in plan.breaks if one.operator == who]
    for away in plan.between.away:
        if away.person == who:
            off.append((away.start, away.end or _midnight_after(away.start)))
    spans = without([(one.start, one.end) for one in plan.shifts if one.operator == who], off)
    for run in plan.runs:
        if run.operator == who:
            spans += without([(run.start, run.end)], run.pauses)
    return joined(spans)


def _midnight_after(moment: datetime) -> datetime:
    return datetime.combine(moment.date() + timedelta(days=1), time())


def _share(first: datetime, last: datetime, start: datetime, end: datetime) -> float:
    return max(0.0, (min(last, end) - max(first, start)).total_seconds()) / (end - start).total_seconds()
