"""Why an order is later than on the sheets in hand: what came in between, or what took longer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from scheduler.domain.clock import moment_in_words
from scheduler.domain.day_problem import DayProblem
from scheduler.domain.disruptions import PersonAway, PressDown
from scheduler.domain.plan import Plan, PlannedOrder, PlannedRun
from scheduler.planning.calendar import clock
from scheduler.planning.trail import Step

WORTH_SAYING_MIN = 0.1
"""An order that is later by less is as late as it was."""

MADE_WAY = "on the sheets before it was earlier, but "
"""Begins the reason of an order that was moved for something else."""

SLOWER = "what was pressed before it took longer than planned"
"""Why an order is later that would be so without what came in between."""

MOST_CAUSES = 3
"""Causes named in a reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """Why an order is later; no words: nothing that is known made it so.

    Attributes
    ----------
    because
        The press or the person; None: neither.
    made_way
        It made way for something else, or for what took longer than planned.
    besides
        What made an order later that was late before; behind the words, or behind why it is late by itself.
    """

    words: str = ""
    because: PressDown | PersonAway | None = None
    made_way: bool = False
    besides: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """The sheets in hand, and the moment from which they no longer hold.

    Attributes
    ----------
    now
        The tick of that moment.
    stood
        By order, minutes late as things stood then, had nothing come in between.
    """

    printed: Plan
    now: int
    stood: Mapping[str, float]

    def reason(self, problem: DayProblem, trail: Sequence[Step], order: str, late_minutes: float) -> Why:
        """What came in between that made an order later.

        It is a press that is down, or a person who is away, where a run of the order was to be pressed on the
        sheets in hand, and isn't now, or only afterwards. Else the order made way for what came in just now.
        What is begun by then, and an order that would be as late without, has nothing to do with it: there
        something took longer than planned.
        """
        was = next((one for one in self.printed.orders if one.id == order), None)
        if was is None:
            clause = next(self._clauses(problem, trail, order), None)
            return Why() if clause is None else Why(words=clause[1], because=clause[0])
        as_late = abs(late_minutes - was.late_minutes) <= WORTH_SAYING_MIN
        last = _last_of(trail, order)
        begun = last is not None and last.done.setup_start < self.now
        if late_minutes > was.late_minutes and not as_late:
            if last is not None and begun:
                return self._slower(problem, was, last)
            return self._later(problem, trail, was, late_minutes)
        # No later than it was: for the same reason, as long as that lasts.
        if was.made_way or (as_late and begun):
            return Why(words=was.reason, because=was.because, made_way=was.made_way)
        if was.because is None or was.because not in _points(problem):
            return Why()
        words = was.reason if as_late else self._words(problem, was.because)
        return Why(words=words, because=was.because)

    def _later(
        self, problem: DayProblem, trail: Sequence[Step], was: PlannedOrder, late_minutes: float
    ) -> Why:
        """Of an order that ends with a run still to come."""
        if late_minutes <= self.stood.get(was.id, 0.0) + WORTH_SAYING_MIN:
            if was.late_minutes:
                return Why(besides=SLOWER)
            return Why(words=f"{MADE_WAY}{SLOWER}", made_way=True)
        for one, clause in self._clauses(problem, trail, was.id):
            return Why(words=clause, because=one)
        causes = self._causes(problem)
        words = f"{MADE_WAY}{' and '.join(causes[:MOST_CAUSES])}"
        return Why(words=words, made_way=True) if causes else Why()

    def _slower(self, problem: DayProblem, was: PlannedOrder, last: Step) -> Why:
        """Of an order that ends with a run begun before the moment: nothing that came in between moved it."""
        end = clock(problem.day, last.done.end, problem.instance.tick_s)
        printed = next((run for run in self.printed.runs if run.id == last.task.id), None)
        if printed is None or end <= printed.end:
            return Why()
        verb = "was" if last.done.end <= self.now else "is"
        words = (
            f"{' and '.join(printed.content.placements)} {verb} pressed later than planned, until "
            f"{_said(problem, end)} and not {_said(problem, printed.end)}"
        )
        return Why(besides=words) if was.late_minutes else Why(words=words)

    def _causes(self, problem: DayProblem) -> list[str]:
        """What is new since the sheets in hand."""
        before = self.printed.between
        said = [
            self._words(problem, one) for one in _points(problem) if one not in (*before.down, *before.away)
        ]
        came = [one for one in problem.between.came if one not in before.came]
        if came:
            orders = ", ".join(one.order for one in came)
            said.append(f"{orders} came in at {_said(problem, came[0].at)}")
        return said

    def _clauses(
        self, problem: DayProblem, trail: Sequence[Step], order: str
    ) -> Iterator[tuple[PressDown | PersonAway, str]]:
        whole = {part.task: part.run for part in problem.parts}
        printed = {run.id: run for run in self.printed.runs}
        own = [step for step in trail if step.task.job == order and step.done.setup_start >= self.now]
        for step in sorted(own, key=lambda step: (-step.done.end, step.task.id)):
            run = printed.get(step.task.id) or printed.get(whole.get(step.task.id, ""))
            if run is None:
                continue
            at = clock(problem.day, step.done.start, problem.instance.tick_s)
            for one in _points(problem):
                if self._in_the_way(problem, one, run, step, at):
                    by = f" by {step.done.operator}" if isinstance(one, PersonAway) else ""
                    place = " and ".join(run.content.placements)
                    where = f"pressed{by} at {' and '.join(dict(step.mode.places))}"
                    yield one, f"{self._words(problem, one)}; {place} is {where} from {_said(problem, at)}"

    def _in_the_way(
        self, problem: DayProblem, one: PressDown | PersonAway, run: PlannedRun, step: Step, at: datetime
    ) -> bool:
        now = clock(problem.day, self.now, problem.instance.tick_s)
        if isinstance(one, PressDown):
            over, mine = one.until, one.press in run.presses
            there = one.press in dict(step.mode.places)
        else:
            over, mine = one.end, one.person == run.operator and one.start < run.end
            there = one.person == step.done.operator
        lasts = over is None or over > now
        return mine and lasts and (not there or (over is not None and at >= over))

    def _words(self, problem: DayProblem, one: PressDown | PersonAway) -> str:
        if isinstance(one, PressDown):
            until = f"until {_said(problem, one.until)}" if one.until else "for the rest of the day"
            return f"{one.press} is down {until}"
        end = f" to {_said(problem, one.end)}" if one.end else " on"
        return f"{one.person} is away from {_said(problem, one.start)}{end}"


def _last_of(trail: Sequence[Step], order: str) -> Step | None:
    """The run that ends an order."""
    own = [step for step in trail if step.task.job == order]
    return max(own, key=lambda step: (step.done.end + step.task.cooling, step.task.id), default=None)


def _points(problem: DayProblem) -> tuple[PressDown | PersonAway, ...]:
    return (*problem.between.down, *problem.between.away)


def _said(problem: DayProblem, moment: datetime) -> str:
    return moment_in_words(moment, problem.day)
