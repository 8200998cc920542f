"""Plans of a day that no search made: random sequences, decoded."""

from __future__ import annotations

from random import Random

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule
from scheduler.engine.flat import Flattened, flatten, to_schedule
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import Cost, Line
from scheduler.engine.windows import topological


def random_line(flattened: Flattened, rng: Random) -> Line:
    """A random option of every choice, its tasks in a random order that no precedence forbids."""
    instance = flattened.instance
    chosen = {task for choice in instance.choices for option in choice.options for task in option}
    names = [task.id for task in instance.tasks if task.id not in chosen]
    for choice in instance.choices:
        names += rng.choice(choice.options)
    rng.shuffle(names)
    before: dict[str, list[str]] = {}
    for pair in instance.precedences:
        before.setdefault(pair.after, []).append(pair.before)
    number = {task: at for at, task in enumerate(flattened.tasks)}
    begin = flattened.columns["option_from"]
    tasks = tuple(number[name] for name in topological(names, lambda name: before.get(name, ())))
    return Line(tasks, tuple(rng.randrange(begin[task], begin[task + 1]) for task in tasks))


def random_plans(instance: Instance, rng: Random, count: int) -> dict[Cost, Schedule]:
    """Of so many random sequences one plan for each cost, by the decoder's own reckoning of it."""
    flattened = flatten(instance)
    lines: dict[Cost, Line] = {}
    for _ in range(count):
        line = random_line(flattened, rng)
        lines.setdefault(line_cost(flattened, line), line)
    return {cost: to_schedule(flattened, line.tasks, line.options) for cost, line in lines.items()}
