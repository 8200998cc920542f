"""Rule: a platen is on one press at a time, and no more are mounted than are owned."""

from __future__ import annotations

from scheduler.domain.schedule import Break
from scheduler.verify.overlap import Stretch, excesses
from scheduler.verify.view import View


def check_platens(view: View) -> list[Break]:
    """Check that platens kept were there to keep, and the number of each kind in use.

    A platen is held from the begin of the setting up for which it is mounted (from tick 0 when it
    was mounted the evening before and is kept) to the end of the last run that keeps it, and by what
    was under way on its machine before the instance.
    """
    breaks = _mounted_nowhere(view)
    holds: dict[str, list[Stretch]] = {platen.id: [] for platen in view.instance.platens}
    machines = {machine.id: machine for machine in view.instance.machines}
    for machine, runs in view.by_machine.items():
        begun = machines[machine]
        if begun.mounted is not None and begun.free_from > 0 and not (runs and runs[0].keeps):
            holds[begun.mounted].append(Stretch(0, begun.free_from, 1, f"what is under way on {machine}"))
        for number, run in enumerate(runs):
            platen = run.mode.platen
            if platen is None:
                if run.mounts:
                    message = f"{run.id} mounts a platen on {machine}, but its mode {run.mode.id} needs none"
                    breaks.append(_break((run.id,), machine, run.setup_start, 1, message))
                continue
            if not run.mounts and not run.keeps:
                message = f"{run.id} keeps platen {platen} on {machine}, but has none to keep"
                breaks.append(_break((run.id,), machine, run.setup_start, 1, message))
            kept_on = number + 1 < len(runs) and runs[number + 1].keeps
            if run.hold is not None and not kept_on:
                holds[platen].append(Stretch(*run.hold, 1, run.id))
    for platen_kind in view.instance.platens:
        for excess in excesses(holds[platen_kind.id], platen_kind.count):
            message = (
                f"at tick {excess.at} platen {platen_kind.id} is on "
                f"{platen_kind.count + excess.amount} presses at once (for {', '.join(excess.names)}); "
                f"{platen_kind.count} are owned (amount: platens)"
            )
            breaks.append(_break(excess.names, None, excess.at, excess.amount, message))
    return breaks


def _mounted_nowhere(view: View) -> list[Break]:
    """Platens that are said to be mounted on a second press, of runs that hold one press only."""
    alone = {run.id: run for run in view.runs if run not in view.mates}
    unreadable = {id(entry) for entry in view.unreadable}
    breaks = []
    for entry in view.schedule.tasks:
        if entry.mate_mounts and id(entry) not in unreadable and entry.task in alone:
            run = alone[entry.task]
            message = f"{run.id} mounts a platen on a second press, but its mode {run.mode.id} holds one"
            breaks.append(_break((run.id,), run.machine.id, run.setup_start, 1, message))
    return breaks


def _break(tasks: tuple[str, ...], machine: str | None, at: int, amount: int, message: str) -> Break:
    return Break(rule="platens", tasks=tasks, machine=machine, at=at, amount=amount, message=message)
