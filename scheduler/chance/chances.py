"""What replays come to: chances with their intervals, lateness, percentiles, and where minutes help most."""

from __future__ import annotations

from datetime import datetime, time, timedelta

import numpy as np
from numpy.typing import NDArray

from scheduler.chance.causes import Causes, goes_home
from scheduler.chance.network import Network, network_of
from scheduler.chance.outcome import CLOSE, CONFIDENCE, Outcome, percentile, wilson
from scheduler.chance.replay import Presence, Replay, Replayed, Times, planned_times
from scheduler.chance.spread import Spread, draw
from scheduler.domain.chances import DayChance, MinutesWon, OrderChance
from scheduler.domain.idle import NOTICE_MIN
from scheduler.domain.instance import Operator
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import WarmUp
from scheduler.planning.calendar import tick_at_or_after

Floats = NDArray[np.float64]

REPLAYS = 2000
CAREFUL = 0.9
MOST_WON = 5
"""Runs named where minutes would help."""

SHORT_LIST = 12
"""Runs tried, of those that late orders waited for most."""

BEYOND = 0.05
"""What an order counts for in that list when the minutes would not be enough for it (own choice)."""

WORTH_SAYING = 0.005
"""Weight of orders more on time below which minutes won at a run are not worth saying."""


class Replays:
    """A plan with its random times, replayed once; what follows asks of it.

    Parameters
    ----------
    seed
        The same plan, spread, number and seed give the same replays.
    as_printed
        See `network_of`.
    stay_min
        Minutes that people stay after their shift, overtime included, when their sheet is not done.
    """

    def __init__(
        self,
        plan: Plan,
        spread: Spread,
        *,
        replays: int = REPLAYS,
        seed: int = 1,
        as_printed: bool = False,
        stay_min: float = 0.0,
    ) -> None:
        self.plan, self.spread, self.replays, self.seed = plan, spread, replays, seed
        self.as_printed, self.stay_min = as_printed, stay_min
        self.network = network_of(
            plan.instance,
            plan.schedule,
            as_printed=as_printed,
            begun_before=begun_before(plan),
            stay=round(stay_min * 60 / plan.instance.tick_s),
            on_again=_on_again(plan),
        )
        self.times = draw(plan, self.network, spread, replays=replays, seed=seed)
        self._replay = Replay(self.network)
        self.replayed = self._replay.run(self.times)
        self.outcome = self._outcome(self.replayed)
        self.as_planned = self._outcome(self._replay.run(planned_times(self.network)))

    def _outcome(self, replayed: Replayed) -> Outcome:
        instance = self.plan.instance
        place = {job.id: number for number, job in enumerate(instance.jobs)}
        cooling = {task.id: task.cooling for task in instance.tasks}
        ready = np.zeros((replayed.end.shape[0], len(place)), order="F")
        ready[:] = [job.ready for job in instance.jobs]
        for number, node in enumerate(self.network.nodes):
            column = place[node.job]
            ended = replayed.end[:, number] + cooling[node.task]
            np.maximum(ready[:, column], ended, out=ready[:, column])
        due = np.array([np.inf if job.due is None else job.due for job in instance.jobs], dtype=np.float64)
        open_end = due > instance.horizon
        for job in self._not_whole():
            ready[:, place[job]] = np.inf
            open_end[place[job]] = False
        packing = np.array([job.packing for job in instance.jobs], dtype=np.float64)
        return Outcome(
            jobs=tuple(place),
            finished=ready + packing,
            due=due,
            weights=np.array([job.weight for job in instance.jobs], dtype=np.float64),
            horizon=float(instance.horizon),
            open_end=open_end,
        )

    def _not_whole(self) -> set[str]:
        """Orders of which something fits nowhere in the planned days, or is missing and pressed by no run."""
        of_task = {task.id: task.job for task in self.plan.instance.tasks}
        missing = {order.id for order in self.plan.orders if order.missing}
        return {of_task[task] for task in self.plan.schedule.left_over} | missing

    def won(self, minutes: float) -> tuple[MinutesWon, ...]:
        """The runs at which some minutes less of work would put most orders on time, by weight, best first.

        Everything else stays as it was drawn, so a difference is one of those minutes alone. Tried are the
        runs that late orders waited for most, as far as the minutes would put them on time.
        """
        blamed = self._replay.critical(self.replayed, self.times, self._late_ends(minutes))
        open_runs = [number for number, node in enumerate(self.network.nodes) if not node.given]
        short = sorted(open_runs, key=lambda number: (-blamed[number], number))[:SHORT_LIST]
        found = self._gains(short, minutes)
        runs = {run.id: run for run in self.plan.runs}
        told = []
        for number in sorted(found, key=lambda number: (-found[number][0], -found[number][1], number)):
            run = runs[self.network.nodes[number].task]
            weight, late, day, orders = found[number]
            if weight >= WORTH_SAYING:
                told.append(
                    MinutesWon(
                        run=run.id,
                        number=run.number,
                        order=run.content.order,
                        press=" + ".join(run.presses),
                        operator=run.operator,
                        minutes=minutes,
                        orders_gained=orders,
                        weight_gained=weight,
                        late_minutes_saved=late * self.plan.instance.tick_s / 60,
                        day_gain=day,
                    )
                )
        return tuple(told[:MOST_WON])

    def _late_ends(self, minutes: float) -> Floats:
        """By replay and run, the weight of the order that it holds up; shape (replays, runs).

        An order counts when so many minutes would put it on time, and a little when they would not.
        """
        outcome = self.outcome
        late = outcome.finished - np.where(np.isfinite(outcome.due), outcome.due, np.inf)
        soon = late <= minutes * 60 / self.plan.instance.tick_s
        counts = np.where(outcome.on_time, 0.0, np.where(soon, 1.0, BEYOND)) * outcome.weights
        place = {job: number for number, job in enumerate(outcome.jobs)}
        cooling = {task.id: task.cooling for task in self.plan.instance.tasks}
        packing = {job.id: job.packing for job in self.plan.instance.jobs}
        made = np.zeros(self.replayed.end.shape, order="F")
        for number, node in enumerate(self.network.nodes):
            job = place[node.job]
            over = self.replayed.end[:, number] + cooling[node.task] + packing[node.job]
            made[:, number] = np.where(over >= outcome.finished[:, job], counts[:, job], 0.0)
        return made

    def _gains(self, numbers: list[int], minutes: float) -> dict[int, tuple[float, float, float, float]]:
        """By run: orders more on time and late ticks less, by weight; how much surer the day is; orders."""
        ticks = minutes * 60 / self.plan.instance.tick_s
        times = Times(set_up=self.times.set_up, work=self.times.work.copy(order="F"))
        before = self.outcome
        found = {}
        for number in numbers:
            usual = times.work[:, number].copy()
            times.work[:, number] = np.maximum(0.0, usual - ticks)
            changed = self._outcome(self._replay.changed(self.replayed, times, number))
            times.work[:, number] = usual
            found[number] = (
                changed.weighted_on_time - before.weighted_on_time,
                before.weighted_late - changed.weighted_late,
                (changed.day_on_time - before.day_on_time) / len(usual),
                changed.orders_on_time - before.orders_on_time,
            )
        return found

    def told(self, *, confidence: float = CONFIDENCE, minutes: float | None = None) -> DayChance:
        """All of it in trade words.

        Parameters
        ----------
        minutes
            To be won at a run, for `DayChance.won`; None: that is not looked at.
        """
        outcome, tick_min = self.outcome, self.plan.instance.tick_s / 60
        late = outcome.late.mean(axis=0) * tick_min
        hits = outcome.on_time.sum(axis=0)
        orders = {order.id: order for order in self.plan.orders}
        runs = {run.id: run for run in self.plan.runs}
        not_whole = self._not_whole()
        causes = Causes(self._replay, self.replayed, self.times, outcome, self._moment)
        rows = [
            OrderChance(
                id=job,
                customer=orders[job].customer,
                weight=orders[job].weight,
                cut_off=orders[job].cut_off,
                planned=orders[job].finished,
                on_time=wilson(int(hits[number]), self.replays, confidence),
                late_minutes=float(late[number]),
                beyond=float(np.isinf(outcome.finished[:, number]).mean()),
                due_later=outcome.open_end is not None and bool(outcome.open_end[number]),
                usual=self._moment(percentile(outcome.finished[:, number], 0.5)),
                careful=self._moment(percentile(outcome.finished[:, number], CAREFUL)),
                missing=orders[job].missing,
                cause=None if job in not_whole else causes.of(number, runs),
            )
            for number, job in enumerate(outcome.jobs)
            if job in orders
        ]
        rows.sort(key=lambda row: (row.on_time.best, -row.late_minutes * row.weight, row.id))
        ever = outcome.ever_on_time
        # What is late whatever happens would hide how sure the others are.
        apart = ever.any() and not ever.all()
        finish = outcome.finished.max(axis=1, initial=0.0)
        planned = planned_times(self.network)
        return DayChance(
            replays=self.replays,
            seed=self.seed,
            confidence=confidence,
            as_printed=self.as_printed,
            stay_minutes=self.stay_min,
            spread=self.spread.words,
            on_time=wilson(outcome.day_on_time, self.replays, confidence),
            orders=tuple(rows),
            late_minutes=outcome.weighted_late * tick_min,
            work_more=float(self.times.work.sum(axis=1).mean() / max(1.0, planned.work.sum()) - 1.0),
            finish_planned=self._moment(float(self.as_planned.finished.max(initial=0.0))),
            finish_usual=self._moment(percentile(finish, 0.5)),
            finish_careful=self._moment(percentile(finish, CAREFUL)),
            overtime_planned_minutes=float(self._overtime(self._replay.run(planned)).mean()) * tick_min,
            overtime_minutes=float(self._overtime(self.replayed).mean()) * tick_min,
            unfinished=wilson(int(self._unfinished().sum()), self.replays, confidence),
            never_on_time=tuple(row.id for row in rows if row.on_time.best == 0),
            others_on_time=wilson(outcome.others_on_time, self.replays, confidence) if apart else None,
            won=() if minutes is None else self.won(minutes),
        )

    def _moment(self, tick: float) -> datetime | None:
        if not np.isfinite(tick):
            return None
        seconds = round(tick * self.plan.instance.tick_s)
        return datetime.combine(self.plan.day, time()) + timedelta(seconds=seconds)

    def _overtime(self, replayed: Replayed) -> Floats:
        """Ticks of work after paid hours, of all people together; shape (replays,)."""
        late = {
            person.id: Presence(_after_hours(self.network, person)) for person in self.plan.instance.operators
        }
        total = np.zeros(replayed.end.shape[0])
        for number, node in enumerate(self.network.nodes):
            if node.operator is not None:
                ended = np.minimum(replayed.end[:, number], self.plan.instance.horizon)
                # Set-up that waits for heat or garments counts right before pressing, as in the plan.
                begun = np.minimum(replayed.start[:, number], ended) - node.set_up
                begun = np.maximum(begun, np.minimum(replayed.begin[:, number], ended))
                hours = late[node.operator]
                total += hours.worked(ended) - hours.worked(begun)
        return total

    def _unfinished(self) -> NDArray[np.bool_]:
        """Whether some run is not over when the shift that it is planned in ends, overtime included."""
        found = np.zeros(self.replays, dtype=np.bool_)
        for number, home in goes_home(self.network).items():
            found |= self.replayed.end[:, number] > home.at + CLOSE
        return found


def _after_hours(network: Network, person: Operator) -> tuple[tuple[int, int], ...]:
    """Stretches of a person's presence after paid hours."""
    return tuple(
        (max(first, shift.end), last)
        for first, last in network.people[person.id]
        for shift in person.shifts
        if shift.start <= first < shift.overtime_end + network.stay and last > shift.end
    )


def _on_again(plan: Plan) -> tuple[WarmUp, ...]:
    """The warm-ups of the sheets that the schedule doesn't have."""
    known = {(warm.machine, warm.end) for warm in plan.schedule.warm_ups}
    shown = (
        WarmUp(
            machine=warm.press,
            start=tick_at_or_after(plan.day, warm.start, plan.instance.tick_s),
            end=tick_at_or_after(plan.day, warm.ready, plan.instance.tick_s),
        )
        for warm in plan.warm_ups
    )
    return tuple(one for one in shown if (one.machine, one.end) not in known)


def begun_before(plan: Plan) -> int:
    """Before this tick a plan that was made again has facts; 0 for a plan of a whole day."""
    if plan.at is None:
        return 0
    return tick_at_or_after(plan.day, plan.at + timedelta(minutes=NOTICE_MIN), plan.instance.tick_s)
