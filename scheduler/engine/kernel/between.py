"""What is changed over between two runs of a machine, told from their options alone.

The decoder (`step_changeover`) knows more: platens that another machine took meanwhile.
"""

from __future__ import annotations

from typing import Any

from .jit import kernel
from .layout import (
    AT_MACHINE,
    CELL,
    GOES_WITH_PLATEN,
    LOOSE,
    LOOSE_COUNTS,
    LOOSE_PART,
    M_KIND,
    MACHINE_SIZE,
    O_COLUMN,
    O_MACHINE,
    O_PLATEN,
    O_ROW,
    O_ROW_GIVEN_UP,
    OFF,
    OFF_WHEN_COLD,
    ON,
    OPTION_RECORD,
    OPTION_SIZE,
    OPTION_STATE,
    PAIR,
    PARTS,
)
from .steps import step_changeover, table_ticks


@kernel
def follow_ticks(flat: Any, before: int, after: int, cold: bool) -> int:
    """Changeover ticks when option `after` directly follows `before` on its machine.

    `cold`: another day has begun, and the machine has cooled.
    """
    b = flat[OPTION_RECORD] + before * OPTION_SIZE
    o = flat[OPTION_RECORD] + after * OPTION_SIZE
    mounts = flat[o + O_PLATEN] >= 0 and flat[b + O_PLATEN] != flat[o + O_PLATEN]
    kind = OFF_WHEN_COLD if cold else OFF
    cell = flat[PAIR] + (flat[b + O_ROW_GIVEN_UP] if mounts else flat[b + O_ROW]) + flat[o + O_COLUMN]
    hands_on = flat[cell + ON]
    hands_off = flat[cell + kind]
    for k in range(flat[LOOSE]):
        part = flat[flat[LOOSE_PART] + k]
        counts = flat[LOOSE_COUNTS] + CELL * k
        was = flat[flat[OPTION_STATE] + before * flat[PARTS] + part]
        if mounts and flat[flat[GOES_WITH_PLATEN] + part]:
            was = -1
        now = flat[flat[OPTION_STATE] + after * flat[PARTS] + part]
        ticks = table_ticks(flat, flat[o + O_MACHINE], part, was, now)
        if flat[counts + ON]:
            hands_on += ticks
        if flat[counts + kind]:
            hands_off += ticks
    return max(hands_on, hands_off)  # type: ignore[no-any-return]


@kernel
def first_ticks(flat: Any, start: Any, option: int, cold: bool) -> int:
    """Changeover ticks when an option is the first on its machine; `start` is the state at tick 0."""
    o = flat[OPTION_RECORD] + option * OPTION_SIZE
    machine = flat[o + O_MACHINE]
    column = flat[o + O_COLUMN]
    m = flat[AT_MACHINE] + machine * MACHINE_SIZE
    mounts = 1 if flat[o + O_PLATEN] >= 0 and start[m + M_KIND] != flat[o + O_PLATEN] else 0
    hands_on = step_changeover(flat, start, machine, m, option, column, mounts, ON)
    kind = OFF_WHEN_COLD if cold else OFF
    hands_off = step_changeover(flat, start, machine, m, option, column, mounts, kind)
    return max(hands_on, hands_off)
