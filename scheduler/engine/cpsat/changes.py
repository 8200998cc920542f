"""What the changeover between two states takes, read from the instance's tables."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scheduler.domain.instance import Instance, Machine, Mode


@dataclass(frozen=True, slots=True)
class Change:
    """Ticks of a changeover; hands-on parts add up, and so do hands-off parts."""

    on: int
    off: int

    @property
    def cost(self) -> int:
        return max(self.on, self.off)


class Changes:
    """Changeovers of an instance by machine and states.

    States are looked up once: runs with like settings share an entry.
    """

    def __init__(self, instance: Instance) -> None:
        self._parts = instance.setup_parts
        self._known: dict[tuple[str, tuple[int | None, ...], tuple[int, ...], bool, bool], Change] = {}

    def between(self, machine: Machine, before: Mode | None, after: Mode, mounts: bool, cold: bool) -> Change:
        """The changeover before a run in mode `after`; `before` None: the machine's first run."""
        state = machine.initial if before is None else before.state
        key = (machine.id, state, after.state, mounts, cold)
        if key not in self._known:
            self._known[key] = self._change(machine, state, after.state, mounts, cold)
        return self._known[key]

    def _change(
        self,
        machine: Machine,
        before: tuple[int | None, ...],
        after: tuple[int, ...],
        mounts: bool,
        cold: bool,
    ) -> Change:
        on = off = 0
        for part, table, old, new in zip(self._parts, machine.tables, before, after, strict=True):
            ticks = part.tables[table].change(None if mounts and part.goes_with_platen else old, new)
            if not part.hands_off:
                on += ticks
            elif not (cold and part.ends_when_cold):
                off += ticks
        return Change(on, off)


def ways_to_mount(machine: Machine, before: Mode | None, after: Mode) -> tuple[bool, ...]:
    """Values that `mounts_platen` may take: both when the platen is there and could be kept."""
    if after.platen is None:
        return (False,)
    there = machine.mounted if before is None else before.platen
    return (False, True) if there == after.platen else (True,)
