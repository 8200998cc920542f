"""Why an order is late or a run is left over: one clause with facts, always the same for the same plan."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from fractions import Fraction

from scheduler.domain.clock import clock as clock_time
from scheduler.domain.clock import moment_in_words, short_date
from scheduler.domain.day_problem import DayProblem, RunContent
from scheduler.domain.instance import Instance, Task
from scheduler.domain.schedule import Schedule
from scheduler.domain.times import hours_and_minutes
from scheduler.planning.calendar import clock, tick_at_or_after
from scheduler.planning.earliest import earliest_end, earliest_finish, quickest
from scheduler.planning.pressed_again import again_words, parts_again, waiting_for_again
from scheduler.planning.trail import Step, day_of
from scheduler.planning.waiting import Use, Waiting

BUSY = Fraction(3, 5)
"""From this share of the waiting time on, a press, platen or person counts as taken."""

LEEWAY = Fraction(1, 10)
"""By so much of a share a scarce thing may be less taken than others and still be named."""

WORTH_SAYING_S = 1800
"""An order late by itself that is later still by so many seconds is told the second reason too."""

MOST_NAMED = 3
"""Up to so many orders are named in a reason; of more their number is given."""


class Reasons:
    """Reasons for late orders and runs left over in one schedule.

    Parameters
    ----------
    problem
        The day.
    trail
        The steps of the schedule, `scheduler.planning.trail.steps`.
    schedule
        The schedule itself.
    numbers
        Of the runs on the sheets, by their id.
    """

    def __init__(
        self,
        problem: DayProblem,
        trail: Sequence[Step],
        schedule: Schedule,
        numbers: Mapping[str, int] | None = None,
    ) -> None:
        self.problem = problem
        self.numbers = numbers or {}
        self.parts_again = parts_again(problem)
        tick_s = problem.instance.tick_s
        self.came = {one.order: tick_at_or_after(problem.day, one.at, tick_s) for one in problem.between.came}
        self.instance = problem.instance
        if self.came:
            # Nothing of an order was pressed, or waited, before it came in.
            tasks = tuple(self._from_then(task) for task in problem.instance.tasks)
            self.instance = replace(problem.instance, tasks=tasks)
            trail = [replace(step, task=self._from_then(step.task)) for step in trail]
        self.waiting = Waiting(self.instance, trail)
        self.trail = self.waiting.trail
        self.left_over = schedule.left_over
        self.tasks = {task.id: task for task in self.instance.tasks}

    def _from_then(self, task: Task) -> Task:
        floor = self.came.get(task.job, 0)
        return replace(task, release=floor) if task.release < floor else task

    def of_order(self, order: str) -> str:
        """Why an order is late, or not finished at all."""
        for task in self.left_over:
            if self.problem.contents[task].order == order:
                return f"{_named(self.problem.contents[task])} is left over: {self.of_left_over(task)}"
        job = next(each for each in self.instance.jobs if each.id == order)
        steps = [step for step in self.trail if step.task.job == order]
        if not steps or job.due is None:
            return "it has nothing that was pressed"
        again = waiting_for_again(self.problem, steps)
        own = [step for step in steps if step.task.id not in again]
        if _last(steps)[1] not in again:
            return self._of_runs(order, own, job.due, job.packing)
        # Those that end last, or that what ends last waits for.
        named = (self.parts_again[name] for name in again[_last(steps)[1]])
        words = again_words(named, self.numbers)
        if not own or _last(own)[0] + job.packing <= job.due:
            return words
        reason = self._of_runs(order, own, job.due, job.packing)
        return f"{reason}; besides, {words}"

    def late_again(self, order: str, printed: Collection[str]) -> bool:
        """Whether an order is late only for pieces that are pressed again since the sheets in hand.

        Parameters
        ----------
        printed
            The runs on those sheets, by their id.
        """
        job = next(each for each in self.instance.jobs if each.id == order)
        steps = [step for step in self.trail if step.task.job == order]
        again = waiting_for_again(self.problem, steps)
        own = [step for step in steps if step.task.id not in again]
        fresh = any(name not in printed for parts in again.values() for name in parts)
        return fresh and job.due is not None and (not own or _last(own)[0] + job.packing <= job.due)

    def _of_runs(self, order: str, steps: Sequence[Step], due: int, packing: int) -> str:
        """Why an order is late that ends with the last of some runs, what is pressed again left out."""
        end, _, last = _last(steps)
        tasks = tuple(task for task in self.instance.tasks if task.id not in self.parts_again)
        instance = replace(self.instance, tasks=tasks) if self.parts_again else self.instance
        alone = earliest_finish(instance, order)
        if alone is not None and alone <= due:
            return self._waits(last, due)
        reason = self._too_much(instance, order, due, alone)
        if order in self.came:
            reason = f"it came in at {self._tick(self.came[order])}; {reason}"
        besides = 0 if alone is None else self.waiting.open_ticks(alone, end + packing)
        if besides * self.instance.tick_s > WORTH_SAYING_S:
            return f"{reason}; besides, {self._waits(last, due)}"
        return reason

    def of_left_over(self, name: str) -> str:
        """Why a run is left over."""
        task, content = self.tasks[name], self.problem.contents[name]
        last = self.instance.heating_days[-1]
        if task.release >= last.end:
            come = f"{self._what_comes(content)} {self._when_ready(content)}"
            return f"{come}, after the planned days end ({self._tick(last.end)})"
        for pair in self.instance.precedences:
            if pair.after == name and pair.before in self.left_over:
                return f"it must follow {_named(self.problem.contents[pair.before])}, which is left over"
        if earliest_end(self.instance, task, 0) is None:
            return (
                f"at the fastest it takes {self._span(quickest(task))}, "
                "longer than anybody who may do it is there in one shift"
            )
        if earliest_end(self.instance, task, task.release) is None:
            return (
                f"{self._what_comes(content)} {self._when_ready(content)}, and at the fastest it takes "
                f"{self._span(quickest(task))}: too long for what is left of the planned days"
            )
        return self._full(task)

    def _too_much(self, instance: Instance, order: str, due: int, alone: int | None) -> str:
        """The order would be late even alone in the shop: for what comes late, or for its own work."""
        free = earliest_finish(instance, order, with_releases=False)
        contents = [content for content in self.problem.contents.values() if content.order == order]
        waiting = [content for content in contents if content.ready is not None]
        if waiting and free is not None and free <= due:
            last = max(waiting, key=lambda content: (content.ready or datetime.min, content.task))
            after = (
                ""
                if alone is None
                else f"; pressed and packed without a pause it is ready at {self._tick_up(alone)}"
            )
            return f"{self._what_comes(last)} {self._when_ready(last)}{after}"
        if alone is None:
            return "its pressings of the same garments are more than the planned days hold one after another"
        first = min(day.start for day in self.instance.heating_days)
        if due < 0:
            return "its cut-off was before the planned day"
        if due <= first:
            return f"its cut-off is before the shop opens at {self._tick(first)}"
        count = len(dict.fromkeys(placement for content in contents for placement in content.placements))
        what = (
            "pressing and packing"
            if count == 1
            else f"its {count} placements one after another, and packing,"
        )
        return f"{what} cannot be done before {self._tick_up(alone)}, even with the whole shop to itself"

    def _waits(self, step: Step, due: int) -> str:
        """The order waits for others: for what, judged at the run of its chain that waited longest."""
        step, ready = self.waiting.longest_wait(step)
        until = step.done.setup_start
        uses = self.waiting.uses(step.task, ready, until)
        fullest = max(use.share for use in uses)
        for use in uses:
            # What few can do is the better reason, unless something else is clearly fuller.
            if use.share >= BUSY and use.share + (LEEWAY if use.scarce else 0) >= fullest:
                return self._taken(use, step, ready, until)
        return self._just_before(step, ready, due)

    def _taken(self, use: Use, step: Step, ready: int, until: int) -> str:
        content = self.problem.contents[step.task.id]
        name, by = _named(content), _orders(use.orders, content.order)
        begun = ""
        if day_of(self.instance, use.last) != day_of(self.instance, until):
            # The night is no work: what kept it waiting ended the day before.
            until, begun = use.last, f"; {self._next_day(step, use.last)}"
        return f"{self._used(use, content, name, by, ready, until)}{begun}"

    def _next_day(self, step: Step, free: int) -> str:
        """What is said of a run that is begun on another day than that on which it had its turn."""
        name, done = _named(self.problem.contents[step.task.id]), step.done
        begun = f"begun at {self._tick(done.setup_start)}"
        alone = earliest_end(self.instance, step.task, free)
        last = max(day.end for day in self.instance.heating_days if day.start <= free)
        if alone is not None and alone <= last:
            return f"{name} is {begun}"
        takes = self._span(done.end - done.setup_start)
        return f"{name} takes {takes} and no longer fits after that; it is {begun}"

    def _used(self, use: Use, content: RunContent, name: str, by: str, ready: int, until: int) -> str:
        span = self._from_to(ready, until)
        if use.kind != "platen" and not [order for order in use.orders if order != content.order]:
            whom = _and(use.names) if use.scarce or use.kind == "press" else "the crew"
            hours = f"{self._span(use.used)} of the {self._span(use.available)} that there are"
            return f"its own other runs keep {whom} busy until {self._tick(until)}, {hours}"
        if use.kind == "press":
            if use.scarce:
                return f"only {use.names[0]} can press {name}, taken {span} by {by}"
            return f"{_and(use.names)} are taken {span} by {by}"
        if use.kind == "platen":
            owned = sum(platen.count for platen in self.instance.platens if platen.id in use.names)
            if use.scarce:
                one = "the only" if owned == 1 else f"all {owned}"
                kind = "platen" if owned == 1 else "platens"
                verb = "is" if owned == 1 else "are"
                return f"{one} {use.names[0]} {kind} that can take {name} {verb} in use {span} by {by}"
            return f"the platens {_and(use.names)} are in use {span} by {by}"
        people = sum(bool(self.waiting.paid((one,), ready, until)) for one in use.names)
        together = f", added up over {people} people" if people > 1 else ""
        busy = f"busy with {by} {span}: {self._span(use.used)} of {self._span(use.available)}{together}"
        if use.scarce:
            return f"only {_and(use.names)} may press {name}, {busy}"
        return f"the crew is {busy}"

    def _just_before(self, step: Step, ready: int, due: int) -> str:
        """No one thing was short for long: the day ended, or name the run right before it."""
        presses, done = dict(step.mode.places), step.done
        name = _named(self.problem.contents[step.task.id])
        neighbours = [
            other
            for other in self.trail
            if other.done.end <= done.start
            and other.task.id != step.task.id
            and (other.machine in presses or other.done.operator == done.operator)
        ]
        today = day_of(self.instance, ready)
        if today != day_of(self.instance, done.setup_start):
            ends = [
                other.done.end for other in neighbours if day_of(self.instance, other.done.start) == today
            ]
            return (
                f"{name} takes {self._span(done.end - done.setup_start)} and no longer fits after "
                f"{self._tick_up(max([ready, *ends]))}; it is begun at {self._tick(done.setup_start)}"
            )
        if not neighbours:
            start, cut_off = self._tick(done.start), self._tick(due)
            return f"{name} is pressed at {start}, too late for the cut-off at {cut_off}"
        last = max(neighbours, key=lambda other: (other.done.end, other.task.id))
        what = last.machine if last.machine in presses else str(done.operator)
        whose = "its own order" if last.task.job == step.task.job else f"order {last.task.job}"
        return f"{name} waits for {what}, busy with {whose} until {self._tick(last.done.end)}"

    def _full(self, task: Task) -> str:
        """A run that would fit alone: whose hours are full over all the planned days."""
        first, last = task.release, self.instance.heating_days[-1].end
        days = len(self.instance.working_days)
        within = "the planned day" if days == 1 else f"the {days} planned days"
        uses = self.waiting.uses(task, max(first, self.instance.heating_days[0].start), last)
        # Not by its lot: a large order has hundreds, all left over for the same reason.
        name = _kind(self.problem.contents[task.id])
        scarce = [use for use in uses if use.scarce and use.share >= BUSY]
        if scarce:
            use = max(scarce, key=lambda use: use.share)
            if use.kind == "press":
                return f"only {use.names[0]} can press {name}, and its hours in {within} are full"
            if use.kind == "platen":
                return f"only the {use.names[0]} platen can take {name}, and it is in use throughout {within}"
            return f"only {_and(use.names)} may press {name}, without hours enough left in {within}"
        return f"the crew has no stretch of {self._span(quickest(task))} left for it in {within}"

    def _what_comes(self, content: RunContent) -> str:
        """Whether the garments or the transfers of a run are the last to arrive."""
        order = next(order for order in self.problem.orders if order.id == content.order)
        boxes = [line.garments_in for line in order.lines]
        return "its garments come in at" if content.ready in boxes else "its transfers come in at"

    def _when_ready(self, content: RunContent) -> str:
        return "" if content.ready is None else self._when(content.ready)

    def _when(self, moment: datetime) -> str:
        return moment_in_words(moment, self.problem.day)

    def _tick(self, tick: int) -> str:
        return self._when(clock(self.problem.day, tick, self.instance.tick_s))

    def _tick_up(self, tick: int) -> str:
        """The minute by which a tick has come."""
        ticks = 60 // self.instance.tick_s
        return self._tick(-(-tick // ticks) * ticks)

    def _from_to(self, first: int, last: int) -> str:
        """A stretch of time; over midnight both ends have their date, and the night is not meant."""
        begin, end = (clock(self.problem.day, tick, self.instance.tick_s) for tick in (first, last))
        if begin.date() == end.date():
            return f"from {begin:%H:%M} to {self._when(end)}"
        return f"in the open hours from {_dated(begin)} to {_dated(end)}"

    def _span(self, ticks: int) -> str:
        return hours_and_minutes(-(-ticks * self.instance.tick_s // 60))


def _last(steps: Sequence[Step]) -> tuple[int, str, Step]:
    """When the last of some runs has cooled, with that run."""
    return max(
        ((step.done.end + step.task.cooling, step.task.id, step) for step in steps), key=lambda one: one[:2]
    )


def _dated(moment: datetime) -> str:
    return f"{clock_time(moment)} on {short_date(moment.date())}"


def _named(content: RunContent) -> str:
    lot = f" lot {content.lot} of {content.lots}" if content.lots > 1 else ""
    return f"{_kind(content)}{lot}"


def _kind(content: RunContent) -> str:
    group = f" ({content.size_group})" if content.size_group else ""
    return f"{' with '.join(content.placements)}{group}"


def _and(names: Iterable[str]) -> str:
    listed = list(names)
    return listed[0] if len(listed) == 1 else f"{', '.join(listed[:-1])} and {listed[-1]}"


def _orders(orders: Sequence[str], own: str) -> str:
    others = [order for order in orders if order != own]
    if not others:
        return "its own other runs"
    if len(others) > MOST_NAMED:
        return f"{len(others)} other orders"
    return f"{'order' if len(others) == 1 else 'orders'} {_and(others)}"
