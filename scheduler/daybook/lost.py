"""Pieces that count as pressed, on garments that were spoiled at another placement, later or before."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from scheduler.domain.day_state import RunState, RunStatus
from scheduler.domain.disruptions import PartKind
from scheduler.domain.pieces import Pieces, same_kind, shared_by
from scheduler.domain.plan import Plan


def with_lost(plan: Plan, runs: Sequence[RunState]) -> tuple[RunState, ...]:
    """The runs, each finished one with the pieces that another run spoiled.

    A new garment has nothing on it. Whatever was pressed on the spoiled one before goes on it again; what
    comes after is pressed by the runs that are still to come. A run that is over by then and of which nobody
    said anything counts as gone to plan, but for the garments that were spoiled before it: it had not
    got them, unless sheets had asked for new ones. Only spoiled pieces count: one that a later run did not do
    still has what was pressed on it.
    """
    losses = _Losses(plan, runs)
    for run in sorted(runs, key=lambda run: (run.end, run.number)):
        if run.status is RunStatus.FINISHED and run.spoiled:
            losses.take(run)
    return tuple(
        replace(run, lost=losses.count[run.run], lost_of=tuple(losses.known[run.run])) for run in runs
    )


@dataclass(frozen=True, slots=True)
class _Family:
    """A run with its rests and what is pressed again of it: the same placements."""

    root: str
    again: bool


class _Losses:
    """What each run lost so far."""

    def __init__(self, plan: Plan, runs: Sequence[RunState]) -> None:
        self._runs = [run for run in runs if run.status is RunStatus.FINISHED]
        self._bundles = {task.id: frozenset(task.bundles) for task in plan.instance.tasks}
        self._pieces = {run.id: tuple(one for one in run.content.pieces if one.quantity) for run in plan.runs}
        self._part = {part.task: part for part in plan.parts}
        self._pressed_again = {part.run for part in plan.parts if part.name is PartKind.AGAIN}
        self.count: dict[str, int] = defaultdict(int)
        self.known: dict[str, list[Pieces]] = defaultdict(list)

    def take(self, spoiling: RunState) -> None:
        """Count what is not on the garments in place of spoiled ones, at each of their other placements."""
        own = self._family(spoiling.run)
        before: dict[str, list[RunState]] = defaultdict(list)
        after: dict[str, list[RunState]] = defaultdict(list)
        asked = [
            part.asked
            for part in self._part.values()
            if part.name is PartKind.AGAIN and part.run == spoiling.run and part.asked is not None
        ]
        for run in self._runs:
            family = self._family(run.run)
            shared = self._bundles.get(run.run, frozenset()) & self._bundles.get(spoiling.run, frozenset())
            if not shared or family.root == own.root:
                continue
            if run.end < spoiling.end:
                before[family.root].append(run)
            elif run.assumed and not family.again and not any(moment < run.end for moment in asked):
                after[family.root].append(run)

        def likely(run: RunState) -> tuple[bool, bool, float]:
            # The garment was most likely pressed there last; what is pressed again already isn't once more.
            again = self._family(run.run).again
            return run.run in self._pressed_again, again is not own.again, -run.end.timestamp()

        for others in (*before.values(), *after.values()):
            self._share(spoiling, sorted(others, key=likely))

    def _spoiled_of(self, run: RunState) -> tuple[tuple[Pieces | None, int], ...]:
        """The spoiled pieces by kind; None: nobody said which."""
        kinds = self._pieces.get(run.run, ())
        if len(kinds) == 1:
            return ((kinds[0], run.spoiled),)
        named = [(one, one.quantity) for one in run.spoiled_of]
        unknown = max(0, run.spoiled - sum(count for _, count in named))
        return (*named, *([(None, unknown)] if unknown else []))

    def _share(self, spoiling: RunState, others: Sequence[RunState]) -> None:
        """Divide the pieces that a run spoiled over runs of one placement, to none more than it pressed."""
        for kind, left in self._spoiled_of(spoiling):
            for run in others:
                if kind is None:
                    there = run.quantity - self.count[run.run]
                else:
                    there = sum(one.quantity for one in self._pieces[run.run] if same_kind(one, kind))
                    there -= sum(one.quantity for one in self.known[run.run] if same_kind(one, kind))
                taken = min(left, max(0, there))
                if not taken:
                    continue
                left -= taken
                self.count[run.run] += taken
                # Without its size it is at least of a garment that the other run had.
                one = shared_by(self._pieces[spoiling.run], taken) if kind is None else kind
                self.known[run.run].append(replace(one, quantity=taken))

    def _family(self, run: str) -> _Family:
        again = False
        while run in self._part:
            again = again or self._part[run].name is PartKind.AGAIN
            run = self._part[run].run
        return _Family(root=run, again=again)


__all__ = ["with_lost"]
