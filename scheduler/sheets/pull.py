"""What must lie ready: presses switched on, garments and transfers fetched, in order of first use."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from scheduler.domain.plan import Laid, Personal, Plan, PlannedRun, PlannedWarmUp
from scheduler.sheets.dayview import in_order
from scheduler.sheets.follow import have_by, waits_for


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchOn:
    """A press to switch on, and when it may go off again.

    Attributes
    ----------
    run
        Number of the run that it is for.
    off
        End of the press's last run on that date.
    """

    warm_up: PlannedWarmUp
    run: int | None
    off: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PulledGarments:
    """Garments of one kind and colour of an order, fetched once, for their first run.

    Attributes
    ----------
    sizes
        (size, pieces), in the order's own order of sizes.
    ready
        When they come in; None: they are there.
    """

    first: PlannedRun
    garment: str
    colour: str
    fabric: str
    sizes: tuple[tuple[str, int], ...]
    ready: datetime | None

    @property
    def have_by(self) -> datetime:
        """When they must lie at the press."""
        return have_by(self.first, "garments")

    @property
    def quantity(self) -> int:
        """Pieces in all."""
        return sum(pieces for _, pieces in self.sizes)


@dataclass(frozen=True, slots=True, kw_only=True)
class PulledTransfers:
    """Transfers of one artwork for one run: one a piece, and the spare ones.

    Attributes
    ----------
    names
        Those of the pieces that have a transfer of their own.
    """

    run: PlannedRun
    laid: Laid
    quantity: int
    names: tuple[Personal, ...] = ()

    @property
    def have_by(self) -> datetime:
        """When they must lie at the press."""
        return have_by(self.run, "transfers")

    @property
    def ready(self) -> datetime | None:
        """When they come in; None: they are there."""
        return self.run.content.ready if waits_for(self.run.content, "transfers") else None


def switch_on(plan: Plan) -> list[SwitchOn]:
    """The presses to switch on, in order of time."""
    found = []
    for one in sorted(plan.warm_ups, key=lambda warm: (warm.start, warm.press)):
        own = [
            run for run in in_order(plan) if one.press in run.presses and run.start.date() == one.start.date()
        ]
        found.append(
            SwitchOn(
                warm_up=one,
                run=own[0].number if own else None,
                off=max((run.end for run in own), default=None),
            )
        )
    return found


def garments(plan: Plan) -> list[PulledGarments]:
    """The garments to fetch, in order of first use.

    Runs that share a bundle press the same garments at different placements; those are fetched
    once. Lots of one run hold different garments; those add up.
    """
    found = []
    for runs in _sharing(plan):
        sums: dict[tuple[str, str, str], dict[str, dict[str, int]]] = {}
        for run in runs:
            for one in run.content.pieces:
                sizes = sums.setdefault((one.garment, one.colour, one.fabric), {})
                for placement in run.content.placements:
                    counts = sizes.setdefault(one.size, defaultdict(int))
                    counts[placement] += one.quantity
        for key, sizes in sums.items():
            first = next(
                run
                for run in runs
                if any((one.garment, one.colour, one.fabric) == key for one in run.content.pieces)
            )
            found.append(
                PulledGarments(
                    first=first,
                    garment=key[0],
                    colour=key[1],
                    fabric=key[2],
                    sizes=tuple((size, max(counts.values())) for size, counts in sizes.items()),
                    ready=first.content.ready if waits_for(first.content, "garments") else None,
                )
            )
    return sorted(found, key=lambda pulled: pulled.first.number)


def transfers(plan: Plan) -> list[PulledTransfers]:
    """The transfers to fetch, in order of use."""
    return [
        PulledTransfers(
            run=run,
            laid=laid,
            quantity=run.content.quantity,
            names=tuple(one for one in run.content.names if one.placement in ("", laid.placement)),
        )
        for run in in_order(plan)
        if run.content.quantity
        for laid in run.content.laid
    ]


def _sharing(plan: Plan) -> list[list[PlannedRun]]:
    """Runs grouped so that runs of two groups share no garment; each group in order of start."""
    bundles = {task.id: task.bundles for task in plan.instance.tasks}
    leader: dict[str, str] = {}

    def root(name: str) -> str:
        while leader.setdefault(name, name) != name:
            name = leader[name]
        return name

    for run in plan.runs:
        for bundle in bundles.get(run.id, ()):
            leader[root(f"bundle {bundle}")] = root(f"run {run.id}")
    groups: dict[str, list[PlannedRun]] = {}
    for run in in_order(plan):
        groups.setdefault(root(f"run {run.id}"), []).append(run)
    return list(groups.values())
