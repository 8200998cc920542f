"""Setups of a small day's machines, and what it costs to change from one to another."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import blake2b

from scheduler.domain.instance import Instance, Machine, Mode
from scheduler.engine.kernel.exact import layout

Cell = tuple[int, int, int, int]
"""Hands-on ticks, hands-off ticks, those of a machine that is cold, whether a platen is mounted."""


@dataclass(frozen=True, slots=True)
class Setup:
    """A platen kind with a value for each setup part; kind -1 and None where there is none."""

    kind: int
    values: tuple[int | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Changeovers:
    """Setups and what lies between them, by machine.

    Attributes
    ----------
    machine_of, kind_of
        Numbers of machines and of platen kinds by their ids.
    setups
        The first is what the machine holds at tick 0.
    cells
        By row and setup, see `exact.layout` of the kernel.
    """

    machine_of: dict[str, int]
    kind_of: dict[str, int]
    setups: tuple[tuple[Setup, ...], ...]
    cells: tuple[list[list[Cell]], ...]

    def kind(self, mode: Mode) -> int:
        """The platen kind of a mode; -1 when it needs none."""
        return _setup(mode, self.kind_of).kind

    def number(self, mode: Mode) -> tuple[int, int]:
        """Machine and number of a mode's setup."""
        machine = self.machine_of[mode.machine]
        return machine, self.setups[machine].index(_setup(mode, self.kind_of), 1)

    @property
    def states(self) -> int:
        """Combinations of one setup of each machine."""
        states = 1
        for setups in self.setups:
            states *= len(setups)
        return states

    def strides(self) -> list[int]:
        """By machine: how far apart its setups are in the numbering of those combinations."""
        strides, stride = [], 1
        for setups in self.setups:
            strides.append(stride)
            stride *= len(setups)
        return strides

    def keys(self) -> list[int]:
        """By machine, row and setup: two keys by which cells that are alike are known, and how far ahead of
        somebody's coming the machine may begin to change over by itself.
        """
        found = []
        for rows in self.cells:
            for row in rows:
                for setup, cell in enumerate(row):
                    digest = blake2b(repr((setup, cell)).encode(), digest_size=16).digest()
                    # Sums of up to 60 of them stay within 62 bits.
                    found += [int.from_bytes(half, "big") >> 8 for half in (digest[:8], digest[8:])]
                    found.append(max(0, cell[1] - cell[0], cell[2] - cell[0]))
        return found

    def least(self, *, again: bool) -> tuple[list[int], list[int]]:
        """Least changeover between two setups by way of any others: ticks, each counted 1, ticks by hand.

        Parameters
        ----------
        again
            Whether machines may be cold once more after their first work: on a second day.

        Returns
        -------
        tuple
            By machine where its entries begin, and the entries.
        """
        begin: list[int] = []
        ticks: list[int] = []
        counts: list[int] = []
        by_hand: list[int] = []
        for rows in self.cells:
            size = len(rows) // 2
            costs = [
                [
                    min(
                        max(cell[0], min(cell[1:3]) if again or before == 0 else cell[1])
                        for cell in (rows[2 * before][after], rows[2 * before + 1][after])
                    )
                    if after
                    else layout.LOTS
                    for after in range(size)
                ]
                for before in range(size)
            ]
            begin.append(len(ticks))
            ticks += _by_way(costs)
            counts += _by_way([[min(1, cost) if k else cost for k, cost in enumerate(row)] for row in costs])
            by_hand += _by_way(
                [
                    [
                        min(rows[2 * before][k][0], rows[2 * before + 1][k][0]) if k else layout.LOTS
                        for k in range(size)
                    ]
                    for before in range(size)
                ]
            )
        return begin, ticks + counts + by_hand


def changeovers_of(instance: Instance) -> Changeovers:
    """The changeovers of an instance."""
    kind_of = {platen.id: k for k, platen in enumerate(instance.platens)}
    setups = tuple(_setups(instance, machine, kind_of) for machine in instance.machines)
    return Changeovers(
        machine_of={machine.id: k for k, machine in enumerate(instance.machines)},
        kind_of=kind_of,
        setups=setups,
        cells=tuple(_cells(instance, machine, own) for machine, own in enumerate(setups)),
    )


def _setup(mode: Mode, kind_of: dict[str, int]) -> Setup:
    return Setup(-1 if mode.platen is None else kind_of[mode.platen], mode.state)


def _setups(instance: Instance, machine: Machine, kind_of: dict[str, int]) -> tuple[Setup, ...]:
    found = [Setup(-1 if machine.mounted is None else kind_of[machine.mounted], machine.initial)]
    for task in instance.tasks:
        for mode in task.modes:
            # The first one is apart, even where it is like another: nothing may be cold behind that.
            if mode.machine == machine.id and _setup(mode, kind_of) not in found[1:]:
                found.append(_setup(mode, kind_of))
    return tuple(found)


def _cells(instance: Instance, machine: int, setups: tuple[Setup, ...]) -> list[list[Cell]]:
    rows = []
    for before in setups:
        for gone in (False, True):
            row = [(0, 0, 0, 0)]
            row += [_cell(instance, machine, before, gone, after) for after in setups[1:]]
            rows.append(row)
    return rows


def _cell(instance: Instance, machine: int, before: Setup, gone: bool, after: Setup) -> Cell:
    mounts = after.kind >= 0 and (gone or before.kind != after.kind)
    ticks = [0, 0, 0]
    tables = instance.machines[machine].tables
    for k, part in enumerate(instance.setup_parts):
        value = None if mounts and part.goes_with_platen else before.values[k]
        target = after.values[k]
        assert target is not None
        change = part.tables[tables[k]].change(value, target)
        if not part.hands_off:
            ticks[0] += change
        else:
            ticks[1] += change
            ticks[2] += 0 if part.ends_when_cold else change
    return ticks[0], ticks[1], ticks[2], int(mounts)


def _by_way(costs: list[list[int]]) -> list[int]:
    """Shortest paths between setups, row behind row: a plan may visit others in between."""
    size = len(costs)
    least = [list(row) for row in costs]
    for via in range(1, size):
        for before in range(size):
            for after in range(1, size):
                least[before][after] = min(least[before][after], least[before][via] + least[via][after])
    return [cost for row in least for cost in row]
