"""Rule: every task that is to be done is there once, done in one of its ways."""

from __future__ import annotations

from collections import Counter

from scheduler.domain.instance import Choice, Task
from scheduler.domain.schedule import Break, ScheduledTask
from scheduler.verify.view import View, whole

RULE = "coverage"


def check_coverage(view: View) -> list[Break]:
    """Check that the schedule does all tasks of one option of each choice, and nothing else.

    Every task of no choice, and every task of the one option taken, is carried out once or left
    over once. The mode is one of the task's; the operator is one that the mode lists, or None
    exactly when it lists nobody. `amount` counts tasks.
    """
    tasks = {task.id: task for task in view.instance.tasks}
    breaks = [_entry_break(entry, tasks) for entry in view.unreadable]
    breaks += _wrong_operators(view)
    done = Counter(str(entry.task) for entry in view.schedule.tasks)
    left = Counter(str(name) for name in view.schedule.left_over)
    for name, times in left.items():
        if name not in tasks:
            breaks.append(_break((name,), times, f"{name} is left over, but there is no such run"))
    for task in view.instance.tasks:
        times, left_times = done[task.id], left[task.id]
        if times > 1:
            breaks.append(_break((task.id,), times - 1, f"{task.id} is done {times} times"))
        if left_times > 1:
            breaks.append(_break((task.id,), left_times - 1, f"{task.id} is left over {left_times} times"))
        if times and left_times:
            breaks.append(_break((task.id,), 1, f"{task.id} is both done and left over"))
    there = {name for name in tasks if done[name] or left[name]}
    chosen = {name for choice in view.instance.choices for option in choice.options for name in option}
    for task in view.instance.tasks:
        if task.id not in chosen and task.id not in there:
            breaks.append(_break((task.id,), 1, f"{task.id} is neither done nor left over"))
    for choice in view.instance.choices:
        breaks += _choice_breaks(choice, there)
    return breaks


def _break(
    tasks: tuple[str, ...], amount: int, message: str, machine: str | None = None, at: int = 0
) -> Break:
    return Break(rule=RULE, tasks=tasks, machine=machine, at=at, amount=amount, message=message)


def _entry_break(entry: ScheduledTask, tasks: dict[str, Task]) -> Break:
    name = str(entry.task)
    times = (entry.setup_start, entry.start, entry.end)
    if name not in tasks:
        message = f"{name} is done, but there is no such run"
    elif whole(*times) is None:
        message = f"{name} has a time that is no whole number of ticks: {times}"
    else:
        message = f"{name} is done in mode {entry.mode}, which is none of its own"
    return _break((name,), 1, message)


def _wrong_operators(view: View) -> list[Break]:
    unreadable = {id(entry) for entry in view.unreadable}
    tasks = {task.id: task for task in view.instance.tasks}
    breaks = []
    for entry in view.schedule.tasks:
        if id(entry) in unreadable:
            continue
        mode = next(mode for mode in tasks[entry.task].modes if mode.id == entry.mode)
        listed = [name for name, _ in mode.operators]
        if entry.operator in listed or (entry.operator is None and not listed):
            continue
        if entry.operator is None:
            message = f"{entry.task} has no operator on {mode.machine}, but needs one"
        elif listed:
            message = f"{entry.task} is done on {mode.machine} by {entry.operator}, who may not do it"
        else:
            message = f"{entry.task} is done on {mode.machine} by {entry.operator}, but needs nobody"
        breaks.append(_break((entry.task,), 1, message, mode.machine, entry.setup_start))
    return breaks


def _choice_breaks(choice: Choice, there: set[str]) -> list[Break]:
    """Compare what is there with the option that it comes nearest to."""
    found = there & {name for option in choice.options for name in option}
    if any(found == set(option) for option in choice.options):
        return []
    nearest = min(choice.options, key=lambda option: len(found ^ set(option)))
    missing = [name for name in nearest if name not in found]
    needless = sorted(found - set(nearest))
    message = f"choice {choice.id}: of the option {' + '.join(nearest)}"
    if missing:
        message += f", {', '.join(missing)} is neither done nor left over"
    if needless:
        message += f"{', and' if missing else ','} {', '.join(needless)} of another option is there too"
    return [_break((*missing, *needless), len(missing) + len(needless), message)]
