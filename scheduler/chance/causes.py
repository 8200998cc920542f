"""Why an order is late in replays: the run that ends it, and the shift end that its chain waited over."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from scheduler.chance.network import Network
from scheduler.chance.outcome import CLOSE, Outcome
from scheduler.chance.replay import Replay, Replayed, Times
from scheduler.domain.chances import LateCause, ShiftOver
from scheduler.domain.plan import PlannedRun

Floats = NDArray[np.float64]
Places = NDArray[np.int32]

NOBODY = -1
"""In place of a run: nobody's shift end was waited over, or no run ends the order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """When somebody goes home.

    Attributes
    ----------
    at
        The tick, overtime and a stay included.
    after_hours
        Whether paid hours end before.
    """

    at: int
    after_hours: bool


def goes_home(network: Network) -> dict[int, Home]:
    """By run, when its person goes home from the shift that it is planned in; facts are left out."""
    shifts = {person.id: person.shifts for person in network.instance.operators}
    found = {}
    for number, node in enumerate(network.nodes):
        if node.operator is None or node.given:
            continue
        for shift in shifts[node.operator]:
            if shift.start <= node.begin < shift.overtime_end:
                home = shift.overtime_end + network.stay
                found[number] = Home(at=home, after_hours=home > shift.end)
                break
    return found


def shift_ends(replay: Replay, replayed: Replayed, times: Times) -> Places:
    """The run at which a chain waited over the end of a shift; shape (replays, runs).

    A run that is not over when its person goes home, though all that it waits for was there before, waits
    over that end itself; any other run waits over what that run did that it waited for last. `NOBODY` where
    there is none.
    """
    network = replay.network
    homes = goes_home(network)
    made = np.full(replayed.end.shape, NOBODY, dtype=np.int32, order="F")
    for number, node in enumerate(network.nodes):
        if node.given:
            continue
        held, there = replay.waited_for(replayed, times, number)
        found = made[:, number]
        for other, here in held.items():
            np.copyto(found, made[:, other], where=here & (found == NOBODY))
        home = homes.get(number)
        if home is not None and node.end <= home.at:
            over = (replayed.end[:, number] > home.at + CLOSE) & (there <= home.at)
            found[over] = number
    return made


class Causes:
    """Why orders are late in some replays.

    Parameters
    ----------
    moment
        The wall-clock time of a tick.
    """

    def __init__(
        self,
        replay: Replay,
        replayed: Replayed,
        times: Times,
        outcome: Outcome,
        moment: Callable[[float], datetime | None],
    ) -> None:
        self.network, self.outcome, self.moment = replay.network, outcome, moment
        self.rows = np.flatnonzero(~outcome.on_time.all(axis=1))
        self.ends = np.asfortranarray(replayed.end[self.rows])
        self.ended = shift_ends(replay, _some(replayed, self.rows), _of(times, self.rows))
        self.homes = goes_home(self.network)
        self.nodes: dict[str, list[int]] = {}
        for number, node in enumerate(self.network.nodes):
            self.nodes.setdefault(node.job, []).append(number)

    def of(self, job: int, runs: Mapping[str, PlannedRun]) -> LateCause | None:
        """The most frequent cause among the replays in which an order is late; None without any.

        Parameters
        ----------
        job
            Its place in the outcome.
        runs
            Of the plan, by id.
        """
        late = ~self.outcome.on_time[self.rows, job]
        numbers = self.nodes.get(self.outcome.jobs[job], [])
        if not late.any() or not numbers:
            return None
        cooling = {task.id: task.cooling for task in self.network.instance.tasks}
        over = self.ends[np.ix_(late, numbers)] + [cooling[self.network.nodes[n].task] for n in numbers]
        last = np.array(numbers)[over.argmax(axis=1)]
        waited = self.ended[np.flatnonzero(late), last]
        causes = Counter(zip(last.tolist(), map(self._shift, waited.tolist()), strict=True))
        (ending, held), count = min(causes.items(), key=lambda one: (-one[1], one[0]))
        run = runs[self.network.nodes[ending].task]
        return LateCause(
            share=count / int(late.sum()),
            run=run.id,
            number=run.number,
            press=" + ".join(run.presses),
            operator=run.operator,
            shift_over=self._shift_over(*held, runs),
        )

    def _shift(self, held: int) -> tuple[str, int]:
        """Whose shift ended, and when: one cause, whichever of its runs was not done."""
        if held == NOBODY:
            return "", NOBODY
        return self.network.nodes[held].operator or "", self.homes[held].at

    def _shift_over(self, person: str, at: int, runs: Mapping[str, PlannedRun]) -> ShiftOver | None:
        moment = self.moment(at)
        if at == NOBODY or moment is None:
            return None
        numbers = [number for number in self.homes if self._shift(number) == (person, at)]
        back = [first for first, _ in self.network.people[person] if first >= at]
        return ShiftOver(
            operator=runs[self.network.nodes[numbers[0]].task].operator,
            at=moment,
            after_hours=self.homes[numbers[0]].after_hours,
            goes_on=self.moment(back[0]) if back else None,
        )


def _some(replayed: Replayed, rows: NDArray[np.intp]) -> Replayed:
    return Replayed(begin=replayed.begin[rows], start=replayed.start[rows], end=replayed.end[rows])


def _of(times: Times, rows: NDArray[np.intp]) -> Times:
    return Times(set_up=times.set_up[rows], work=times.work[rows])
