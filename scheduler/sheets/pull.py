"""What must lie ready: presses switched on, garments and transfers fetched, in order of first use."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduler.domain.day_problem import Laid, Personal
from scheduler.domain.disruptions import PartKind
from scheduler.domain.idle import off_at_once
from scheduler.domain.pieces import Pieces
from scheduler.domain.plan import Plan, PlannedRun, PlannedWarmUp
from scheduler.sheets.dayview import in_order
from scheduler.sheets.follow import have_by, waits_for
from scheduler.sheets.replaced import garments_from, spoiled_among
from scheduler.sheets.under_way import part_of


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchOn:
    """A press to switch on, and when it may go off again.

    Attributes
    ----------
    run
        Number of the run that it is for.
    off
        End of the press's last run on that date, or before it is switched on again.
    at
        The moment from which the day was planned again, if it is on then; None: it is to be switched on.
    """

    warm_up: PlannedWarmUp
    run: int | None
    off: datetime | None
    at: datetime | None = None

    @property
    def already(self) -> bool:
        """Whether it is on at the moment from which the day was planned again: nobody switches it on."""
        return self.at is not None

    @property
    def ready(self) -> datetime | None:
        """When it is hot; None: it is."""
        ready = self.warm_up.ready
        return None if self.at is not None and ready <= self.at else ready


@dataclass(frozen=True, slots=True, kw_only=True)
class PulledGarments:
    """Garments of one kind and colour of an order, fetched once, for their first run.

    Attributes
    ----------
    sizes
        (size, pieces), in the order's own order of sizes.
    ready
        When they come in; None: they are there.
    since
        The moment from which the day was planned again, where they are needed in place of spoiled ones.
    asked
        The moment of the older lists that asked for some of them already; None: none did. Whether they were
        fetched then nobody enters.
    """

    first: PlannedRun
    garment: str
    colour: str
    fabric: str
    sizes: tuple[tuple[str, int], ...]
    ready: datetime | None
    since: datetime | None = None
    asked: datetime | None = None

    @property
    def have_by(self) -> datetime:
        """When they must lie at the press; for a run under way: at once."""
        by = have_by(self.first, "garments")
        return by if self.since is None else max(by, self.since)

    @property
    def under_way(self) -> bool:
        """Whether they are for a run that was begun before it was said that they are needed."""
        return self.since is not None and self.first.start < self.since

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
    fetched
        Number of the run for which they were fetched before; None: none.
    """

    run: PlannedRun
    laid: Laid
    quantity: int
    names: tuple[Personal, ...] = ()
    fetched: int | None = None

    @property
    def have_by(self) -> datetime:
        """When they must lie at the press."""
        return have_by(self.run, "transfers")

    @property
    def ready(self) -> datetime | None:
        """When they come in; None: they are there."""
        return self.run.content.ready if waits_for(self.run.content, "transfers") else None


def switch_on(plan: Plan) -> list[SwitchOn]:
    """The presses to switch on, in order of time; of a day planned again those on then, and those to come."""
    found = []
    at_once = off_at_once(plan)
    in_time = sorted(plan.warm_ups, key=lambda warm: (warm.start, warm.press))
    for at, one in enumerate(in_time):
        again = [
            later.start
            for later in in_time[at + 1 :]
            if later.press == one.press and later.start.date() == one.start.date()
        ]
        own = [
            run
            for run in plan.runs
            if one.press in run.presses
            and run.start.date() == one.start.date()
            and run.pressing_start >= one.start
            and (not again or run.end <= again[0])
        ]
        off = max((run.end for run in own), default=None)
        begun = plan.at is not None and one.start < plan.at
        today = plan.at is not None and one.start.date() == plan.at.date()
        # Of several that are begun, the last is the one that the press is on by.
        last = begun and today and not any(plan.at is not None and start < plan.at for start in again)
        if last and one.press in at_once:
            found.append(SwitchOn(warm_up=one, run=None, off=plan.at, at=plan.at))
            continue
        if begun and (off is None or plan.at is None or off <= plan.at):
            continue
        own = [run for run in own if not begun or plan.at is None or run.end > plan.at]
        first = min(own, key=lambda run: (run.pressing_start, run.number), default=None)
        found.append(
            SwitchOn(warm_up=one, run=first.number if first else None, off=off, at=plan.at if begun else None)
        )
    return found


def garments(plan: Plan) -> list[PulledGarments]:
    """The garments to fetch, in order of first use.

    Runs that share a bundle press the same garments at different placements; those are fetched
    once. Lots of one run hold different garments; those add up. When the day was planned again, what was
    fetched by then is left out; of pieces to be pressed again the spoiled ones need other garments.
    """
    found = []
    for runs in _sharing(plan):
        needed, since = runs, None
        taken = {run.id: run.content.pieces for run in runs}
        if plan.at is not None and runs[0].start < plan.at:
            again = {part.task for part in plan.parts if part.name is PartKind.AGAIN}
            runs = [run for run in runs if run.id in again and run.start >= plan.at]
            taken = {run.id: spoiled_among(plan, run) for run in runs}
            runs, since = [run for run in runs if taken[run.id]], plan.at
            needed = list(dict.fromkeys(one for run in runs for one in (*garments_from(plan, run), run)))
            needed.sort(key=lambda run: (run.pressing_start, run.number))
        sums: dict[tuple[str, str, str], dict[str, dict[str, int]]] = {}
        for run in runs:
            for one in taken[run.id]:
                sizes = sums.setdefault((one.garment, one.colour, one.fabric), {})
                for placement in run.content.placements:
                    counts = sizes.setdefault(one.size, defaultdict(int))
                    counts[placement] += one.quantity
        for key, sizes in sums.items():
            # Of spoiled ones not even the garment may be known: any of these runs may be the first.
            first = next(
                (run for run in needed if _has(run.content.pieces, key)),
                needed[0],
            )
            found.append(
                PulledGarments(
                    first=first,
                    garment=key[0],
                    colour=key[1],
                    fabric=key[2],
                    sizes=tuple((size, max(counts.values())) for size, counts in sizes.items()),
                    ready=first.content.ready if waits_for(first.content, "garments") else None,
                    since=since,
                    asked=_asked(plan, [run for run in runs if _has(taken[run.id], key)]),
                )
            )
    return sorted(found, key=lambda pulled: pulled.first.number)


def _has(pieces: Iterable[Pieces], kind: tuple[str, str, str]) -> bool:
    return any((one.garment, one.colour, one.fabric) == kind for one in pieces)


def _asked(plan: Plan, runs: Iterable[PlannedRun]) -> datetime | None:
    """When lists asked first for garments of runs that press again; None: this plan's are the first."""
    parts = (part_of(plan, run) for run in runs)
    asked = [part[0].asked for part in parts if part is not None and part[0].asked is not None]
    first = min(asked, default=None)
    return first if first is not None and plan.at is not None and first < plan.at else None


def transfers(plan: Plan) -> list[PulledTransfers]:
    """The transfers to fetch, in order of use."""
    return [
        PulledTransfers(
            run=run,
            laid=laid,
            quantity=run.content.quantity,
            names=tuple(one for one in run.content.names if one.placement in ("", laid.placement)),
            fetched=_fetched(plan, run),
        )
        for run in in_order(plan)
        if run.content.quantity and (plan.at is None or run.start >= plan.at)
        for laid in run.content.laid
    ]


def _fetched(plan: Plan, run: PlannedRun) -> int | None:
    """The run for which the transfers of a rest were fetched."""
    found = part_of(plan, run)
    return None if found is None or found[0].name is PartKind.AGAIN else found[1].number


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
    return [sorted(group, key=lambda run: (run.pressing_start, run.number)) for group in groups.values()]
