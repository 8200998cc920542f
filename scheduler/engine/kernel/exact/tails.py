"""Work that must come one after the other: how much of it must be done by a tick for all to be in time."""

from __future__ import annotations

from typing import Any

from ..jit import kernel
from ..layout import N_BREAK_FROM, N_BREAK_TO, N_END, N_START, WINDOW_SIZE
from .layout import (
    BREAK,
    COVERS,
    G_TAIL,
    G_WAY_FROM,
    G_WAY_TO,
    HOURS,
    LOTS,
    O_PERSON,
    O_WORK,
    OPTION,
    OPTION_FROM,
    OPTION_SIZE,
    STAGE,
    STAGE_SIZE,
    STAGES,
    T_LATEST,
    T_RELEASE,
    TAIL_STEP,
    TAIL_STEPS,
    TASK,
    TASK_SIZE,
    TICKS,
    W_SERIES,
    W_STATE,
    WAY,
    WAY_SIZE,
    WAY_TASK,
    WINDOW,
    WINDOW_FROM,
)
from .ready import earliest
from .state import stage_at


@kernel
def fill_tails(day: Any, work: Any, cover: Any) -> None:
    """Fill the tables behind the covers: by stage and step, ticks of its quickest work to be done by then."""
    for stage in range(day[STAGES]):
        s = day[STAGE] + stage * STAGE_SIZE
        if day[s + G_TAIL] < 0:
            continue
        to = 3 * day[COVERS] + day[s + G_TAIL] * day[TAIL_STEPS]
        for step in range(day[TAIL_STEPS]):
            cover[to + step] = LOTS
        for k in range(day[s + G_WAY_FROM], day[s + G_WAY_TO]):
            way = day[WAY] + k * WAY_SIZE
            fill_way(day, work, cover, to, day[WAY_TASK] + day[way], day[way + 1] - day[way])


@kernel
def fill_way(day: Any, work: Any, cover: Any, to: int, tasks: int, count: int) -> None:
    """The same for one way: of any part of its tasks that are still to begin, and one that is under way."""
    begin = work[W_SERIES]
    ended = begin + (1 << count)
    work[begin] = LOTS
    work[ended] = 0
    for some in range(1, 1 << count):
        last, first = -1, LOTS
        for k in range(count):
            if some >> k & 1:
                last = max(last, latest_start(day, day[tasks + k], work[begin + (some ^ (1 << k))]))
                end = earliest(day, work, work[W_STATE], day[tasks + k], work[ended + (some ^ (1 << k))])
                first = min(first, end)
        work[begin + some] = last
        work[ended + some] = first
    whole = (1 << count) - 1
    for some in range(1 << count):
        if work[ended + (whole ^ some)] > work[begin + some]:
            continue
        total = 0
        for k in range(count):
            if not some >> k & 1:
                total += quickest(day, day[tasks + k])
        for step in range(day[TAIL_STEPS]):
            tick = min(step * TAIL_STEP, day[TICKS] - 1)
            if work[begin + some] < tick:
                break
            # Between two of them, or with one under way.
            least = total
            for k in range(count):
                if not some >> k & 1:
                    before = max(
                        work[ended + (whole ^ some ^ (1 << k))],
                        day[day[TASK] + day[tasks + k] * TASK_SIZE + T_RELEASE],
                    )
                    least = min(least, total - behind(day, day[tasks + k], before, work[begin + some], tick))
            cover[to + step] = min(cover[to + step], least)


@kernel
def behind(day: Any, task: int, since: int, by: int, tick: int) -> int:
    """Most of a task, in ticks of its quickest way, that can lie behind a tick when it is under way then.

    It begins no earlier than `since` and ends by `by` and in time; -LOTS where it can't.
    """
    by = min(by, day[day[TASK] + task * TASK_SIZE + T_LATEST])
    least = quickest(day, task)
    found = -LOTS
    for option in range(day[day[OPTION_FROM] + task], day[day[OPTION_FROM] + task + 1]):
        o = day[OPTION] + option * OPTION_SIZE
        person, length = day[o + O_PERSON], day[o + O_WORK]
        hours = day[HOURS] + person * day[TICKS]
        for window in range(day[day[WINDOW_FROM] + person], day[day[WINDOW_FROM] + person + 1]):
            n = day[WINDOW] + window * WINDOW_SIZE
            begin = latest_begin(day, n, by, length)
            if begin < since or begin < day[n + N_START]:
                continue
            end = min(by, day[n + N_END])
            left = day[hours + end] - day[hours + tick] if tick < end else 0
            found = max(found, min(least, (left * least + length - 1) // length))
    return found


@kernel
def tail_by(day: Any, work: Any, cover: Any, at: int, choice: int, tick: int) -> int:
    """Ticks of the quickest work that must be done of a choice by a tick; it has a table."""
    stage = day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE
    table = 3 * day[COVERS] + day[stage + G_TAIL] * day[TAIL_STEPS]
    least: int = cover[table + min(tick // TAIL_STEP, day[TAIL_STEPS] - 1)]
    return least


@kernel
def quickest(day: Any, task: int) -> int:
    """The shortest work of a task."""
    least = LOTS
    for option in range(day[day[OPTION_FROM] + task], day[day[OPTION_FROM] + task + 1]):
        least = min(least, day[day[OPTION] + option * OPTION_SIZE + O_WORK])
    return least


@kernel
def latest_start(day: Any, task: int, by: int) -> int:
    """When a task must begin at the latest to end by a tick and in time; -1 where it can't."""
    by = min(by, day[day[TASK] + task * TASK_SIZE + T_LATEST])
    found = -1
    for option in range(day[day[OPTION_FROM] + task], day[day[OPTION_FROM] + task + 1]):
        o = day[OPTION] + option * OPTION_SIZE
        first, last = day[day[WINDOW_FROM] + day[o + O_PERSON]], day[day[WINDOW_FROM] + day[o + O_PERSON] + 1]
        for window in range(last - 1, first - 1, -1):
            begin = latest_begin(day, day[WINDOW] + window * WINDOW_SIZE, by, day[o + O_WORK])
            if begin >= 0:
                found = max(found, begin)
                break
    return found


@kernel
def latest_begin(day: Any, n: int, by: int, left: int) -> int:
    """When so much work within a window must begin to be done by a tick; -1 where it can't."""
    end = min(by, day[n + N_END])
    for at in range(day[n + N_BREAK_TO] - 1, day[n + N_BREAK_FROM] - 1, -1):
        first, last = day[day[BREAK] + 2 * at], day[day[BREAK] + 2 * at + 1]
        if first >= end:
            continue
        if last < end:
            if end - last >= left:
                return end - left  # type: ignore[no-any-return]
            left -= end - last
        end = first
    if end - day[n + N_START] >= left:
        return end - left  # type: ignore[no-any-return]
    return -1
