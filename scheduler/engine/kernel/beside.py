"""Tasks that hold two machines: one operator at two presses side by side.

Everything is needed of both over the same time; the operator sets one up after the other.
`q` is where the record of an option's second machine begins; the other short names are those of `place.py`.
"""

from __future__ import annotations

from typing import Any

from .calendar import overtime_ticks, step_calendar, working_end
from .jit import kernel
from .layout import (
    AT_COST,
    AT_MACHINE,
    AT_OPERATOR,
    AT_TOKEN,
    AT_WARM_COUNT,
    BREAK,
    CHANGE,
    CHANGEOVER,
    CHANGEOVERS,
    CIRCUIT,
    DONE,
    END,
    K_FREE,
    M_DAY,
    M_KIND,
    M_TOKEN,
    MACHINE_SIZE,
    MATE_CHANGE,
    MATE_MOUNTS,
    MATE_SIZE,
    MATE_TOKEN,
    MATE_WARM_END,
    MATE_WARM_START,
    MATED,
    MOUNTS,
    N_BREAK_FROM,
    N_BREAK_TO,
    N_DAY,
    N_DAY_START,
    N_END,
    N_PAID,
    N_START,
    O_COLUMN,
    O_MACHINE,
    O_OWNER,
    O_PLATEN,
    O_WARM_UP,
    O_WORK,
    OFF,
    OFF_WHEN_COLD,
    ON,
    OPERATOR_SIZE,
    OPTION_MATE,
    OPTION_RECORD,
    OPTION_SIZE,
    OVERTIME_TICKS,
    P_WINDOW,
    Q_COLUMN,
    Q_MACHINE,
    Q_ROW,
    Q_ROW_GIVEN_UP,
    Q_WARM_UP,
    SETUP_START,
    START,
    TOKEN,
    TOKEN_SIZE,
    WARM_END,
    WARM_START,
    WARMING,
    WINDOW,
    WINDOW_FROM,
    WINDOW_RECORD,
    WINDOW_SIZE,
)
from .occupy import heat, occupy
from .steps import (
    step_changeover,
    step_operators,
    step_platens,
    step_press,
    step_warm_up,
)


@kernel
def mate_of(flat: Any, option: int) -> int:
    """The second machine of an option; -1 when it has none."""
    if not flat[MATED]:
        return -1
    return flat[flat[OPTION_MATE] + option * MATE_SIZE + Q_MACHINE]  # type: ignore[no-any-return]


@kernel
def without_mate(rows: Any, at: int) -> None:
    """Fill the row of a task as that of one with no second machine."""
    rows[at + MATE_MOUNTS] = 0
    rows[at + MATE_TOKEN] = -1
    rows[at + MATE_CHANGE] = 0
    rows[at + MATE_WARM_START] = -1


@kernel
def changes(flat: Any, rows: Any, at: int) -> int:
    """Changeover ticks of a placed task, at all its machines."""
    ticks = rows[at + CHANGE]
    if flat[MATED]:
        ticks += rows[at + MATE_CHANGE]
    return ticks  # type: ignore[no-any-return]


@kernel
def mounts_any(flat: Any, rows: Any, at: int) -> bool:
    """Whether a placed task mounts a platen, at any of its machines."""
    return rows[at + MOUNTS] > 0 or (flat[MATED] > 0 and rows[at + MATE_MOUNTS] > 0)  # type: ignore[no-any-return]


@kernel
def place_both(flat: Any, state: Any, option: int, ready: int, rows: Any, at: int) -> bool:
    """Find the earliest place for a task that holds two machines; see `place.place`.

    `ready` is when its garments and transfers are there.
    """
    o = flat[OPTION_RECORD] + option * OPTION_SIZE
    q = flat[OPTION_MATE] + option * MATE_SIZE
    first, second = flat[o + O_MACHINE], flat[q + Q_MACHINE]
    m = flat[AT_MACHINE] + first * MACHINE_SIZE
    n = flat[AT_MACHINE] + second * MACHINE_SIZE
    owner = flat[o + O_OWNER]
    p = flat[AT_OPERATOR] + owner * OPERATOR_SIZE
    platen = flat[o + O_PLATEN]
    work = flat[o + O_WORK]
    first_free, second_free = step_press(state, m), step_press(state, n)
    lower = max(max(first_free, second_free), step_operators(state, p))

    token = mate_token = -1
    mounts = mate_mounts = 0
    if platen >= 0:
        if state[n + M_KIND] == platen:  # it stays where it is
            mate_token = state[n + M_TOKEN]
            token = step_platens(flat, state, m, platen, lower, mate_token)
        else:
            token = step_platens(flat, state, m, platen, lower, -1)
            mate_token = step_platens(flat, state, n, platen, lower, token)
        if token < 0 or mate_token < 0:
            return False
        if token != state[m + M_TOKEN]:
            mounts = 1
            lower = max(lower, state[flat[AT_TOKEN] + token * TOKEN_SIZE + K_FREE])
        if mate_token != state[n + M_TOKEN]:
            mate_mounts = 1
            lower = max(lower, state[flat[AT_TOKEN] + mate_token * TOKEN_SIZE + K_FREE])
    column, mate_column = flat[o + O_COLUMN], flat[q + Q_COLUMN]
    on = step_changeover(flat, state, first, m, option, column, mounts, ON)
    mate_on = step_changeover(flat, state, second, n, option, mate_column, mate_mounts, ON)
    hands_on = on + mate_on

    for window in range(state[p + P_WINDOW], flat[flat[WINDOW_FROM] + owner + 1]):
        w = flat[WINDOW_RECORD] + window * WINDOW_SIZE
        if flat[w + N_END] <= lower:
            continue
        day = flat[w + N_DAY]
        cold, mate_cold = state[m + M_DAY] != day, state[n + M_DAY] != day
        off = step_changeover(flat, state, first, m, option, column, mounts, OFF_WHEN_COLD if cold else OFF)
        mate_off = step_changeover(
            flat, state, second, n, option, mate_column, mate_mounts, OFF_WHEN_COLD if mate_cold else OFF
        )
        begin = ready
        if state[m + M_DAY] >= 0:
            begin = max(begin, first_free + off)
        if state[n + M_DAY] >= 0:
            begin = max(begin, second_free + mate_off)
        warm_up = flat[o + O_WARM_UP] if cold else 0
        mate_warm_up = flat[q + Q_WARM_UP] if mate_cold else 0
        day_start = flat[w + N_DAY_START]
        heating = heats_from(flat, state, first, m, warm_up, day, day_start, first_free, -1)
        counts = note_heat(flat, state, first, heating, warm_up)
        mate_heating = heats_from(flat, state, second, n, mate_warm_up, day, day_start, second_free, -1)
        forget_heat(flat, state, first, counts)
        if heating >= 0:
            begin = max(begin, heating + warm_up)
        if mate_heating >= 0:
            begin = max(begin, mate_heating + mate_warm_up)
        breaks_from = flat[BREAK] + 2 * flat[w + N_BREAK_FROM]
        breaks_to = flat[BREAK] + 2 * flat[w + N_BREAK_TO]
        setup_start = max(max(lower, flat[w + N_START]), begin - hands_on)
        setup_start = step_calendar(flat, breaks_from, breaks_to, setup_start, hands_on)
        start = setup_start + hands_on
        end = working_end(flat, breaks_from, breaks_to, start, work)
        if end > flat[w + N_END] or setup_start >= flat[w + N_END]:
            continue
        late = heats_from(flat, state, first, m, warm_up, day, day_start, first_free, start)
        counts = note_heat(flat, state, first, late, warm_up)
        mate_late = heats_from(flat, state, second, n, mate_warm_up, day, day_start, second_free, start)
        forget_heat(flat, state, first, counts)
        if heating >= 0 and mate_heating >= 0 and mate_late < 0:
            # Heated late, the first one leaves no room for the second; as early as can be there is some.
            late, mate_late = heating, mate_heating
        rows[at + DONE] = 1
        rows[at + SETUP_START] = setup_start
        rows[at + START] = start
        rows[at + END] = end
        rows[at + MOUNTS] = mounts
        rows[at + TOKEN] = token
        rows[at + CHANGE] = max(on, off)
        rows[at + OVERTIME_TICKS] = overtime_ticks(
            flat, breaks_from, breaks_to, flat[w + N_PAID], setup_start, end
        )
        rows[at + WINDOW] = window
        rows[at + WARM_START] = late
        rows[at + WARM_END] = late + warm_up
        rows[at + MATE_MOUNTS] = mate_mounts
        rows[at + MATE_TOKEN] = mate_token
        rows[at + MATE_CHANGE] = max(mate_on, mate_off)
        rows[at + MATE_WARM_START] = mate_late
        rows[at + MATE_WARM_END] = mate_late + mate_warm_up
        return True
    return False


@kernel
def heats_from(
    flat: Any, state: Any, machine: int, m: int, ticks: int, day: int, day_start: int, free: int, before: int
) -> int:
    """Begin of a machine's warm-up, -1 when it needs none; `before` as in `step_warm_up`."""
    if ticks <= 0:
        return -1
    if day == 0 and state[m + M_DAY] < 0 and flat[flat[WARMING] + machine] >= 0:
        return flat[flat[WARMING] + machine]  # type: ignore[no-any-return]
    return step_warm_up(flat, state, machine, ticks, max(day_start, free), before)


@kernel
def note_heat(flat: Any, state: Any, machine: int, start: int, ticks: int) -> int:
    """Note a warm-up for a while; returns how many there were on the circuit (0 without one)."""
    circuit = flat[flat[CIRCUIT] + machine]
    if circuit < 0:
        return 0
    count = state[flat[AT_WARM_COUNT] + circuit]
    heat(flat, state, machine, start, start + ticks)
    return count  # type: ignore[no-any-return]


@kernel
def forget_heat(flat: Any, state: Any, machine: int, count: int) -> None:
    """Take back what `note_heat` noted."""
    circuit = flat[flat[CIRCUIT] + machine]
    if circuit >= 0:
        state[flat[AT_WARM_COUNT] + circuit] = count


@kernel
def put_down_mate(flat: Any, state: Any, task: int, option: int, rows: Any, at: int) -> None:
    """Make what a placed task does to its second machine part of the state, and count its cost."""
    q = flat[OPTION_MATE] + option * MATE_SIZE
    second = flat[q + Q_MACHINE]
    platen = flat[flat[OPTION_RECORD] + option * OPTION_SIZE + O_PLATEN]
    day = flat[flat[WINDOW_RECORD] + rows[at + WINDOW] * WINDOW_SIZE + N_DAY]
    row, row_given_up = flat[q + Q_ROW], flat[q + Q_ROW_GIVEN_UP]
    token = rows[at + MATE_TOKEN]
    occupy(flat, state, second, task, option, rows[at + END], day, row, row_given_up, token, platen)
    heat(flat, state, second, rows[at + MATE_WARM_START], rows[at + MATE_WARM_END])
    if rows[at + MATE_CHANGE] > 0:
        state[flat[AT_COST] + CHANGEOVER] += rows[at + MATE_CHANGE]
        state[flat[AT_COST] + CHANGEOVERS] += 1
