"""In which ways a small day's tasks can be carried out, and which of them wait for the same garments."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from scheduler.domain.instance import Instance


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """Tasks by their numbers in the instance.

    Attributes
    ----------
    choices
        By choice, and for each task that is in none: the sets of tasks of which one is carried out.
    choice_of
        By task: its choice.
    bundle_of
        Numbers of the bundles by the tasks that wait for them; those that are alike count once.
    """

    choices: tuple[tuple[tuple[int, ...], ...], ...]
    choice_of: dict[int, int]
    bundle_of: dict[frozenset[int], int]


def ways_of(instance: Instance) -> Ways:
    """The ways of an instance."""
    task_of = {task.id: k for k, task in enumerate(instance.tasks)}
    choices = [
        tuple(tuple(sorted(task_of[name] for name in option)) for option in choice.options)
        for choice in instance.choices
    ]
    chosen = {task for ways in choices for way in ways for task in way}
    choices += [((task,),) for task in range(len(instance.tasks)) if task not in chosen]
    choice_of = {task: k for k, ways in enumerate(choices) for way in ways for task in way}
    together = {pair for ways in choices for way in ways for pair in combinations(sorted(way), 2)}
    return Ways(
        choices=tuple(choices), choice_of=choice_of, bundle_of=_bundles(instance, choice_of, together)
    )


def _bundles(
    instance: Instance, choice_of: dict[int, int], together: set[tuple[int, int]]
) -> dict[frozenset[int], int]:
    """Bundles that two tasks of one plan may wait for."""
    users: dict[str, set[int]] = {}
    for k, task in enumerate(instance.tasks):
        for bundle in task.bundles:
            users.setdefault(bundle, set()).add(k)
    found: dict[frozenset[int], int] = {}
    for tasks in users.values():
        pairs = combinations(sorted(tasks), 2)
        if any(choice_of[a] != choice_of[b] or (a, b) in together for a, b in pairs):
            found.setdefault(frozenset(tasks), len(found))
    return found
