"""Between schedules, sequences and costs."""

from __future__ import annotations

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule
from scheduler.engine.flat import Flattened, flatten, presence, to_schedule
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.decode import decode_rows
from scheduler.engine.kernel.layout import SLOTS
from scheduler.engine.local_search import Cost, Line, cost_key


def line_of(flattened: Flattened, schedule: Schedule) -> Line:
    """The sequence that decodes to this schedule or to an earlier one: tasks by set-up start.

    Tasks left over come last, in an option of their own that is not read.
    """
    number = {task: k for k, task in enumerate(flattened.tasks)}
    done = sorted(
        schedule.tasks, key=lambda task: (task.setup_start, task.start, task.end, number[task.task])
    )
    tasks = [number[task.task] for task in done]
    options = [flattened.options.number(number[task.task], task.mode, task.operator) for task in done]
    left = [number[task] for task in schedule.left_over]
    begin = flattened.columns["option_from"]
    return Line((*tasks, *left), (*options, *(begin[task] for task in left)))


def line_cost(flattened: Flattened, line: Line) -> Cost:
    """Cost of a decoded sequence, in the order of the levels."""
    state = list(flattened.start)
    count = len(line.tasks)
    decode_rows(
        flattened.flat,
        state,
        presence(flattened, line.tasks),
        line.tasks,
        line.options,
        count,
        [0] * (count * layout.PLACED),
    )
    at = flattened.flat[layout.AT_COST]
    return cost_key(flattened, state[at : at + SLOTS])


def put_down_anew(instance: Instance, schedule: Schedule) -> Schedule:
    """The runs of a schedule in their order, each as early as the instance lets it."""
    flattened = flatten(instance)
    line = line_of(flattened, schedule)
    return to_schedule(flattened, line.tasks, line.options)
