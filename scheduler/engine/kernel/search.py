"""Late-acceptance local search with kicks, in chunks that don't change its course."""

from __future__ import annotations

from .decode import compare, decode, decode_keeping
from .jit import kernel
from .layout import AT_JOB_READY, SLOTS, Flat
from .moves import (
    ACCEPTED,
    BEST_COUNT,
    CANDIDATE_COUNT,
    COUNT,
    DECODED,
    HISTORY,
    KICK_AFTER,
    KICKS,
    LAST_GAIN,
    MOVE,
    Work,
    note_cost,
    note_late_jobs,
    propose,
    random_below,
)


@kernel
def run_moves(flat: Flat, work: Work, moves: int) -> None:
    """Try so many moves.

    Late acceptance (Burke & Bykov 2017): a candidate is taken when it is no worse than the current
    plan or than the one some moves ago; costs are compared level by level. After a long time without
    a new best plan the search starts again from the best one, shaken.
    """
    for _ in range(moves):
        counter = work.counter
        counter[MOVE] += 1
        if counter[MOVE] - counter[LAST_GAIN] >= counter[KICK_AFTER]:
            kick(flat, work)
        past = (counter[MOVE] % counter[HISTORY]) * SLOTS
        first = propose(flat, work)
        if first < 0:
            undo(flat, work)
            continue
        counter[DECODED] += 1
        # `decode` only says yes to a candidate within the limit, the worse of the two yardsticks.
        late = compare(flat, work.cost, 0, work.history, past) < 0
        limit = work.history if late else work.cost
        size = counter[CANDIDATE_COUNT]
        if decode(
            flat,
            work.state,
            work.candidate_present,
            work.candidate_tasks,
            work.candidate_options,
            size,
            first,
            work.snapshots,
            limit,
            past if late else 0,
            work.row,
        ):
            counter[ACCEPTED] += 1
            accept(flat, work, first)
            if compare(flat, work.cost, 0, work.best_cost, 0) < 0:
                keep_best(work)
        else:
            undo(flat, work)
        if compare(flat, work.cost, 0, work.history, past) < 0:
            work.history[past : past + SLOTS] = work.cost


@kernel
def undo(flat: Flat, work: Work) -> None:
    """Forget a candidate: what a choice's move changed goes back."""
    for choice in range(len(work.way)):
        if work.candidate_way[choice] != work.way[choice]:
            work.candidate_way[choice] = work.way[choice]
            ways = flat.way_from[choice]
            for way in range(ways, flat.way_from[choice + 1]):
                for k in range(flat.way_task_from[way], flat.way_task_from[way + 1]):
                    task = flat.way_task[k]
                    work.candidate_present[task] = work.present[task]
                    work.candidate_place[task] = work.place[task]


@kernel
def accept(flat: Flat, work: Work, first: int) -> None:
    """Make the candidate the current sequence, and renew its snapshots."""
    size = work.counter[CANDIDATE_COUNT]
    for k in range(first, work.counter[COUNT]):
        work.place[work.tasks[k]] = -1
    work.counter[COUNT] = size
    work.tasks[first:size] = work.candidate_tasks[first:size]
    work.options[first:size] = work.candidate_options[first:size]
    for k in range(first, size):
        work.place[work.tasks[k]] = k
    work.present[:] = work.candidate_present
    work.way[:] = work.candidate_way
    work.candidate_place[:] = work.place
    settle(flat, work, first)


@kernel
def settle(flat: Flat, work: Work, first: int) -> None:
    """Decode the current sequence from position `first` and note its cost."""
    decode_keeping(
        flat,
        work.state,
        work.present,
        work.tasks,
        work.options,
        work.counter[COUNT],
        first,
        work.snapshots,
        work.changes,
        work.row,
    )
    note_cost(flat, work, SLOTS)
    note_late_jobs(flat, work, flat.head[AT_JOB_READY])


@kernel
def keep_best(work: Work) -> None:
    """Remember the current sequence as the best."""
    count = work.counter[COUNT]
    work.counter[BEST_COUNT] = count
    work.counter[LAST_GAIN] = work.counter[MOVE]
    work.best_tasks[:count] = work.tasks[:count]
    work.best_options[:count] = work.options[:count]
    work.best_cost[:] = work.cost


@kernel
def back_to_best(flat: Flat, work: Work) -> None:
    """Make the best sequence the current one."""
    for k in range(len(work.place)):
        work.place[k] = -1
        work.present[k] = 0
    count = work.counter[BEST_COUNT]
    work.counter[COUNT] = count
    work.tasks[:count] = work.best_tasks[:count]
    work.options[:count] = work.best_options[:count]
    for k in range(count):
        work.place[work.tasks[k]] = k
        work.present[work.tasks[k]] = 1
    for choice in range(len(work.way)):
        ways = flat.way_from[choice]
        for way in range(ways, flat.way_from[choice + 1]):
            task = flat.way_task[flat.way_task_from[way]]
            whole = True
            for k in range(flat.way_task_from[way], flat.way_task_from[way + 1]):
                whole = whole and work.present[flat.way_task[k]] == 1
            if whole and work.present[task]:
                work.way[choice] = way - ways
    work.candidate_present[:] = work.present
    work.candidate_place[:] = work.place
    work.candidate_way[:] = work.way
    settle(flat, work, 0)


@kernel
def kick(flat: Flat, work: Work) -> None:
    """Go back to the best plan and change it by a few moves taken whatever they cost."""
    work.counter[KICKS] += 1
    work.counter[LAST_GAIN] = work.counter[MOVE]
    back_to_best(flat, work)
    for _ in range(3 + random_below(work, 6)):
        first = propose(flat, work)
        if first < 0:
            undo(flat, work)
            continue
        accept(flat, work, first)
    for k in range(work.counter[HISTORY]):
        work.history[k * SLOTS : (k + 1) * SLOTS] = work.cost
