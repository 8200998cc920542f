"""Table of contents of the model: what it is made of, in order."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from scheduler.domain.instance import Instance
from scheduler.engine.cpsat.rules.calendar import add_calendar
from scheduler.engine.cpsat.rules.changeover import add_changeover
from scheduler.engine.cpsat.rules.coverage import add_coverage
from scheduler.engine.cpsat.rules.garments import add_garments
from scheduler.engine.cpsat.rules.operators import add_operators
from scheduler.engine.cpsat.rules.platens import add_platens
from scheduler.engine.cpsat.rules.precedence import add_precedence
from scheduler.engine.cpsat.rules.press import add_press
from scheduler.engine.cpsat.rules.release import add_release
from scheduler.engine.cpsat.rules.warm_up import add_warm_up
from scheduler.engine.cpsat.solver import go_on
from scheduler.engine.cpsat.variables import Variables
from scheduler.engine.cpsat.wrappers import Scope

log = logging.getLogger(__name__)

Rule = Callable[[cp_model.CpModel, Variables, Instance], None]

RULES: tuple[Rule, ...] = (
    add_coverage,
    add_release,
    add_precedence,
    add_garments,
    add_press,
    add_changeover,
    add_platens,
    add_operators,
    add_calendar,
    add_warm_up,
)
"""All rules; none depends on another being there before it."""


@dataclass(slots=True)
class Model:
    """A built model with its variables."""

    instance: Instance
    cp: cp_model.CpModel
    variables: Variables


def build(
    instance: Instance,
    scope: Scope | None = None,
    rules: Sequence[Rule] = RULES,
    stop: Callable[[], bool] | None = None,
) -> Model:
    """All variables of an instance and its rules, without an objective.

    Parameters
    ----------
    scope
        What is left open; None: everything that can be worth having.
    rules
        All of them, but in tests of what a rule is needed for.
    stop
        Asked between its parts, of which those of a large day take seconds.

    Raises
    ------
    StoppedError
        When `stop` said so.
    """
    model = cp_model.CpModel()
    variables = Variables(model, instance, scope, stop)
    for add in rules:
        go_on(stop)
        add(model, variables, instance)
    log.info(
        "model: %d tasks, %d ways, %d links, %d days, horizon %d ticks: %d variables, %d constraints",
        len(variables.tasks),
        sum(len(task.options) for task in variables.tasks),
        sum(len(machine.links) for machine in variables.machines),
        len(instance.heating_days),
        instance.horizon,
        len(model.proto.variables),
        len(model.proto.constraints),
    )
    return Model(instance, model, variables)
