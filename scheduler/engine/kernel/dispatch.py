"""A first plan: one run after the other by a priority rule, all rules of the day kept."""

from __future__ import annotations

from typing import Any

from .jit import copy, kernel
from .layout import (
    BEFORE,
    BEFORE_FROM,
    CHANGE,
    DONE,
    DUE,
    END,
    JOB,
    OPTION_FROM,
    PLACED,
    SETUP_START,
    START,
    TASKS,
    WEIGHT,
)
from .steps import place, put_down

# Weights of the rule, all whole numbers.
(URGENCY, CHANGEOVER_WEIGHT, START_WEIGHT, CANDIDATES) = range(4)


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
                + rule[URGENCY] * urgency + end / 8

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
            for option in range(flat[flat[OPTION_FROM] + task], flat[flat[OPTION_FROM] + task + 1]):
                if not place(flat, state, present, 0, task, option, row, 0):
                    continue
                slack = flat[flat[DUE] + job] - tail[task]
                weight = max(1, flat[flat[WEIGHT] + job])
                urgency = slack // weight if slack > 0 else slack * weight
                score = rule[START_WEIGHT] * row[SETUP_START] + rule[CHANGEOVER_WEIGHT] * row[CHANGE]
                score += rule[URGENCY] * urgency + row[END] // 8
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
        best = -1
        for option in range(flat[flat[OPTION_FROM] + task], flat[flat[OPTION_FROM] + task + 1]):
            if not place(flat, state, present, 0, task, option, row, 0):
                continue
            sooner = best < 0 or row[END] < best_row[END]
            if not sooner and row[END] == best_row[END]:
                sooner = row[CHANGE] < best_row[CHANGE]
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
