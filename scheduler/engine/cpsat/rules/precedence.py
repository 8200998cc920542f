"""What must be pressed first is pressed first."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.variables import Variables


def add_precedence(model: CpModel, variables: Variables, instance: Instance) -> None:
    """For p before q: `s_q >= e_p + cooling_p` when both are present; q is left over when p is.

    The second as `left_over_p + present_q <= 1`.
    """
    for pair in instance.precedences:
        before, after = variables.task(pair.before), variables.task(pair.after)
        model.add(after.start >= before.end + before.task.cooling).only_enforce_if(
            [before.present, after.present]
        )
        model.add(before.left_over + after.present <= 1)
