"""Options: every mode with every operator who may do it, numbered in the instance's own order.

A large day has hundreds of thousands, of which a plan uses a few hundred; so their ids are only looked
up when somebody asks.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from scheduler.domain.instance import Instance, Mode
from scheduler.engine.setups import Setups


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A mode with an operator, by id."""

    task: str
    mode: str
    machine: str
    operator: str | None
    platen: str | None = None
    mate: str | None = None


class Options:
    """The options of an instance, by number.

    Attributes
    ----------
    begin_of_task
        By task, and one past the last: its first option.
    """

    def __init__(self, instance: Instance) -> None:
        self._modes: list[tuple[str, Mode]] = []
        self._begin = [0]
        self.begin_of_task = [0]
        for task in instance.tasks:
            for mode in task.modes:
                self._modes.append((task.id, mode))
                self._begin.append(self._begin[-1] + max(1, len(mode.operators)))
            self.begin_of_task.append(self._begin[-1])

    def __len__(self) -> int:
        return self._begin[-1]

    def __iter__(self) -> Iterator[Option]:
        return (self[number] for number in range(len(self)))

    def __getitem__(self, number: int) -> Option:
        which = bisect_right(self._begin, number) - 1
        task, mode = self._modes[which]
        operator = mode.operators[number - self._begin[which]][0] if mode.operators else None
        return Option(
            task=task,
            mode=mode.id,
            machine=mode.machine,
            operator=operator,
            platen=mode.platen,
            mate=mode.mate,
        )

    def number(self, task: int, mode: str, operator: str | None) -> int:
        """Number of a task's option.

        Raises
        ------
        KeyError
            When the task has no such option.
        """
        number = self.begin_of_task[task]
        while number < self.begin_of_task[task + 1]:
            _, found = self._modes[bisect_right(self._begin, number) - 1]
            size = max(1, len(found.operators))
            if found.id == mode:
                people: list[str | None] = [name for name, _ in found.operators]
                people = people or [None]
                if operator in people:
                    return number + people.index(operator)
            number += size
        raise KeyError((task, mode, operator))


def option_columns(instance: Instance, setups: Setups) -> dict[str, list[int]]:
    """Columns of the flat data with an entry or a record for each option."""
    machine_of = {m.id: k for k, m in enumerate(instance.machines)}
    platen_of = {p.id: k for k, p in enumerate(instance.platens)}
    operator_of = {o.id: k for k, o in enumerate(instance.operators)}
    nobody = len(instance.operators)
    machines: list[int] = []
    platens: list[int] = []
    operators: list[int] = []
    works: list[int] = []
    states: list[int] = []
    records: list[int] = []
    modes = [mode for task in instance.tasks for mode in task.modes]
    for mode, *places in zip(modes, setups.column, setups.row, setups.given_up, strict=True):
        machine = machine_of[mode.machine]
        platen = -1 if mode.platen is None else platen_of[mode.platen]
        people = [(operator_of[name], work) for name, work in mode.operators] or [(-1, mode.work)]
        count = len(people)
        machines += [machine] * count
        platens += [platen] * count
        states += mode.state * count
        for operator, work in people:
            operators.append(operator)
            works.append(work)
            owner = operator if operator >= 0 else nobody
            records += (machine, platen, owner, work, mode.warm_up, *places)
    return {
        "option_machine": machines,
        "option_platen": platens,
        "option_operator": operators,
        "option_work": works,
        "option_state": states,
        "option_record": records,
        "option_mate": mate_records(instance, setups, modes),
    }


def by_machine(
    begin_of_task: Sequence[int], machines: Sequence[int], count: int
) -> tuple[list[int], list[int]]:
    """The options of each task by machine: where those of a task and machine begin, and the options."""
    begin, options = [0], []
    for first, last in pairwise(begin_of_task):
        on: list[list[int]] = [[] for _ in range(count)]
        for option in range(first, last):
            on[machines[option]].append(option)
        for some in on:
            options.extend(some)
            begin.append(len(options))
    return begin, options


def families(instance: Instance) -> dict[str, list[int]]:
    """The family of every option, and by family the tasks that have an option in it.

    The setups of a family are alike but for the part with the most values, as a rule the artwork.
    """
    parts = instance.setup_parts
    most = max(range(len(parts)), key=lambda p: len(parts[p].tables[0].from_none), default=-1)
    numbers: dict[tuple[int, ...], int] = {}
    members: list[list[int]] = []
    of_option: list[int] = []
    for k, task in enumerate(instance.tasks):
        for mode in task.modes:
            setup = tuple(value for part, value in enumerate(mode.state) if part != most)
            family = numbers.setdefault(setup, len(numbers))
            if family == len(members):
                members.append([])
            if k not in members[family][-1:]:
                members[family].append(k)
            of_option += [family] * max(1, len(mode.operators))
    begin, tasks = [0], []
    for some in members:
        tasks += some
        begin.append(len(tasks))
    return {"option_family": of_option, "family_from": begin, "family_task": tasks}


def mate_records(instance: Instance, setups: Setups, modes: Sequence[Mode]) -> list[int]:
    """Records `layout.Q_...` of every option; none at all where no mode holds a second machine."""
    if not any(mode.mate for mode in modes):
        return []
    machine_of = {m.id: k for k, m in enumerate(instance.machines)}
    records: list[int] = []
    columns = zip(modes, setups.mate_column, setups.mate_row, setups.mate_given_up, strict=True)
    for mode, *places in columns:
        machine = -1 if mode.mate is None else machine_of[mode.mate]
        records += [machine, mode.mate_warm_up, *places] * max(1, len(mode.operators))
    return records
