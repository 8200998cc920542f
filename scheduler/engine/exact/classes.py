"""Classes of a small day's tasks: the lots of a choice that need the same setups count as one."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.domain.instance import Instance
from scheduler.engine.exact.changeovers import Changeovers
from scheduler.engine.exact.ways import Ways


@dataclass(frozen=True, slots=True, kw_only=True)
class Classes:
    """Classes by number.

    Attributes
    ----------
    of
        By task: its class.
    setups
        By class: the setups that it can be carried out in, each a machine and a number.
    """

    of: tuple[int, ...]
    setups: tuple[frozenset[tuple[int, int]], ...]


def classes_of(instance: Instance, ways: Ways, changeovers: Changeovers) -> Classes:
    """The classes of an instance's tasks."""
    number: dict[tuple[int, frozenset[tuple[int, int]]], int] = {}
    found = []
    for k, task in enumerate(instance.tasks):
        setups = frozenset(changeovers.number(mode) for mode in task.modes)
        found.append(number.setdefault((ways.choice_of[k], setups), len(number)))
    return Classes(of=tuple(found), setups=tuple(setups for _, setups in number))
