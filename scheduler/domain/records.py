"""An Instance or a Schedule as plain JSON values and back: what is stored and published.

So that an outsider can check a plan from its file alone: the instance says what was asked, the
schedule what was answered, both in the words of `docs/model.md`.
"""

from __future__ import annotations

from typing import Any, cast

from scheduler.domain.asjson import from_json, to_json
from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule


def instance_to_data(instance: Instance) -> dict[str, Any]:
    """The instance as dictionaries, lists, texts, whole numbers, booleans and None, keyed by field name."""
    return cast(dict[str, Any], to_json(instance))


def instance_from_data(data: object) -> Instance:
    """The instance that `instance_to_data` made `data` of; equal in every field.

    Parameters
    ----------
    data
        As read by `json.loads`. Keys whose field has a default may be missing.

    Raises
    ------
    ValueError
        When a key is unknown, missing or holds something of the wrong kind, or when the instance
        contradicts itself; names the place ("Instance.tasks[3].release").
    """
    return from_json(Instance, data)


def schedule_to_data(schedule: Schedule) -> dict[str, Any]:
    """The schedule as dictionaries, lists, texts, whole numbers, booleans and None, keyed by field name."""
    return cast(dict[str, Any], to_json(schedule))


def schedule_from_data(data: object) -> Schedule:
    """The schedule that `schedule_to_data` made `data` of; equal in every field.

    Raises
    ------
    ValueError
        When a key is unknown, missing or holds something of the wrong kind; names the place. What
        the schedule says is not checked against any instance: that is `scheduler.verify.check`.
    """
    return from_json(Schedule, data)
