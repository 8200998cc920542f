"""From which run to which each platen goes on, as a plan has it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scheduler.domain.instance import Instance, Mode
from scheduler.domain.schedule import ScheduledTask

NEVER = -1
"""Tick of what holds nothing back."""


@dataclass(frozen=True, slots=True)
class _Hold:
    """A platen on one press over [begin, end), for the runs from `first` to `last`."""

    begin: int
    end: int
    machine: str
    first: int | None
    last: int | None

    def order(self) -> tuple[int, int, int, str]:
        """In which order platens are taken: as planned, and then as runs stand in the network."""
        return self.begin, NEVER if self.first is None else self.first, self.end, self.machine


def mounts(run: ScheduledTask, mode: Mode, machine: str) -> bool:
    """Whether a platen is mounted on one of a run's presses for it."""
    return run.mounts_platen if machine == mode.machine else run.mate_mounts


def handed_on(
    instance: Instance,
    runs: Sequence[ScheduledTask],
    modes: Sequence[Mode],
    by_machine: Mapping[str, Sequence[int]],
) -> tuple[dict[tuple[int, str], int], dict[int, int]]:
    """Where each platen that is mounted comes from.

    Of the platens of a kind that the plan has free when one is mounted, the one that has been free for
    longest is taken; one that was never used comes from nowhere.

    Parameters
    ----------
    runs, modes
        In order of pressing.
    by_machine
        By press, the places of its runs, in that order.

    Returns
    -------
    givers
        By (run, press) for which a platen is mounted, the run that had it before.
    free_from
        By run, from which tick on a platen is free that something begun before the plan had.
    """
    givers: dict[tuple[int, str], int] = {}
    free_from: dict[int, int] = {}
    holds = _holds(instance, runs, modes, by_machine)
    for platen in instance.platens:
        free: list[tuple[int, int]] = [(NEVER, NEVER)] * platen.count
        for hold in sorted(holds[platen.id], key=_Hold.order):
            taken = min(free)
            free.remove(taken)
            if hold.first is not None and taken[1] != NEVER:
                givers[hold.first, hold.machine] = taken[1]
            elif hold.first is not None:
                free_from[hold.first] = max(free_from.get(hold.first, NEVER), taken[0])
            free.append((hold.end, NEVER if hold.last is None else hold.last))
    return givers, free_from


def _holds(
    instance: Instance,
    runs: Sequence[ScheduledTask],
    modes: Sequence[Mode],
    by_machine: Mapping[str, Sequence[int]],
) -> dict[str, list[_Hold]]:
    """By kind, every stretch over which one of its platens lies on a press."""
    holds: dict[str, list[_Hold]] = defaultdict(list)

    def keeps(number: int, machine: str, kind: str) -> bool:
        return modes[number].platen == kind and not mounts(runs[number], modes[number], machine)

    for machine in instance.machines:
        name, own = machine.id, by_machine.get(machine.id, ())
        begin = 0
        first: int | None = None
        last: int | None = None
        kind: str | None = None
        if machine.mounted is not None and own and keeps(own[0], name, machine.mounted):
            kind, last = machine.mounted, own[0]
        elif machine.mounted is not None and machine.free_from > 0:
            holds[machine.mounted].append(_Hold(0, machine.free_from, name, None, None))
        for number in own:
            if kind is not None and keeps(number, name, kind):
                last = number
                continue
            if kind is not None and last is not None:
                holds[kind].append(_Hold(begin, runs[last].end, name, first, last))
            kind = modes[number].platen
            begin, first, last = runs[number].setup_start, number, number
        if kind is not None and last is not None:
            holds[kind].append(_Hold(begin, runs[last].end, name, first, last))
    return holds
