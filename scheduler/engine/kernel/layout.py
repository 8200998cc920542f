"""How the flat data, the decoder's state and the search's memory are laid out.

Three vectors of integers go through the kernel, since compiled functions are handed one array far
faster than sixty:

`flat`
    The instance, only read. It begins with a head: sizes, where each part of the state begins, and
    where each column of the instance begins, so `flat[flat[DUE] + job]` is a job's due date.
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
LEFT_OVER, LATENESS, CHANGEOVER, CHANGEOVERS, OVERTIME, FINISH, MOVED = range(7)
SLOTS = 7

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
    AT_MACHINE,  # a record by machine, see M_...
    AT_LOOSE,  # by machine: values of the loose setup parts
    AT_OPERATOR,  # a record by operator, then one for nobody, see P_...
    AT_TOKEN,  # a record by platen owned, see K_...
    AT_BUNDLE_FREE,
    AT_TASK_READY,  # end and cooling
    AT_JOB_READY,
    AT_COST,
    AT_WARM_COUNT,  # by circuit
    AT_WARM,  # (start, end, watts) by circuit
    STATE,
) = range(12, 23)

# flat, where the columns of the instance begin
(
    ORDER,
    OPTION_FROM,  # by task
    OPTION_MACHINE,
    OPTION_PLATEN,
    OPTION_OPERATOR,
    OPTION_WORK,
    OPTION_STATE,  # PARTS values an option
    OPTION_RECORD,  # see O_...
    TASK_RECORD,  # see T_...
    JOB,
    BUNDLE,
    BEFORE_FROM,  # by task
    BEFORE,
    AFTER_FROM,  # by task
    AFTER,
    WAY_FROM,  # by choice
    WAY_TASK_FROM,  # by way
    WAY_TASK,
    DUE,  # a very late tick when there is none
    WEIGHT,
    PACKING,
    JOB_RECORD,  # see J_...
    GOES_WITH_PLATEN,
    TABLE_SIZE,  # by part
    TABLE_DENSE,  # by machine and part: 1 full table, 0 by target
    TABLE_AT,  # by machine and part: offset in TABLE
    TABLE,
    PAIR,  # changeover ticks by setup before and setup after, see ON
    LOOSE_PART,  # setup parts that PAIR leaves out
    LOOSE_COUNTS,  # by loose part: 1 where it counts in ON, OFF, OFF_WHEN_COLD
    CIRCUIT,
    WATTS,
    LIMIT_W,
    WARM_AT,  # by circuit: its first slot
    TOKEN_FROM,  # by platen kind
    WINDOW_FROM,  # by operator, then one for work without people
    WINDOW_RECORD,  # see N_...
    BREAK,  # (start, end)
    WARMING,  # by machine: when it was switched on before the first day's start, or -1
    OPTION_MOVED,  # points of level moved for its press, person and platen
    PRINTED_BEFORE,  # by task: the task before it on its machine, -1 when it is the first, NOT_PRINTED
    PRINTED_START,  # by task
    OPTION_MATE,  # see Q_...; empty where no option has a second machine
    OPTIONS_ON_FROM,  # by task and machine
    OPTIONS_ON,
    OPTION_FAMILY,  # options of a family have setups that are alike but for one part
    FAMILY_FROM,
    FAMILY_TASK,  # by family: the tasks that have an option in it
) = range(23, 71)
COLUMNS = [
    "order",
    "option_from",
    "option_machine",
    "option_platen",
    "option_operator",
    "option_work",
    "option_state",
    "option_record",
    "task_record",
    "job",
    "bundle",
    "before_from",
    "before",
    "after_from",
    "after",
    "way_from",
    "way_task_from",
    "way_task",
    "due",
    "weight",
    "packing",
    "job_record",
    "goes_with_platen",
    "table_size",
    "table_dense",
    "table_at",
    "table",
    "pair",
    "loose_part",
    "loose_counts",
    "circuit",
    "watts",
    "limit_w",
    "warm_at",
    "token_from",
    "window_from",
    "window_record",
    "break",
    "warming",
    "option_moved",
    "printed_before",
    "printed_start",
    "option_mate",
    "options_on_from",
    "options_on",
    "option_family",
    "family_from",
    "family_task",
]
"""Names of the columns, in the order of their constants."""
LOOSE = 71
"""In flat: how many setup parts PAIR leaves out."""
MINUTE = 72
"""In flat: ticks a minute while there are sheets in hand, else 0."""
MATED = 73
"""In flat: 1 when there are options that hold two machines, else 0."""
HEAD = 74
NOT_PRINTED = -2

# Records: what the decoder reads of one thing together, so that it lies together in memory. Those of jobs,
# windows and machines have a word to spare, to lie a power of two apart.
(O_MACHINE, O_PLATEN, O_OWNER, O_WORK, O_WARM_UP, O_COLUMN, O_ROW, O_ROW_GIVEN_UP) = range(8)
OPTION_SIZE = 8
(Q_MACHINE, Q_WARM_UP, Q_COLUMN, Q_ROW, Q_ROW_GIVEN_UP) = range(5)  # of the second machine; -1: none
MATE_SIZE = 5
(T_RELEASE, T_COOLING, T_JOB, T_PRESSINGS, T_BUNDLE_FROM, T_BUNDLE_TO, T_BEFORE_FROM, T_BEFORE_TO) = range(8)
TASK_SIZE = 8
(J_LATEST, J_WEIGHT, J_PACKING) = range(3)  # latest: when it must be ready for packing
JOB_SIZE = 4
(N_START, N_PAID, N_END, N_DAY, N_DAY_START, N_BREAK_FROM, N_BREAK_TO) = range(7)  # paid: end of paid hours
WINDOW_SIZE = 8

# Records in the state.
(
    M_FREE,
    M_DAY,  # day of the last run; -1: none yet
    M_TOKEN,  # platen on the machine
    M_KIND,  # its kind
    M_ROW,  # row of PAIR of the machine's setup
    M_ROW_GIVEN_UP,  # the same once the platen is given up
    M_LAST,  # task put down last; -1: none
) = range(7)
MACHINE_SIZE = 8
(P_FREE, P_WINDOW) = range(2)  # window of the last run
OPERATOR_SIZE = 2
(K_FREE, K_PLACE) = range(2)  # place: its machine; -1: on the shelf
TOKEN_SIZE = 2

# Cells of PAIR: hands-on ticks, hands-off ticks, and those of a machine that is cold.
(ON, OFF, OFF_WHEN_COLD) = range(3)
CELL = 3

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
    WINDOW,
    WARM_START,
    WARM_END,
    MATE_MOUNTS,  # the same at the second machine; these are only filled where there is one
    MATE_TOKEN,
    MATE_CHANGE,
    MATE_WARM_START,
    MATE_WARM_END,
) = range(16)
PLACED = 16

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
    HEAT,  # temperature at the begin of the hottest cycles, in energy
    TRIAL,  # number of the decoding under way, which marks what differs in it
    PLACED_ANEW,  # how many tasks it had to place
    HITS,  # how many positions W_HITS lists
    CHASE,  # 1 when what holds these up is worth touching too
    SORTED,  # move at which the sequence was last brought into order of time
    REST,  # position from which on the candidate is the current sequence again
    LONGEST,  # cycles double in length up to this many moves
    SQUARE,  # runs squared, by which it is told how hot a cycle begins; 0: all alike
    OUTS,  # how many positions W_OUTS lists
    RISE,  # changeover ticks that the noted move adds, and how many changeovers
    RISE_COUNT,
    FAMILY_SHARE,  # in FAMILY_SHARES: how often a run is sought among those of the same family
) = range(25)

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
    W_ROWS,  # by task: where it is placed in the current sequence
    W_TRIAL_ROWS,  # by task: where the trial places it anew
    W_PLACED_ANEW,  # tasks that the trial placed anew
    W_MOVED,  # by task: the trial that moves it
    W_OTHER_TASK,  # by task, machine, operator, bundle: the trial in which it differs
    W_OTHER_MACHINE,
    W_OTHER_OPERATOR,
    W_OTHER_BUNDLE,
    W_HITS,  # positions that cost something
    W_MIX,  # kinds of moves, as often as they are to be tried
    W_KEPT_COST,
    W_LATE_AFTER,  # by snapshot: weights of the jobs made late from there on
    W_PRESSURE,  # weight of lateness over a cycle
    W_OUTS,  # positions that the noted move takes a task out of
    W_EDIT_BEFORE,  # by edit: the run before it on its machine, by position
    W_ON,  # by position: its machine, or -1 when it is left over
    W_FORMER,  # by position: the run before it on its machine, by position; -1: none
    W_LATER,
    W_FIRST_ON,  # by machine: the first run and the last one, by position; -1: none
    W_LAST_ON,
) = range(25, 68)
WORK_HEAD = 68

# Kinds of moves.
(JOIN, SHIFT, ALONG, NEAR, OTHER, MOVE_TO, SWAP, BLOCK, PERSON, TOGGLE) = range(10)
MIX = 64

FAMILY_SHARES = 16
NO_LIMIT = 1 << 60  # an energy that nothing comes to
COOLING_STEPS = 256
CHANCES = 1024
