"""Orders under way that have fewer pieces now: what is not begun of them is cut down."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from scheduler.domain.day_problem import DayProblem, Personal, Pieces, RunContent
from scheduler.domain.day_state import DayState
from scheduler.domain.disruptions import OrderChange
from scheduler.domain.instance import Instance, Task
from scheduler.domain.kinds import unwanted_pieces
from scheduler.domain.plan import Plan
from scheduler.domain.shop import Shop
from scheduler.planning.disruptions import timed_for


def with_fewer(problem: DayProblem, changes: Iterable[OrderChange]) -> DayProblem:
    """The problem with what is not begun of some orders cut down to the pieces that are still wanted."""
    for change in changes:
        problem = _with_fewer(problem, change)
    return problem


def _with_fewer(problem: DayProblem, change: OrderChange) -> DayProblem:
    contents = dict(problem.contents)
    gone: set[str] = set()
    tasks: list[Task] = []
    left: dict[object, int] = {}
    own = {task.id: task for task in problem.instance.tasks if task.job == change.order.id}
    in_turn = sorted(
        (name for name in own if name not in change.begun), key=lambda name: (contents[name].lot, name)
    )
    for name in own:
        # What is begun keeps its pieces: only what is wanted beyond them is left for the others.
        for piece in contents[name].pieces if name in change.begun else ():
            _cut(contents[name], piece, change, left)
    for name in in_turn:
        pieces = tuple(
            one for one in (_cut(contents[name], one, change, left) for one in contents[name].pieces) if one
        )
        if pieces:
            contents[name] = replace(contents[name], pieces=pieces)
        else:
            gone.add(name)
    contents.update(_with_names(contents, in_turn, own, change, gone))
    for task in problem.instance.tasks:
        if task.id in in_turn and task.id not in gone:
            task = _shorter(problem, task, contents[task.id], problem.shop)
        if task.id not in gone:
            tasks.append(task)
    instance = _with_tasks(problem.instance, tuple(tasks), gone)
    return replace(
        problem,
        instance=instance,
        contents={name: content for name, content in contents.items() if name not in gone},
    )


def _cut(content: RunContent, piece: Pieces, change: OrderChange, left: dict[object, int]) -> Pieces | None:
    """What a run keeps of one of its sizes; lots take in turn from what is wanted, those begun first."""
    laid = content.laid[0]
    key = (content.lots, content.placements, laid.artwork, laid.transfer, piece.garment, piece.colour)
    key_size = (*key, piece.fabric, piece.size, content.size_group)
    if key_size not in left:
        left[key_size] = sum(
            sized.quantity
            for line in change.order.lines
            if (line.garment, line.colour, line.fabric) == (piece.garment, piece.colour, piece.fabric)
            and any(
                (one.placement, one.artwork, one.transfer) == (laid.placement, laid.artwork, laid.transfer)
                for one in line.prints
            )
            for sized in line.sizes
            if sized.size == piece.size
        )
    count = min(piece.quantity, left[key_size])
    left[key_size] -= count
    return replace(piece, quantity=count) if count else None


def _with_names(
    contents: dict[str, RunContent],
    in_turn: Sequence[str],
    own: Collection[str],
    change: OrderChange,
    gone: Collection[str],
) -> dict[str, RunContent]:
    """The runs that are not begun, with the names that are still wanted and aren't in what is begun.

    A run keeps its own as long as it has pieces for them. What has no room any more goes on a piece of
    another lot that has lost its name: nothing is pressed on that yet.
    """
    found = {}
    alike: dict[tuple[int, tuple[str, ...]], list[str]] = {}
    for name in in_turn:
        if name not in gone:
            alike.setdefault(_alike(contents[name]), []).append(name)
    for key, runs in alike.items():
        wanted = _names(change)
        for name in own:
            if name in change.begun and _alike(contents[name]) == key:
                for one in contents[name].names:
                    _take(wanted, one)
        kept: dict[str, list[Personal]] = {name: [] for name in runs}
        over: list[Personal] = []
        for name in runs:
            for one in contents[name].names:
                if _take(wanted, one):
                    (kept[name] if _room(contents[name], kept[name], one) else over).append(one)
        for one in over:
            there = next((name for name in runs if _room(contents[name], kept[name], one)), None)
            if there is not None:
                kept[there].append(one)
        found.update({name: replace(contents[name], names=tuple(kept[name])) for name in runs})
    return found


def _alike(content: RunContent) -> tuple[int, tuple[str, ...]]:
    """What lots of the same garments share; runs that differ in it may be other ways to press them."""
    return content.lots, content.placements


def _names(change: OrderChange) -> Counter[tuple[str, ...]]:
    return Counter(
        (line.garment, line.colour, one.name, one.number, one.placement, one.size)
        for line in change.order.lines
        for one in line.names
    )


def _take(wanted: Counter[tuple[str, ...]], one: Personal) -> bool:
    """Whether a name is wanted still; it is then taken from those that are.

    A run knows the size of garments that are all of one, even where the list of names doesn't.
    """
    for size in (one.size, ""):
        key = (one.garment, one.colour, one.name, one.number, one.placement, size)
        if wanted[key] > 0:
            wanted[key] -= 1
            return True
    return False


def _room(content: RunContent, kept: Iterable[Personal], one: Personal) -> bool:
    """Whether a run has a piece without a name for one more, of its size and in all."""
    there = [each for each in kept if _place(each) == _place(one)]
    pieces = [each for each in content.pieces if (each.garment, each.colour) == (one.garment, one.colour)]
    in_all = sum(each.quantity for each in pieces)
    of_size = sum(each.quantity for each in pieces if one.size in ("", each.size))
    return len(there) < in_all and sum(each.size == one.size for each in there) < of_size


def _place(one: Personal) -> tuple[str, ...]:
    return one.garment, one.colour, one.placement


def _shorter(problem: DayProblem, task: Task, content: RunContent, shop: Shop) -> Task:
    pieces, tick_s = content.quantity, problem.instance.tick_s
    modes = tuple(
        timed_for(shop, mode, pieces, problem.cycle_s[task.id, mode.id], tick_s) for mode in task.modes
    )
    return replace(task, pressings=pieces * len(content.laid), modes=modes)


def _with_tasks(instance: Instance, tasks: tuple[Task, ...], gone: Collection[str]) -> Instance:
    choices = tuple(
        replace(
            choice,
            options=tuple(
                dict.fromkeys(
                    option
                    for way in choice.options
                    if (option := tuple(task for task in way if task not in gone))
                )
            ),
        )
        for choice in instance.choices
    )
    return replace(
        instance,
        tasks=tasks,
        choices=tuple(choice for choice in choices if len(choice.options) > 1),
        precedences=tuple(
            pair for pair in instance.precedences if pair.before not in gone and pair.after not in gone
        ),
    )


def with_unwanted(plan: Plan, state: DayState, changes: Iterable[OrderChange]) -> DayState:
    """The state with what of each run nobody wants any more, changes counted that are not in the plan yet."""
    contents = {run.id: run.content for run in sorted(plan.runs, key=lambda run: (run.start, run.number))}
    unwanted = unwanted_pieces(changes, plan.parts, contents)
    return replace(state, runs=tuple(replace(run, unwanted=unwanted.get(run.run, 0)) for run in state.runs))
