"""Table of contents of the model: what it is made of, in order."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

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
from scheduler.engine.cpsat.variables import Scope, Variables

if TYPE_CHECKING:
    from scheduler.domain.instance import Instance

log = logging.getLogger(__name__)

RULES = (
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


def build(instance: Instance, scope: Scope | None = None) -> Model:
    """All variables and rules of an instance, without an objective."""
    model = cp_model.CpModel()
    variables = Variables(model, instance, scope)
    for add in RULES:
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
