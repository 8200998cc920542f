"""How the flat data, the decoder's state and the search's memory are laid out.

Three vectors of integers go through the kernel, since compiled functions are handed one array far
faster than sixty:

`flat`
    The instance, only read. It begins with a head: sizes, where each part of the state begins, and
    where each column of the instance begins, so `flat[flat[RELEASE] + task]` is a task's release.
    A column whose name ends in `_FROM` holds, for each owner and one past the last, where the
    owner's entries begin in the column named after it. An *option* is a mode with an operator, or
    with nobody.
`state`
    A half-built schedule, so that a snapshot is one copy: `state[flat[AT_BUNDLE_FREE] + bundle]`.
`work`
    What the local search writes, laid out the same way by the constants `W_...`.

"None" is -1 in here and only here.
"""

from __future__ import annotations

# Objective levels by slot; the column ORDER lists the slots in the instance's order.
LEFT_OVER, LATENESS, CHANGEOVER, CHANGEOVERS, OVERTIME, FINISH = range(6)
SLOTS = 6

# flat, sizes
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
    PRECEDENCES,
    LEVELS,
    WARM_SLOTS,
) = range(12)

# flat, where the parts of the state begin; STATE is the state's size
(
    AT_MACHINE_FREE,
    AT_MACHINE_LAST,  # option of the machine's last run
    AT_MACHINE_DAY,
    AT_MACHINE_TOKEN,  # platen on the machine
    AT_OPERATOR_FREE,
    AT_TOKEN_FREE,
    AT_TOKEN_PLACE,  # machine of the platen; -1: on the shelf
    AT_BUNDLE_FREE,
    AT_TASK_READY,  # end and cooling
    AT_JOB_READY,
    AT_COST,
    AT_WARM_COUNT,  # by circuit
    AT_WARM,  # (start, end, watts) by circuit
    STATE,
) = range(12, 26)

# flat, where the columns of the instance begin
(
    ORDER,
    OPTION_FROM,  # by task
    OPTION_MACHINE,
    OPTION_PLATEN,
    OPTION_OPERATOR,
    OPTION_WORK,
    OPTION_WARM_UP,
    OPTION_STATE,  # PARTS values an option
    RELEASE,
    COOLING,
    JOB,
    PRESSINGS,
    BUNDLE_FROM,  # by task
    BUNDLE,
    BEFORE_FROM,  # by task
    BEFORE,
    AFTER_FROM,  # by task
    AFTER,
    CHOICE,  # by task; -1: in no choice
    WAY_FROM,  # by choice
    WAY_TASK_FROM,  # by way
    WAY_TASK,
    DUE,  # a very late tick when there is none
    WEIGHT,
    PACKING,
    HANDS_OFF,
    GOES_WITH_PLATEN,
    ENDS_WHEN_COLD,
    TABLE_SIZE,  # by part
    TABLE_DENSE,  # by machine and part: 1 full table, 0 by target
    TABLE_AT,  # by machine and part: offset in TABLE
    TABLE,
    INITIAL,  # by machine and part
    CIRCUIT,
    WATTS,
    LIMIT_W,
    WARM_AT,  # by circuit: its first slot
    TOKEN_FROM,  # by platen kind
    TOKEN_KIND,
    TOKEN_HOME,  # machine at tick 0
    WINDOW_FROM,  # by operator, then one for work without people
    WINDOW_START,
    WINDOW_PAID,  # end of paid hours
    WINDOW_END,
    WINDOW_DAY,
    BREAK_FROM,  # by window
    BREAK_START,
    BREAK_END,
    DAY_START,
) = range(26, 75)
COLUMNS = [
    "order",
    "option_from",
    "option_machine",
    "option_platen",
    "option_operator",
    "option_work",
    "option_warm_up",
    "option_state",
    "release",
    "cooling",
    "job",
    "pressings",
    "bundle_from",
    "bundle",
    "before_from",
    "before",
    "after_from",
    "after",
    "choice",
    "way_from",
    "way_task_from",
    "way_task",
    "due",
    "weight",
    "packing",
    "hands_off",
    "goes_with_platen",
    "ends_when_cold",
    "table_size",
    "table_dense",
    "table_at",
    "table",
    "initial",
    "circuit",
    "watts",
    "limit_w",
    "warm_at",
    "token_from",
    "token_kind",
    "token_home",
    "window_from",
    "window_start",
    "window_paid",
    "window_end",
    "window_day",
    "break_from",
    "break_start",
    "break_end",
    "day_start",
]
"""Names of the columns, in the order of their constants."""
HEAD = 75

# A placed task: what `place` finds out before it is put down.
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

# work, counters
(
    COUNT,
    CANDIDATE_COUNT,
    BEST_COUNT,
    MOVE,
    LAST_GAIN,
    ACCEPTED,
    DECODED,
    RANDOM,
    CYCLE_START,  # move at which the current cycle of cooling began
    CYCLE_LENGTH,
    EDITS,
    TOGGLED,  # choice whose way the candidate changes, or -1
    HEAT,  # temperature at the begin of a cycle, in energy
) = range(13)

# work, where its columns begin
(
    W_TASKS,
    W_OPTIONS,
    W_PRESENT,  # by task: 1 when it is in the sequence
    W_PLACE,  # by task: position in the sequence, or -1
    W_CHANGES,  # by position: changeover ticks, -1 when left over
    W_COST,
    W_CANDIDATE_TASKS,
    W_CANDIDATE_OPTIONS,
    W_CANDIDATE_PRESENT,
    W_CANDIDATE_PLACE,
    W_BEST_TASKS,
    W_BEST_OPTIONS,
    W_BEST_COST,
    W_ENERGY,  # by slot: weight of the level in the energy
    W_COOLING,  # temperature over a cycle, in 1/4096 of HEAT
    W_LOGARITHM,  # -ln of evenly spread chances, in 1/1024
    W_JOB_LATE,
    W_WAY,  # by choice: the way in use
    W_CANDIDATE_WAY,
    W_EDIT_TASK,
    W_EDIT_OPTION,
    W_EDIT_AT,
    W_OUT,  # by task: 1 while a move takes it out
) = range(13, 36)
WORK_HEAD = 36

COOLING_STEPS = 256
CHANCES = 1024
