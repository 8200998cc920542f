"""How the vectors of the exact search of small days are laid out.

`day` is the instance, only read; `work` is what the search writes: one state by depth, and the
candidates of each. Both begin with a head of sizes and begins of columns. Times are ticks, "none" is -1.

A *setup* of a machine is a platen kind with a value for each setup part; number 0 is what it holds at
tick 0. A *row* is `2 * setup`, plus 1 once the machine's platen is given up. A *stage* is how far a choice
has come: which of its tasks are done. Stages of all choices are numbered through. A *class* is a task of a
choice, its lots counted as one, since they need the same setups.
"""

from __future__ import annotations

# day, sizes
(
    MACHINES,
    PEOPLE,
    BUNDLES,  # those that two tasks wait for
    CHOICES,
    CLASSES,
    DEADLINES,
    WEIGHTS,
    STATE,  # size of a state
    MOST,  # room for candidates at a depth
    WORDS,  # of a vector of the memory
    SLOTS,  # a power of two: slots of the memory
    VECTORS,  # room for vectors in the memory
    TICKS,  # entries of HOURS by person
    SETUP_STATES,  # combinations of one setup of each machine
    COVERS,  # entries of a table of covers
    LEAST_SIZE,  # entries of LEAST by table
    LAST_DAY,  # number of the last day on which anything may be done
    DAYS,
    JOBS,  # that may be late; none where nothing may
    RELEASES,  # ticks from which on work is set against the hours; the first is 0
    PLATENS,  # kinds owned once whose hours count
    STAGES,
    TAIL_STEPS,  # entries of a table of tails
) = range(23)

# day, columns
(
    OPTION_FROM,  # by task
    OPTION,  # a record, see O_...
    TASK,  # a record, see T_...
    BUNDLE,  # of the tasks
    STAGE,  # a record, see G_...
    STAGE_SETUPS,  # by stage and machine: setups that may still be wanted, as bits
    CANDIDATE,  # (task, stage once it is done)
    ALTERNATIVE,  # sets of classes that would complete the choice, as bits
    NEED,  # by stage, release, deadline and weighting: the least weighted work to come
    CLASS_FROM,  # by class
    CLASS_WAY,  # (machine, setup)
    SETUPS,  # by machine: how many
    STRIDE,  # by machine: of its setup in SETUP_STATES
    CELL_AT,  # by machine: where its cells begin in CELL
    CELL,  # by row and setup, see C_...
    KIND_AT,  # by machine: where its setups begin in KIND
    KIND,  # platen kind by setup
    RARE,  # by kind: 1 when there is one of it
    AGAINST,  # by machine: those that can't heat up at the same time, as bits
    HEATED_BY,  # by machine and day: when, less its warm-up, it keeps none of those from heating up any more
    FIRST_AT,  # by machine: when its first work may count from
    DEADLINE,
    RELEASE,
    WEIGHT,  # by weighting: of each machine, then of each person, then of each platen whose hours count
    HAND_WEIGHT,  # by weighting: of a tick of setting up by hand, whoever does it; 0 where NEED holds that
    DEADLINE_CLASSES,  # by deadline: classes that must be done by then, as bits
    PLATEN,  # kinds whose hours count
    PLATEN_FROM,  # from when each is used at the earliest
    WINDOW_FROM,  # by person
    WINDOW,  # a record as in the decoder's layout, N_...
    BREAK,
    HOURS,  # by person and tick: working ticks before it; then those at which anybody works
    PRESENT,  # by person and tick: the next working tick
    LEAST_AT,  # by machine: where its setups begin in LEAST
    LEAST,  # by setup and setup: the least changeover by whatever way; then each counted 1; then by hand
    WARM_UP,  # by machine: the shortest
    CHOICE_JOB,  # by choice: its job among those, or -1
    JOB_DUE,  # when its last task must have cooled
    JOB_READY,  # before which it can't have, even alone
    JOB_WEIGHT,
    JOB_CLASSES,  # of each of those jobs, as bits
    WEIGHT_SUM,  # by weighting: of all machines, people and platens
    WAY,  # (first of its tasks in WAY_TASK, behind the last, 1 where they must come one after the other)
    WAY_TASK,
    TAIL,  # by choice: 1 where in every way its tasks must come one after the other
    TAIL_LATEST,  # by choice: the earliest of its tasks' latest ends
    TAIL_RELEASE,  # by choice: before which none of them can begin
    TAIL_RATE,  # by choice and weighting: what a tick of its quickest weighs at least, without setting up
    PERSON_FROM,  # when anybody can begin anything
    HEATING,  # when the first day begins
    KEY,  # by row and setup as in CELL, see K_...
) = range(23, 74)
DAY_HEAD = 74

(O_MACHINE, O_SETUP, O_PERSON, O_WORK, O_WARM_UP) = range(5)
OPTION_SIZE = 5
(T_RELEASE, T_COOLING, T_LATEST, T_CHOICE, T_BUNDLE_FROM, T_BUNDLE_TO, T_CLASS) = range(7)
TASK_SIZE = 7
(
    G_DONE,
    G_CANDIDATE_FROM,
    G_CANDIDATE_TO,
    G_ALTERNATIVE_FROM,
    G_ALTERNATIVE_TO,
    G_BUNDLES,  # still wanted, as bits
    G_KINDS,  # still wanted, as bits
    G_NEED,  # begin of its needs, -1 once it is done
    G_LONGEST,  # ticks that the longest of its tasks to come takes at least
    G_SHORTEST,  # ticks between any other choice's task on its garments and its own end, where none is done
    G_WAY_FROM,  # what may complete it, in WAY
    G_WAY_TO,
    G_TAIL,  # number of its table of tails; -1 where there is none
) = range(13)
STAGE_SIZE = 13
WAY_SIZE = 3
CELL_SIZE = 4
(C_ON, C_OFF, C_COLD, C_MOUNTS) = range(4)
KEY_SIZE = 3
(K_FIRST, K_SECOND, K_AHEAD) = range(3)  # two keys of a cell, and its hands-off ticks beyond those by hand

# A state. Records of machines, people, then bundles', choices' and jobs' columns.
(S_TICKS, S_COUNT, S_OVERTIME, S_SINCE) = range(4)  # changeover ticks and number, overtime, last set-up start
S_MACHINE = 4
(M_FREE, M_DAY, M_ROW, M_HOLDS, M_FIRST, M_WARM_UP) = range(6)
MACHINE_SIZE = 6
(P_FREE, P_WINDOW) = range(2)
PERSON_SIZE = 2

# work, counters
(
    DEPTH,  # -1: all is looked at
    NODES,
    TICKS_MOST,  # what a plan may cost
    COUNT_MOST,
    OVERTIME_MOST,
    USED,  # vectors in the memory
    COUNTED,  # 1 when COUNT_MOST is to be looked at
    LARGER,  # 1 when a larger memory can be had: then a full one ends the search
    LATE_MOST,
) = range(9)

# work, columns
(
    W_STATE,  # by depth
    W_CANDIDATES,  # by depth: how many
    W_NEXT,  # by depth: the next to look at
    W_CANDIDATE,  # by depth: records, see A_...
    W_SETS,  # scratch: sets of classes
    W_VECTOR,  # scratch: a vector
    W_PLACED,  # scratch: see R_...
    W_PATH,  # by depth: what was put down, see F_...
    W_NEED,  # scratch: by weighting
    W_ROOM,  # scratch: by machine, person and platen
    W_AHEAD,  # scratch, by machine: how long before anybody's next work its last end counts, -1 for never
    W_HELD,  # scratch, by machine: platen kind on it that is still wanted
    W_BEGIN,  # scratch, by machine, person and platen: from when it is free
    W_OPEN,  # scratch: open jobs
    W_CHAIN,  # scratch, by job: when it is ready at the earliest; then what the longest choice adds
    W_JOB_NEED,  # scratch, by job, release and weighting
    W_SET_NEED,  # scratch, by set of jobs, release and weighting
    W_TILL,  # scratch, by set of jobs: when the last is done at the earliest
    W_LEAST,  # scratch, by set of jobs: their lateness at least
    W_SERIES,  # scratch, by set of tasks: when they are done one after the other at the earliest
    W_LATER,  # scratch, by release: open jobs that have work from then on, as bits
    W_TAILS,  # scratch, open choices one by one: (choice, set of its job alone)
) = range(9, 31)
WORK_HEAD = 31
TAIL_SIZE = 2
(A_SINCE, A_END, A_TASK, A_OPTION, A_WINDOW) = range(5)
CANDIDATE_SIZE = 5
(R_SETUP_START, R_START, R_END, R_CHANGE, R_OVERTIME, R_WINDOW, R_COLD, R_MOUNTS) = range(8)
PLACED_SIZE = 8
(F_TASK, F_OPTION, F_SETUP_START, F_START, F_END, F_MOUNTS) = range(6)
PATH_SIZE = 6
SETS = 64
"""Sets of classes looked at in one state; of more, what is common to the alternatives of a choice counts."""

# Memory of states: SLOTS slots of (key, other key, first vector), then vectors of (next, words).
SLOT_SIZE = 3
LANE_BITS = 20
LANES_A_WORD = 3

MOST_SERIES = 4
"""Tasks of one way whose every order is looked at."""

LOTS = 1 << 40

LIMIT, FOUND, EXHAUSTED, FULL = range(4)
"""How a stretch of the search ended."""

TAIL_STEP = 8
"""Ticks between two entries of a table of tails."""
