"""Changeovers worked out once: a table of ticks by the setup before and the setup after.

A setup is a machine's value for each setup part. Machines with the same tables share the pairs of their
setups. Where there would be too many, the parts with the most values stay out ("loose", as a rule the
artwork) and the decoder adds their ticks itself.
"""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.domain.instance import Instance, SetupTable
from scheduler.engine.kernel import layout

MOST_PAIRS = 1 << 15
"""Pairs kept: small enough to stay in a processor's near memory."""

Values = tuple[int, ...]
"""Value of each part that isn't loose; -1: none known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setups:
    """The table of pairs and where to look in it.

    Attributes
    ----------
    pair
        Cells of `layout.CELL` ticks each, row behind row.
    loose
        Setup parts that are left out of it.
    counts
        By loose part and place in a cell: 1 where it counts.
    column, row, given_up
        By mode, in the instance's order: offset of its column in a row; of the row of the pairs that
        follow it; of that row once the machine's platen is given up.
    mate_column, mate_row, mate_given_up
        The same at the second machine of a mode; 0 where it has none.
    initial, initial_given_up
        The rows of each machine at tick 0.
    """

    pair: list[int]
    loose: list[int]
    counts: list[int]
    column: list[int]
    row: list[int]
    given_up: list[int]
    mate_column: list[int]
    mate_row: list[int]
    mate_given_up: list[int]
    initial: list[int]
    initial_given_up: list[int]


def pair_up(instance: Instance) -> Setups:
    """Tabulate the changeovers of an instance."""
    parts = instance.setup_parts
    modes = [mode for task in instance.tasks for mode in task.modes]
    kept = list(range(len(parts)))
    initial = [tuple(-1 if v is None else v for v in m.initial) for m in instance.machines]

    def given_up(values: Values) -> Values:
        return tuple(-1 if parts[p].goes_with_platen else v for p, v in zip(kept, values, strict=True))

    while True:
        tables_of = {m.id: tuple(m.tables[p] for p in kept) for m in instance.machines}
        after: dict[Values, dict[Values, int]] = {tables: {} for tables in tables_of.values()}
        before: dict[Values, dict[Values, int]] = {tables: {} for tables in tables_of.values()}
        for machine, values in zip(instance.machines, initial, strict=True):
            rows = before[tables_of[machine.id]]
            some = tuple(values[p] for p in kept)
            for setup in (some, given_up(some)):
                rows.setdefault(setup, len(rows))
        seen: set[tuple[Values, Values]] = set()
        for machine_id, state in [(name, mode.state) for mode in modes for name, _ in mode.places]:
            tables, some = tables_of[machine_id], tuple(state[p] for p in kept)
            if (tables, some) in seen:
                continue
            seen.add((tables, some))
            after[tables][some] = len(after[tables])
            for setup in (some, given_up(some)):
                before[tables].setdefault(setup, len(before[tables]))
        pairs = sum(len(before[tables]) * len(after[tables]) for tables in after)
        if pairs <= MOST_PAIRS or not kept:
            break
        kept.remove(max(kept, key=lambda p: len(parts[p].tables[0].from_none)))

    pair: list[int] = []
    begin = {}
    for tables, columns in after.items():
        begin[tables] = len(pair)
        for setup in before[tables]:
            on, off, cold = [0] * len(columns), [0] * len(columns), [0] * len(columns)
            for number, (p, table) in enumerate(zip(kept, tables, strict=True)):
                ticks = ticks_from(parts[p].tables[table], setup[number])
                for k, target in enumerate(columns):
                    if not parts[p].hands_off:
                        on[k] += ticks[target[number]]
                        continue
                    off[k] += ticks[target[number]]
                    if not parts[p].ends_when_cold:
                        cold[k] += ticks[target[number]]
            for cell in zip(on, off, cold, strict=True):
                pair.extend(cell)

    def row_of(machine: str, setup: Values) -> int:
        tables = tables_of[machine]
        return begin[tables] + before[tables][setup] * len(after[tables]) * layout.CELL

    def column_of(machine: str, setup: Values) -> int:
        return layout.CELL * after[tables_of[machine]][setup]

    loose = [p for p in range(len(parts)) if p not in kept]
    states = [(mode.machine, tuple(mode.state[p] for p in kept)) for mode in modes]
    mates = [
        None if mode.mate is None else (mode.mate, setup)
        for mode, (_, setup) in zip(modes, states, strict=True)
    ]
    starts = [
        (machine.id, tuple(values[p] for p in kept))
        for machine, values in zip(instance.machines, initial, strict=True)
    ]
    return Setups(
        pair=pair,
        loose=loose,
        counts=[count for p in loose for count in _counts(parts[p].hands_off, parts[p].ends_when_cold)],
        column=[column_of(*state) for state in states],
        row=[row_of(*state) for state in states],
        given_up=[row_of(machine, given_up(setup)) for machine, setup in states],
        mate_column=[0 if mate is None else column_of(*mate) for mate in mates],
        mate_row=[0 if mate is None else row_of(*mate) for mate in mates],
        mate_given_up=[0 if mate is None else row_of(mate[0], given_up(mate[1])) for mate in mates],
        initial=[row_of(machine, setup) for machine, setup in starts],
        initial_given_up=[row_of(machine, given_up(setup)) for machine, setup in starts],
    )


def ticks_from(table: SetupTable, before: int) -> tuple[int, ...]:
    """Ticks from one value (-1: none known) to every value."""
    if before < 0:
        return table.from_none
    if table.ticks:
        return table.ticks[before]
    return (*table.by_target[:before], 0, *table.by_target[before + 1 :])


def _counts(hands_off: bool, ends_when_cold: bool) -> tuple[int, int, int]:
    """In which places of a cell a part counts."""
    return int(not hands_off), int(hands_off), int(hands_off and not ends_when_cold)
