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
    """The runs, each finished one with the pieces that another run spoiled, or that it hadn't got for that.

    A new garment has nothing on it. Whatever was pressed on the spoiled one before goes on it again; what
    comes after is pressed by the runs that are still to come. A run that is over by then and of which nobody
    said anything counts as gone to plan, but for the garments that were spoiled before it: it had not
    got them, unless sheets had asked for new ones. Only spoiled pieces count: one that a later run did not do
    still has what was pressed on it. Where somebody counted a run, what it didn't do is for garments that
    were spoiled before it, as far as there are any.
    """
    losses = _Losses(plan, runs)
    for run in sorted(runs, key=lambda run: (run.end, run.number)):
        if run.status is RunStatus.FINISHED and run.spoiled:
            losses.take(run)
    lost, gone = losses.lost, losses.gone
    return tuple(
        replace(
            run,
            lost=lost.count[run.run],
            lost_of=tuple(lost.known[run.run]),
            gone=gone.count[run.run],
            gone_of=tuple(gone.known[run.run]),
        )
        for run in runs
    )


@dataclass(frozen=True, slots=True)
class _Family:
    """A run with its rests and what is pressed again of it: the same placements."""

    root: str
    again: bool


class _Tally:
    """Pieces of runs by number, and those of which it is known which they are."""

    def __init__(self) -> None:
        self.count: dict[str, int] = defaultdict(int)
        self.known: dict[str, list[Pieces]] = defaultdict(list)


class _Losses:
    """What each run lost so far, and what it hadn't got."""

    def __init__(self, plan: Plan, runs: Sequence[RunState]) -> None:
        self._runs = [run for run in runs if run.status is RunStatus.FINISHED]
        self._bundles = {task.id: frozenset(task.bundles) for task in plan.instance.tasks}
        self._pieces = {run.id: tuple(one for one in run.content.pieces if one.quantity) for run in plan.runs}
        self._part = {part.task: part for part in plan.parts}
        self._pressed_again = {part.run for part in plan.parts if part.name is PartKind.AGAIN}
        self.lost, self.gone = _Tally(), _Tally()

    def take(self, spoiling: RunState) -> None:
        """Count what is not on the garments in place of spoiled ones, at each of their other placements."""
        own = self._family(spoiling.run)
        before: dict[str, list[RunState]] = defaultdict(list)
        after: dict[str, list[RunState]] = defaultdict(list)
        short: dict[str, list[RunState]] = defaultdict(list)
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
            elif not family.again and not any(moment < run.end for moment in asked):
                (after if run.assumed else short)[family.root].append(run)

        def likely(run: RunState) -> tuple[bool, bool, float]:
            # The garment was most likely pressed there last; what is pressed again already isn't once more.
            again = self._family(run.run).again
            return run.run in self._pressed_again, again is not own.again, -run.end.timestamp()

        for others in (*before.values(), *after.values()):
            self._share(spoiling, sorted(others, key=likely), self.lost)
        for others in short.values():
            self._share(spoiling, sorted(others, key=likely), self.gone)

    def _spoiled_of(self, run: RunState) -> tuple[tuple[Pieces | None, int], ...]:
        """The spoiled pieces by kind; None: nobody said which."""
        kinds = self._pieces.get(run.run, ())
        if len(kinds) == 1:
            return ((kinds[0], run.spoiled),)
        named = [(one, one.quantity) for one in run.spoiled_of]
        unknown = max(0, run.spoiled - sum(count for _, count in named))
        return (*named, *([(None, unknown)] if unknown else []))

    def _share(self, spoiling: RunState, others: Sequence[RunState], tally: _Tally) -> None:
        """Divide the pieces that a run spoiled over runs of one placement.

        To none more than it pressed, or where that is looked for, than it didn't press.
        """
        for kind, left in self._spoiled_of(spoiling):
            for run in others:
                whole = run.quantity if tally is self.lost else max(0, run.unpressed - run.spoiled)
                there = whole - tally.count[run.run]
                if kind is not None:
                    alike = sum(one.quantity for one in self._pieces[run.run] if same_kind(one, kind))
                    alike -= sum(one.quantity for one in tally.known[run.run] if same_kind(one, kind))
                    there = min(there, alike)
                taken = min(left, max(0, there))
                if not taken:
                    continue
                left -= taken
                tally.count[run.run] += taken
                # Without its size it is at least of a garment that the other run had.
                one = shared_by(self._pieces[spoiling.run], taken) if kind is None else kind
                tally.known[run.run].append(replace(one, quantity=taken))

    def _family(self, run: str) -> _Family:
        again = False
        while run in self._part:
            again = again or self._part[run].name is PartKind.AGAIN
            run = self._part[run].run
        return _Family(root=run, again=again)


__all__ = ["with_lost"]
