"""How the flat data and the decoder's state are laid out.

`Flat` holds the instance: only read. The state of a half-built schedule is one vector, so that a
snapshot is one copy; `HEAD` says where each of its parts begins. "None" is -1 in here and only here.
"""

from __future__ import annotations

from typing import Any, NamedTuple

# Objective levels by slot; Flat.order lists the slots in the instance's order.
LEFT_OVER, LATENESS, CHANGEOVER, CHANGEOVERS, OVERTIME, FINISH = range(6)
SLOTS = 6

# Flat.head: sizes, then offsets into the state vector.
(
    TASKS,
    MACHINES,
    PARTS,
    OPERATORS,
    TOKENS,
    BUNDLES,
    JOBS,
    CIRCUITS,
    CHOICES,
    HORIZON,
    LEVELS,
    WARM_SLOTS,
    AT_MACHINE_FREE,
    AT_MACHINE_LAST,
    AT_MACHINE_DAY,
    AT_MACHINE_TOKEN,
    AT_OPERATOR_FREE,
    AT_TOKEN_FREE,
    AT_TOKEN_PLACE,
    AT_BUNDLE_FREE,
    AT_TASK_READY,
    AT_JOB_READY,
    AT_COST,
    AT_WARM_COUNT,
    AT_WARM,
    STATE,
) = range(26)
HEAD = 26

# What `place` finds out about a task before it is put down; one row of a decoded sequence.
(
    DONE,
    SETUP_START,
    START,
    END,
    MOUNTS,
    TOKEN,
    CHANGE,
    OVERTIME_TICKS,
    DAY,
    WARM_START,
    WARM_END,
) = range(11)
PLACED = 11

NOT_YET = -1  # in AT_TASK_READY: not put down


class Flat(NamedTuple):
    """The instance as flat integer sequences (lists, or int64 arrays when compiled).

    A name ending in `_from` holds, for each owner and one past the last, where its entries begin.
    An *option* is a mode with an operator (or with nobody).
    """

    head: Any
    order: Any
    # options of each task
    option_from: Any
    option_task: Any
    option_machine: Any
    option_platen: Any
    option_operator: Any
    option_work: Any
    option_warm_up: Any
    option_state: Any  # PARTS values an option
    # tasks
    release: Any
    cooling: Any
    job: Any
    pressings: Any
    bundle_from: Any
    bundle: Any
    before_from: Any
    before: Any
    after_from: Any
    after: Any
    choice: Any  # of a task; -1: in no choice
    # choices: ways, and the tasks of each way
    way_from: Any
    way_task_from: Any
    way_task: Any
    # jobs
    due: Any  # a very late tick when there is none
    weight: Any
    packing: Any
    # setup parts and tables
    hands_off: Any
    goes_with_platen: Any
    ends_when_cold: Any
    table_size: Any  # by part
    table_dense: Any  # by machine x part: 1 full table, 0 by target
    table_at: Any  # by machine x part: offset into `table`
    table: Any
    initial: Any  # by machine x part
    # machines
    circuit: Any
    watts: Any
    limit_w: Any
    warm_at: Any  # by circuit: first warm-up slot
    # platens
    token_from: Any  # by kind
    token_kind: Any
    token_home: Any  # machine at tick 0, or -1
    # where work may happen: windows of each operator, then (last owner) of nobody
    window_from: Any
    window_start: Any
    window_paid: Any  # end of paid hours
    window_end: Any
    window_day: Any
    break_from: Any  # by window
    break_start: Any
    break_end: Any
    day_start: Any
