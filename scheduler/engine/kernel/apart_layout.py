"""How the vectors of the search for machines that share nothing are laid out.

`shop` is the instance, only read; `work` is what the search writes. Both begin with a head of sizes and
begins of columns. `work[RANDOM]` is where the generator of `edits` keeps its state.
"""

from __future__ import annotations

from .layout import RANDOM as RANDOM

# shop
(
    TASKS,
    MACHINES,
    BLOCK,  # longest block moved along its machine
    ACROSS,  # longest block moved to another machine
    STALL,  # kicks without gain after which the search goes back to the best plan
    KICK,  # longest stretch that a kick moves
    RESTART,  # kicks at once after that
    HORIZON,
    CHANGE,  # what a unit of the level costs; of lateness, see WEIGHT
    CHANGES,
    LAST,
    ENDS,  # the same for the end of every machine: the least of all levels
    FREE,  # by machine
    RELEASE,  # by task
    LATEST,  # latest end that is not late
    WEIGHT,  # cost of a late tick
    TAIL,  # from a task's end to its job's finish
    PRESSING,  # by machine and task; below 0: not possible
    SETUP,  # by machine, task before (or none, first) and task
) = range(19)
SHOP_HEAD = 19

# work, counters
(
    USED,  # changes reckoned so far
    TOTAL,
    HOME,
    BEST,
    SINCE,  # kicks since the home plan was last made better
    KICKS,
    GAINS,  # how often a best plan was found
) = range(7)
# work, a machine's sequence half reckoned
(AT, COST, FINISHED, BEFORE, FLOOR) = range(8, 13)
# work, the best change found for a task
(FOUND, F_KIND, F_MACHINE, F_PLACE) = range(13, 17)
# work, where columns begin
(
    COUNT,  # by machine
    LINE,  # TASKS places a machine
    END,  # by place: end of its task
    SPENT,  # cost up to there
    TOP,  # latest finish up to there
    STILL,  # latest finish from there on
    OWN,  # by machine: its cost
    OWN_LAST,  # its latest finish
    HOME_COUNT,
    HOME_LINE,
    BEST_COUNT,
    BEST_LINE,
    LIVE,  # by task: 1 when it is to be looked at
    WHERE,  # by task: its machine
    PLACE,  # by task: its place there
    BUFFER,
) = range(17, 33)
WORK_HEAD = 33

SWAP = 0
"""Kind of change; the others are the length of the block moved, below 0 to another machine."""
