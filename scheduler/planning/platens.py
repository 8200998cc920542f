"""Where each platen lies through a day, and from which press one is taken off for another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scheduler.domain.instance import Instance, Mode
from scheduler.domain.schedule import ScheduledTask
from scheduler.planning.trail import mounts


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOver:
    """What becomes of the platens.

    Attributes
    ----------
    on
        By machine, the platen on it after the last of the runs; None: none.
    taken_from
        By (task, machine) for which a platen comes off another machine: that machine.
    went_to
        By (task, machine) where the platen of the run before was taken off since: the kind of that platen and
        the machine that has got it.
    """

    on: dict[str, str | None]
    taken_from: dict[tuple[str, str], str]
    went_to: dict[tuple[str, str], tuple[str, str]]


def handed_over(
    instance: Instance,
    modes: Mapping[tuple[str, str], Mode],
    runs: Sequence[ScheduledTask],
    day: Sequence[ScheduledTask],
) -> HandedOver:
    """Follow every platen from machine to machine.

    One that is mounted comes from the shelf while one lies there, else from a machine whose next run
    doesn't keep it: from the one that has been done with it for longest.

    Parameters
    ----------
    modes
        By (task, mode). Runs whose mode is not in it are no reason to keep a platen.
    runs
        Those to follow, each with its mode, in any order.
    day
        These and what is planned after them: by it a machine keeps its platen or gives it up.
    """
    on = {machine.id: machine.mounted for machine in instance.machines}
    free = dict.fromkeys(on, 0)
    owned = {platen.id: platen.count for platen in instance.platens}
    at_machine = _by_machine(on, modes, day)
    taken_from: dict[tuple[str, str], str] = {}
    went_to: dict[tuple[str, str], tuple[str, str]] = {}
    lost: dict[str, tuple[str, str]] = {}

    def keeps(machine: str, at: int) -> bool:
        after = next((run for run in at_machine[machine] if run.setup_start >= at), None)
        if after is None:
            return False
        mode = modes[after.task, after.mode]
        return not mounts(after, mode, machine) and mode.platen == on[machine]

    for done in sorted(runs, key=_in_order):
        mode = modes[done.task, done.mode]
        here = [machine for machine, _ in mode.places]
        for machine in here:
            if machine in lost:
                went_to[done.task, machine] = lost.pop(machine)
            kind = mode.platen
            if kind is not None and on[machine] != kind:
                holders = [other for other, there in on.items() if there == kind and other not in here]
                used = sum(1 for there in on.values() if there == kind)
                if used >= owned[kind] and holders:
                    idle = [other for other in holders if not keeps(other, done.setup_start)]
                    giver = min(idle or holders, key=lambda other: free[other])
                    taken_from[done.task, machine] = giver
                    on[giver], lost[giver] = None, (kind, machine)
            on[machine] = kind
            free[machine] = done.end
    return HandedOver(on=on, taken_from=taken_from, went_to=went_to)


def _by_machine(
    machines: Mapping[str, object], modes: Mapping[tuple[str, str], Mode], day: Sequence[ScheduledTask]
) -> dict[str, list[ScheduledTask]]:
    found: dict[str, list[ScheduledTask]] = {machine: [] for machine in machines}
    for done in sorted(day, key=_in_order):
        mode = modes.get((done.task, done.mode))
        for machine, _ in () if mode is None else mode.places:
            found[machine].append(done)
    return found


def _in_order(done: ScheduledTask) -> tuple[int, int, int]:
    return done.setup_start, done.start, done.end
