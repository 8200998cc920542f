"""The best plans known of the benchmark days: one small file a day, each with the whole schedule.

Nothing in a file need be believed: the schedule is stated in it, so that the independent check can pass it
and recompute its cost. Tasks, modes and people stand in it by their place in the instance.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scheduler.domain.instance import Instance, Level, Task
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from tests.benchmarks.days import parse

FOLDER = Path(__file__).parent / "best_known"
ROWS_A_LINE = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """The best plan known of a day.

    Attributes
    ----------
    levels
        Its cost by level, in the order of the levels.
    proven
        The levels, from the first, that were shown to be best possible when it was found.
    found_by
        "search", "proof" (the exact search or CP-SAT), "CP-SAT" or "window": what made the last step to it.
    effort, seed
        With what; for the record.
    """

    day: str
    levels: dict[Level, int]
    proven: tuple[Level, ...]
    found_by: str
    effort: str
    seed: int
    schedule: Schedule

    @property
    def cost(self) -> tuple[int, ...]:
        return tuple(self.levels.values())


def kept_days(folder: Path = FOLDER) -> tuple[str, ...]:
    """The days of which a plan is kept: smallest first, then by load and seed."""
    found = [path.stem for path in folder.glob("days-*.json")]
    return tuple(sorted(found, key=lambda name: (parse(name).runs, parse(name).load, parse(name).seed)))


def levels_of(day: str, folder: Path = FOLDER) -> dict[Level, int] | None:
    """The cost of the best plan known, by level; None when none is kept. Builds no instance."""
    path = folder / f"{day}.json"
    if not path.is_file():
        return None
    levels: dict[Level, int] = json.loads(path.read_text(encoding="utf-8"))["levels"]
    return levels


def read_known(day: str, instance: Instance, folder: Path = FOLDER) -> Known | None:
    """The best plan known of a day; None when none is kept."""
    path = folder / f"{day}.json"
    if not path.is_file():
        return None
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return Known(
        day=data["day"],
        levels=data["levels"],
        proven=tuple(data["proven"]),
        found_by=data["found_by"],
        effort=data["effort"],
        seed=data["seed"],
        schedule=Schedule(
            tasks=tuple(_scheduled(instance, row) for row in data["tasks"]),
            warm_ups=tuple(
                WarmUp(machine=instance.machines[machine].id, start=start, end=end)
                for machine, start, end in data["warm_ups"]
            ),
            left_over=tuple(instance.tasks[task].id for task in data["left_over"]),
        ),
    )


def write_known(known: Known, instance: Instance, folder: Path = FOLDER) -> Path:
    """Write the file of a day anew, all at once."""
    task_at = {task.id: at for at, task in enumerate(instance.tasks)}
    machine_at = {machine.id: at for at, machine in enumerate(instance.machines)}
    head = {
        "day": known.day,
        "levels": known.levels,
        "proven": known.proven,
        "found_by": known.found_by,
        "effort": known.effort,
        "seed": known.seed,
        "left_over": sorted(task_at[task] for task in known.schedule.left_over),
    }
    lists = {
        "warm_ups": sorted(
            [machine_at[warm.machine], warm.start, warm.end] for warm in known.schedule.warm_ups
        ),
        "tasks": sorted(_row(instance, task_at[done.task], done) for done in known.schedule.tasks),
    }
    lines = [f'"{key}": {json.dumps(value, ensure_ascii=False)}' for key, value in head.items()]
    lines += [f'"{key}": [\n{_lines(rows)}]' for key, rows in lists.items()]
    folder.mkdir(exist_ok=True)
    path = folder / f"{known.day}.json"
    half = path.with_suffix(".new")
    half.write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8", newline="\n")
    half.replace(path)
    return path


def _lines(rows: Sequence[list[int]]) -> str:
    words = ["[" + ",".join(map(str, row)) + "]" for row in rows]
    return ",\n".join(",".join(words[at : at + ROWS_A_LINE]) for at in range(0, len(words), ROWS_A_LINE))


def _row(instance: Instance, at: int, done: ScheduledTask) -> list[int]:
    """Task, mode, operator (-1: nobody), set-up start, start, end, mounts its platen."""
    mode = _places(instance.tasks[at])[done.mode]
    people = [person.id for person in instance.operators]
    who = -1 if done.operator is None else people.index(done.operator)
    return [at, mode, who, done.setup_start, done.start, done.end, int(done.mounts_platen)]


def _places(task: Task) -> dict[str, int]:
    return {mode.id: at for at, mode in enumerate(task.modes)}


def _scheduled(instance: Instance, row: Sequence[int]) -> ScheduledTask:
    at, mode, who, setup_start, start, end, mounts = row
    task = instance.tasks[at]
    return ScheduledTask(
        task=task.id,
        mode=task.modes[mode].id,
        operator=None if who < 0 else instance.operators[who].id,
        setup_start=setup_start,
        start=start,
        end=end,
        mounts_platen=bool(mounts),
    )
