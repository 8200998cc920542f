"""When each run was, is or will be, from what is known and the plan for the rest."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from scheduler.daybook.facts import Facts
from scheduler.domain.disruptions import PartKind, PersonAway
from scheduler.domain.hours import NOTHING, Hours
from scheduler.domain.instance import Machine, Mode, Task
from scheduler.domain.plan import Plan, PlannedRun


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A run as it goes.

    Attributes
    ----------
    start, pressing_start, end
        As in the plan, but as things stand.
    mode
        The way that is taken; None when the task has no way at the press that was used.
    facts
        None when nobody said anything of it.
    left
        When its person went away in the middle of it; None: never. From then on its press is free.
    """

    run: PlannedRun
    facts: Facts | None
    press: str
    operator: str
    mode: Mode | None
    start: datetime
    pressing_start: datetime
    end: datetime
    left: datetime | None = None

    @property
    def held_until(self) -> datetime:
        """When its press is free: at its end, or when its person left it."""
        return self.end if self.left is None else min(self.left, self.end)

    @property
    def presses(self) -> tuple[str, ...]:
        """The presses that it holds: the way's, or the one that was named where the task has no way."""
        return (self.press,) if self.mode is None else tuple(press for press, _ in self.mode.places)

    def shares(self, other: Course) -> bool:
        """Whether both need the same press or the same person."""
        return not set(self.presses).isdisjoint(other.presses) or self.same_person(other)

    def same_person(self, other: Course) -> bool:
        """Whether one person does both."""
        return bool(self.operator) and self.operator == other.operator

    def lets_begin(self, other: Course) -> datetime:
        """When another one that shares something with it may begin."""
        return self.end if self.same_person(other) else self.held_until

    def ended_before(self, other: Course) -> bool:
        """Whether another one that began within it tells that it had ended: not when it was left by then."""
        return self.same_person(other) or self.left is None or other.start < self.left


class Forecast:
    """The courses of all runs of a plan.

    Runs of which something is known are laid first. The others go to plan, yet none begins before what was
    planned before it at its press and by its person has ended, before its garments are free and its press
    is at heat again; and where a later run at the same press or by the same person is known to have begun, it
    had ended by then. A run whose person went away waits until she is back, and its press is free meanwhile.

    Parameters
    ----------
    facts
        By run id, only for runs of which something is known.
    away
        People who were away, of whom the plan may not know it.
    """

    def __init__(self, plan: Plan, facts: Mapping[str, Facts], away: Iterable[PersonAway] = ()) -> None:
        self._hours = Hours(plan, away)
        self._planned = Hours(plan)
        self._parts = plan.instance.setup_parts
        self._machines = {machine.id: machine for machine in plan.instance.machines}
        self._tasks = {task.id: task for task in plan.instance.tasks}
        self._before = _garments_before(plan)
        self._plan = plan
        self._stopped = {part.run for part in plan.parts if part.name is PartKind.REST}
        in_order = sorted(plan.runs, key=lambda run: (run.start, run.pressing_start, run.number))
        self._place = {run.id: place for place, run in enumerate(in_order)}
        self.courses: dict[str, Course] = {}
        known = _one_after_another([self._known(run, facts[run.id]) for run in in_order if run.id in facts])
        for course in known:
            self.courses[course.run.id] = self._ended_by_the_next(course, known)
        for run in in_order:
            if run.id not in facts:
                self.courses[run.id] = self._as_stopped(self._to_plan(run))

    def _known(self, run: PlannedRun, facts: Facts) -> Course:
        """The course of a run of which something is known."""
        press, operator = facts.press or run.press, facts.who or run.operator
        mode = _mode(self._tasks[run.id], run, press)
        set_up = run.pressing_start - run.start
        work = self._work(run, mode, operator)
        last = facts.finished or (facts.seen_at if facts.good is not None else None)
        if facts.started is not None:
            # "Started" is the first pressing, the large time on the sheet; the changeover came before it.
            pressing = facts.started if last is None else min(facts.started, last)
            start = pressing - set_up
        else:
            start = run.start
            if last is not None and start >= last:
                start = last - (run.end - run.start)
            pressing = start + set_up if last is None else min(start + set_up, last)
        if facts.finished is not None:
            end = facts.finished
        elif last is not None and facts.good is not None:
            left = max(0, run.content.quantity - facts.good - facts.spoiled)
            end = self._hours.after(operator, last, work * left / max(1, run.content.quantity))
        else:
            end = self._hours.after(operator, pressing, work)
        if run.id in self._stopped and facts.finished is None:
            # However many it has done: what is left of it is a run of its own.
            end = max(start, min(end, run.end))
        return Course(
            run=run,
            facts=facts,
            press=press,
            operator=operator,
            mode=mode,
            start=start,
            pressing_start=pressing,
            end=end,
            left=None if facts.finished is not None else self._hours.left(operator, start, end),
        )

    def _work(self, run: PlannedRun, mode: Mode | None, operator: str) -> timedelta:
        """Working time of the whole run's pressing, at that person's pace where the plan knows it."""
        if mode is not None and (mode.machine != run.press or operator != run.operator):
            ticks = dict(mode.operators).get(operator)
            if ticks is not None:
                return self._hours.span(ticks)
        return self._planned.worked(run.operator, run.pressing_start, run.end)

    @staticmethod
    def _ended_by_the_next(course: Course, known: Iterable[Course]) -> Course:
        if course.facts is not None and course.facts.finished is not None:
            return course
        later = [
            other.start
            for other in known
            if course.shares(other) and other.start > course.start and course.ended_before(other)
        ]
        return replace(course, end=min([course.end, *later]))

    def _to_plan(self, run: PlannedRun) -> Course:
        """The course of a run of which nothing is known."""
        mode = _mode(self._tasks[run.id], run, run.press)
        course = Course(
            run=run,
            facts=None,
            press=run.press,
            operator=run.operator,
            mode=mode,
            start=run.start,
            pressing_start=run.pressing_start,
            end=run.end,
        )
        course = self._gone_away(course)
        place = self._place[run.id]
        others = [other for other in self.courses.values() if other.shares(course)]
        earlier = [other for other in others if self._place[other.run.id] < place]
        course = self._not_before(course, earlier)
        for other in sorted(others, key=lambda other: other.start):
            if self._place[other.run.id] < place or other.facts is None:
                continue
            if course.start < other.start < course.end:
                # It was begun after this one, so this one had ended, unless its person had left it.
                if course.ended_before(other):
                    course = replace(course, end=other.start)
            elif other.start <= course.start < other.end:
                course = self._not_before(course, [other])
        return course

    def _as_stopped(self, course: Course) -> Course:
        """The course of a run of which nothing is known: one that was stopped went on no longer than that.

        Whatever turns out to have been late before it, nobody pressed it afterwards: its rest is another run.
        """
        end = course.run.end
        if course.run.id not in self._stopped or course.end <= end:
            return course
        start, pressing = min(course.start, end), min(course.pressing_start, end)
        return replace(course, start=start, pressing_start=pressing, end=end, left=None)

    def _not_before(self, course: Course, others: Iterable[Course]) -> Course:
        run, hours = course.run, self._hours
        set_up = run.pressing_start - run.start
        others = tuple(others)
        pressing = course.pressing_start
        begin = max([course.start, *(other.lets_begin(course) for other in others)])
        for press in course.presses:
            there = [other for other in others if press in other.presses]
            before = max(there, key=lambda other: other.lets_begin(course), default=None)
            if before is not None:
                pressing = max(pressing, before.lets_begin(course) + self._heat(before, course, press))
        for other_id, cooling in self._before[run.id]:
            if other_id in self.courses:
                pressing = max(pressing, self.courses[other_id].end + cooling)
        begin = max(begin, pressing - set_up)
        if begin <= course.start:
            return course
        return self._from(course, hours.set_up(run.operator, begin, set_up))

    def _gone_away(self, course: Course) -> Course:
        """The course of a run of which nothing is known, as its person was away, or went away, within it."""
        run = course.run
        if self._hours.left(run.operator, run.start, run.end) is None:
            return course
        set_up = run.pressing_start - run.start
        return self._from(course, self._hours.set_up(run.operator, run.start, set_up))

    def _from(self, course: Course, begin: datetime) -> Course:
        """The course of a run of which nothing is known, begun at a moment."""
        run, hours = course.run, self._hours
        pressing = begin + (run.pressing_start - run.start)
        end = hours.after(
            run.operator, pressing, self._planned.worked(run.operator, run.pressing_start, run.end)
        )
        left = hours.left(run.operator, begin, end)
        return replace(course, start=begin, pressing_start=pressing, end=end, left=left)

    def _heat(self, before: Course, after: Course, press: str) -> timedelta:
        """Time in which a press gets from one run's heat to the next one's with nobody there."""
        if before.mode is None or after.mode is None or before.start.date() != after.start.date():
            return NOTHING
        machine: Machine = self._machines[press]
        ticks = sum(
            part.tables[machine.tables[index]].change(before.mode.state[index], after.mode.state[index])
            for index, part in enumerate(self._parts)
            if part.hands_off
        )
        return self._hours.span(ticks)


def _one_after_another(known: list[Course]) -> list[Course]:
    """Known runs, begun no earlier than those before them ended; a first pressing that was noted stays."""
    found: list[Course] = []
    for course in sorted(known, key=lambda one: (one.end, one.start)):
        if course.facts is not None and course.facts.started is None:
            ends = [one.end for one in found if one.shares(course) and course.start < one.end < course.end]
            start = max([course.start, *ends])
            pressing = max(course.pressing_start, start)
            course = replace(course, start=start, pressing_start=pressing)
        elif course.facts is not None:
            # The changeover was shorter than planned when the run before ended later than it would begin.
            ends = [
                one.end
                for one in found
                if one.shares(course) and course.start < one.end <= course.pressing_start
            ]
            course = replace(course, start=max([course.start, *ends]))
        found.append(course)
    return sorted(found, key=lambda one: known.index(next(own for own in known if own.run is one.run)))


def _mode(task: Task, run: PlannedRun, press: str) -> Mode | None:
    """The task's way at a press: the planned one where that is the planned press, else with its platen."""
    there = [mode for mode in task.modes if mode.machine == press]
    second = run.second_press if press == run.press else ""
    like = [mode for mode in there if (mode.mate or "") == second]
    platen = [mode for mode in like if (mode.platen or "") == run.platen]
    return next(iter([*platen, *like, *there]), None)


def _garments_before(plan: Plan) -> dict[str, list[tuple[str, timedelta]]]:
    """By run: the runs planned before it whose garments it needs, with their cooling."""
    span = Hours(plan).span
    tasks = {task.id: task for task in plan.instance.tasks}
    ends = {run.id: run.end for run in plan.runs}
    found: dict[str, list[tuple[str, timedelta]]] = defaultdict(list)
    by_bundle: dict[str, list[PlannedRun]] = defaultdict(list)
    for run in sorted(plan.runs, key=lambda run: run.pressing_start):
        for bundle in tasks[run.id].bundles:
            found[run.id] += [(other.id, span(tasks[other.id].cooling)) for other in by_bundle[bundle]]
            by_bundle[bundle].append(run)
    for pair in plan.instance.precedences:
        if pair.before in ends and pair.after in ends:
            found[pair.after].append((pair.before, span(tasks[pair.before].cooling)))
    return found
