"""A first plan: one run after the other by a priority rule, all rules of the day kept."""

from __future__ import annotations

from typing import Any

from .beside import changes
from .jit import copy, kernel
from .layout import (
    AT_MACHINE,
    AT_OPERATOR,
    BEFORE,
    BEFORE_FROM,
    DONE,
    DUE,
    END,
    JOB,
    M_FREE,
    MACHINE_SIZE,
    O_MACHINE,
    O_OWNER,
    OPERATOR_SIZE,
    OPTION_FROM,
    OPTION_RECORD,
    OPTION_SIZE,
    OPTION_WORK,
    P_FREE,
    PLACED,
    SETUP_START,
    START,
    TASK_RECORD,
    TASK_SIZE,
    TASKS,
    WEIGHT,
)
from .place import place, put_down
from .steps import step_garments, step_release

# Weights of the rule, all whole numbers.
(URGENCY, CHANGEOVER_WEIGHT, START_WEIGHT, CANDIDATES) = range(4)


@kernel
def free_by(flat: Any, state: Any, option: int) -> int:
    """When an option's machine and operator are free: it can't be set up before."""
    o = flat[OPTION_RECORD] + option * OPTION_SIZE
    machine_free = state[flat[AT_MACHINE] + flat[o + O_MACHINE] * MACHINE_SIZE + M_FREE]
    operator_free = state[flat[AT_OPERATOR] + flat[o + O_OWNER] * OPERATOR_SIZE + P_FREE]
    return max(machine_free, operator_free)  # type: ignore[no-any-return]


@kernel
def ready_by(flat: Any, state: Any, task: int) -> int:
    """When a task's transfers and garments are there: it can't be pressed before."""
    t = flat[TASK_RECORD] + task * TASK_SIZE
    return step_garments(flat, state, t, step_release(flat, t))


@kernel
def dispatch(
    flat: Any,
    state: Any,
    present: Any,
    tail: Any,
    priority: Any,
    rule: Any,
    tasks: Any,
    options: Any,
    row: Any,
    best_row: Any,
    waiting: Any,
) -> int:
    """Fill `tasks` and `options` with a sequence; returns its length.

    At each step the tasks with the least slack (`rule[CANDIDATES]` of them) are tried in every option,
    and the pair with the least score goes down:

        score = rule[START_WEIGHT] * setup start + rule[CHANGEOVER_WEIGHT] * changeover
                + rule[URGENCY] * urgency + end / 8 + pressing start / 64

    A task's slack is its job's due date less what must still follow it (`tail`); its urgency is the
    slack over the weight, or times the weight below 0. `priority` is the order in which tasks are
    tried. What fits nowhere goes to the end of the sequence.
    """
    total = 0
    for task in range(flat[TASKS]):
        waiting[task] = present[task]
        total += present[task]
    count = 0
    while count < total:
        best_task = -1
        best_option = -1
        best_score = 0
        tried = 0
        for k in range(flat[TASKS]):
            task = priority[k]
            if not waiting[task] or tried >= rule[CANDIDATES]:
                continue
            blocked = False
            for b in range(flat[flat[BEFORE_FROM] + task], flat[flat[BEFORE_FROM] + task + 1]):
                blocked = blocked or waiting[flat[flat[BEFORE] + b]] == 1
            if blocked:
                continue
            tried += 1
            job = flat[flat[JOB] + task]
            slack = flat[flat[DUE] + job] - tail[task]
            weight = max(1, flat[flat[WEIGHT] + job])
            urgency = rule[URGENCY] * (slack // weight if slack > 0 else slack * weight)
            ready = ready_by(flat, state, task)
            for option in range(flat[flat[OPTION_FROM] + task], flat[flat[OPTION_FROM] + task + 1]):
                free = free_by(flat, state, option)
                if best_task >= 0:
                    start = max(free, ready)
                    least = rule[START_WEIGHT] * free + urgency + start // 64
                    least += (start + flat[flat[OPTION_WORK] + option]) // 8
                    if least >= best_score:
                        continue
                if not place(flat, state, present, 0, task, option, row, 0):
                    continue
                score = rule[START_WEIGHT] * row[SETUP_START] + rule[CHANGEOVER_WEIGHT] * changes(
                    flat, row, 0
                )
                score += urgency + row[END] // 8
                score += row[START] // 64
                if best_task < 0 or score < best_score:
                    best_task = task
                    best_option = option
                    best_score = score
                    copy(best_row, 0, row, 0, PLACED)
        if best_task < 0:
            # Everything that could go down now fits nowhere: leave the first of it over.
            for k in range(flat[TASKS]):
                task = priority[k]
                blocked = waiting[task] == 0
                for b in range(flat[flat[BEFORE_FROM] + task], flat[flat[BEFORE_FROM] + task + 1]):
                    blocked = blocked or waiting[flat[flat[BEFORE] + b]] == 1
                if not blocked:
                    best_task = task
                    best_option = flat[flat[OPTION_FROM] + task]
                    break
            if best_task < 0:
                return count
            for k in range(PLACED):
                best_row[k] = 0
            best_row[DONE] = 0
        put_down(flat, state, best_task, best_option, best_row, 0)
        tasks[count] = best_task
        options[count] = best_option
        waiting[best_task] = 0
        count += 1
    return count


@kernel
def dispatch_in_order(
    flat: Any, state: Any, present: Any, order: Any, tasks: Any, options: Any, row: Any, best_row: Any
) -> int:
    """Put tasks down in the given order, each where it ends first; returns the length."""
    count = 0
    for k in range(flat[TASKS]):
        task = order[k]
        if not present[task]:
            continue
        ready = ready_by(flat, state, task)
        first = flat[flat[OPTION_FROM] + task]
        last = flat[flat[OPTION_FROM] + task + 1]
        # The one that may end first of all comes first, so that most others need not be placed.
        likely = first
        least = -1
        for option in range(first, last):
            end = max(free_by(flat, state, option), ready) + flat[flat[OPTION_WORK] + option]
            if least < 0 or end < least:
                likely = option
                least = end
        best = -1
        if place(flat, state, present, 0, task, likely, best_row, 0):
            best = likely
        for option in range(first, last):
            if option == likely:
                continue
            if best >= 0:
                end = max(free_by(flat, state, option), ready) + flat[flat[OPTION_WORK] + option]
                if end > best_row[END]:
                    continue
            if not place(flat, state, present, 0, task, option, row, 0):
                continue
            sooner = best < 0 or row[END] < best_row[END]
            if not sooner and row[END] == best_row[END]:
                change, least_change = changes(flat, row, 0), changes(flat, best_row, 0)
                sooner = change < least_change or (change == least_change and option < best)
            if sooner:
                best = option
                copy(best_row, 0, row, 0, PLACED)
        if best < 0:
            best = flat[flat[OPTION_FROM] + task]
            best_row[DONE] = 0
        put_down(flat, state, task, best, best_row, 0)
        tasks[count] = task
        options[count] = best
        count += 1
    return count
