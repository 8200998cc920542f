"""Any number of replays of a plan at once, run after run through its network."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scheduler.chance.network import Network, Node

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Times:
    """Ticks that setting up by hand and pressing really take; shape (replays, runs), as in the network."""

    set_up: Floats
    work: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Replayed:
    """When runs were set up, pressed and over, in ticks; shape (replays, runs).

    Infinite where the people who were to do it have gone home for good.
    """

    begin: Floats
    start: Floats
    end: Floats


class Presence:
    """When a person's work gets done: work pauses over breaks and nights and goes on after them."""

    def __init__(self, stretches: tuple[tuple[int, int], ...]) -> None:
        self._starts = np.array([first for first, _ in stretches], dtype=np.float64)
        self._ends = np.array([last for _, last in stretches], dtype=np.float64)
        lengths = self._ends - self._starts
        self._done_at_end = np.cumsum(lengths)
        self._done_at_start = self._done_at_end - lengths

    def after(self, moments: Floats, ticks: Floats) -> Floats:
        """When so many ticks of work from some moments on are done; shape as given.

        Work that can be finished when a break begins is finished there. Without any, the first moment at
        which the person is there.
        """
        count = len(self._starts)
        here = np.searchsorted(self._ends, moments, side="right")
        never = here >= count
        here = np.minimum(here, count - 1) if count else here
        if not count:
            return np.full(moments.shape, np.inf)
        begun = np.where(never, self._ends[-1], np.maximum(moments, self._starts[here]))
        wanted = self._done_at_start[here] + (begun - self._starts[here]) + ticks
        there = np.maximum(here, np.searchsorted(self._done_at_end, wanted, side="left"))
        never |= there >= count
        there = np.minimum(there, count - 1)
        ended = np.where(
            there == here, begun + ticks, self._starts[there] + (wanted - self._done_at_start[there])
        )
        return np.where(never, np.inf, ended)

    def worked(self, moments: Floats) -> Floats:
        """Ticks of work that the person can have done up to some moments."""
        if not len(self._starts):
            return np.zeros(moments.shape)
        into = np.clip(moments[..., None] - self._starts, 0.0, self._ends - self._starts)
        total: Floats = into.sum(axis=-1)
        return total


def planned_times(network: Network, replays: int = 1) -> Times:
    """The times that the plan has, in every replay."""
    set_up = np.array([node.set_up for node in network.nodes], dtype=np.float64)
    work = np.array([node.work for node in network.nodes], dtype=np.float64)
    return Times(
        set_up=np.broadcast_to(set_up, (replays, len(set_up))),
        work=np.broadcast_to(work, (replays, len(work))),
    )


class Replay:
    """A network ready to be replayed."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self._people = {name: Presence(stretches) for name, stretches in network.people.items()}

    def run(self, times: Times) -> Replayed:
        """Replay the plan with some times, each row by itself.

        A run is set up when its press, person and platen are free, and pressed when also its heat, garments
        and transfers are there; what is late pushes what waits for it (right-shift).
        """
        shape = (times.set_up.shape[0], len(self.network.nodes))
        # Runs are filled in one after the other: columns side by side in memory.
        made = Replayed(
            begin=np.empty(shape, order="F"),
            start=np.empty(shape, order="F"),
            end=np.empty(shape, order="F"),
        )
        self.go_on(made, times, 0)
        return made

    def changed(self, replayed: Replayed, times: Times, run: int) -> Replayed:
        """The same replays when only the times of one run, by its place, are others."""
        made = Replayed(
            begin=replayed.begin.copy(order="F"),
            start=replayed.start.copy(order="F"),
            end=replayed.end.copy(order="F"),
        )
        self.go_on(made, times, run)
        return made

    def go_on(self, made: Replayed, times: Times, first: int) -> None:
        """Fill in the runs from one place on; those before it stand."""
        for number in range(first, len(self.network.nodes)):
            node = self.network.nodes[number]
            if node.given:
                made.begin[:, number], made.start[:, number] = node.begin, node.start
                made.end[:, number] = node.end
            else:
                self._place(made, number, node, times.set_up[:, number], times.work[:, number])

    def critical(self, replayed: Replayed, times: Times, counts: Floats) -> Floats:
        """How much of some runs' ends each run is to blame for: along whatever they waited for last.

        Parameters
        ----------
        counts
            What the end of each run counts for in each replay; shape (replays, runs).

        Returns
        -------
        array
            By run: what it counts for itself and through all that waited for it, on average; of two that end
            at the same moment, for both. With 1 for the last run alone it is its criticality index.

        Source: R. M. Van Slyke, "Monte Carlo methods and the PERT problem", *Operations Research* 11 (1963).
        """
        total = counts.copy(order="F")
        for number in reversed(range(len(self.network.nodes))):
            node, own = self.network.nodes[number], total[:, number]
            if node.given or not own.any():
                continue
            held, _ = self.waited_for(replayed, times, number)
            for other, here in held.items():
                total[:, other] += np.where(here, own, 0.0)
        means: Floats = total.mean(axis=0)
        return means

    def waited_for(
        self, replayed: Replayed, times: Times, number: int
    ) -> tuple[dict[int, NDArray[np.bool_]], Floats]:
        """What a run waited for last, and when all that it waits for was there.

        Returns
        -------
        tuple
            By place, the runs that it waits for, and in which replays it waited for that one last (of two
            that end at the same moment, for both), shape (replays,); and the ticks from which nothing but its
            own set-up held it up, shape (replays,).
        """
        node = self.network.nodes[number]
        begins = [replayed.end[:, other] for other in node.after]
        begin = np.max([*begins, np.full(replayed.end.shape[0], float(node.set_up_from))], axis=0)
        waits = (*node.heat, *node.ready)
        ready = [replayed.end[:, other] + ticks for other, ticks in waits]
        latest = np.max([*ready, np.full(begin.shape, float(node.press_from))], axis=0)
        set_up = times.set_up[:, number]
        person = None if node.operator is None else self._people[node.operator]
        is_set_up = begin + set_up if person is None else person.after(begin, set_up)
        # A run that is waited for in two ways is waited for once.
        held: dict[int, Any] = defaultdict(bool)
        for other, ended in zip(node.after, begins, strict=True):
            held[other] |= (ended >= begin) & (is_set_up >= latest)
        for (other, _), moment in zip(waits, ready, strict=True):
            held[other] |= (moment >= latest) & (latest >= is_set_up)
        return dict(held), np.maximum(begin, latest)

    def _place(self, made: Replayed, number: int, node: Node, set_up: Floats, work: Floats) -> None:
        begin = np.full(set_up.shape, float(node.set_up_from))
        for other in node.after:
            np.maximum(begin, made.end[:, other], out=begin)
        person = None if node.operator is None else self._people[node.operator]
        start = begin + set_up if person is None else person.after(begin, set_up)
        np.maximum(start, float(node.press_from), out=start)
        for other, ticks in (*node.heat, *node.ready):
            np.maximum(start, made.end[:, other] + ticks, out=start)
        if person is not None:
            begin = person.after(begin, np.zeros_like(begin))
            start = person.after(start, np.zeros_like(start))
        made.begin[:, number], made.start[:, number] = begin, start
        made.end[:, number] = start + work if person is None else person.after(start, work)
