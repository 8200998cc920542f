"""New garments in place of spoiled ones: by which run they are needed first, and from where they come."""

from __future__ import annotations

from scheduler.domain.disruptions import PartKind
from scheduler.domain.figures import counted
from scheduler.domain.pieces import AS_SPOILED, Pieces, pressed_again
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.sheets.under_way import part_of


def garments_from(plan: Plan, again: PlannedRun) -> list[PlannedRun]:
    """The runs still to begin that come before pieces pressed again, on the same garments, in order of time.

    A run that isn't begun has all pieces of its garments: new ones in place of the spoiled among them.
    """
    if plan.at is None:
        return []
    bundles = {task.id: frozenset(task.bundles) for task in plan.instance.tasks}
    own = bundles.get(again.id, frozenset())
    found = [
        run
        for run in plan.runs
        if run.start >= plan.at
        and run.pressing_start < again.pressing_start
        and own & bundles.get(run.id, frozenset())
        and run.content.quantity
    ]
    return sorted(found, key=lambda run: (run.pressing_start, run.number))


def spoiled_among(plan: Plan, again: PlannedRun) -> tuple[Pieces, ...]:
    """Of pieces that are pressed again those that need new garments; those of the others are there."""
    found = part_of(plan, again)
    if found is None or found[0].spoiled >= found[0].pieces:
        return again.content.pieces
    part, whole = found
    return pressed_again(whole.content.pieces, part.known, part.spoiled) if part.spoiled else ()


def source_words(plan: Plan, again: PlannedRun) -> str:
    """Which garments to take for pieces pressed again."""
    before = garments_from(plan, again)
    spoiled = sum(one.quantity for one in spoiled_among(plan, again))
    if before:
        source = f"Take those garments from run {before[-1].number}"
        return f"{source}; new ones only for others that were spoiled." if spoiled else f"{source}."
    there = again.content.quantity - spoiled
    if not spoiled:
        return "Their garments are there: take those on which it is missing."
    if there:
        return (
            f"Take new garments for the {spoiled} that {'were' if spoiled > 1 else 'was'} spoiled; "
            f"{counted(there, 'garment')} on which it is missing {'are' if there > 1 else 'is'} there."
        )
    return "Take new garments for those that were spoiled."


def replaced_words(plan: Plan, run: PlannedRun) -> list[str]:
    """Said at the first run that needs garments in place of spoiled ones, when it isn't the one for them."""
    if plan.at is None or run.start < plan.at or part_of(plan, run) is not None:
        return []
    by_id = {one.id: one for one in plan.runs}
    found = []
    for part in plan.parts:
        again, whole = by_id.get(part.task), by_id.get(part.run)
        if part.name is not PartKind.AGAIN or again is None or whole is None:
            continue
        spoiled = spoiled_among(plan, again)
        if spoiled and garments_from(plan, again)[:1] == [run]:
            known = [one for one in spoiled if AS_SPOILED not in one.size + one.garment]
            sizes = ", ".join(f"{one.size} {one.quantity}" for one in known)
            count = sum(one.quantity for one in spoiled)
            which = f"{whole.number} ({sizes})" if sizes else f"{whole.number}"
            found.append(
                f"Among them {counted(count, 'piece')} spoiled in run {which}: take "
                f"{'new garments for them' if count > 1 else 'a new garment for it'}."
            )
    return found


__all__ = ["garments_from", "replaced_words", "source_words", "spoiled_among"]
