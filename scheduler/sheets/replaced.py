"""New garments in place of spoiled ones: by which run they are needed first, and from where they come."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from scheduler.domain.disruptions import PartKind
from scheduler.domain.figures import counted
from scheduler.domain.pieces import AS_SPOILED, Pieces, pressed_again, same_kind
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.sheets.under_way import is_again, part_of


def garments_from(plan: Plan, again: PlannedRun) -> list[PlannedRun]:
    """The runs under way or to come that are before pieces pressed again, on the same garments, by time.

    A run that isn't over has all pieces of its garments: new ones in place of the spoiled among them. One
    that presses the same placements has other garments.
    """
    if plan.at is None:
        return []
    bundles = {task.id: frozenset(task.bundles) for task in plan.instance.tasks}
    own = bundles.get(again.id, frozenset())
    found = [
        run
        for run in plan.runs
        if run.end > plan.at
        and run.pressing_start < again.pressing_start
        and own & bundles.get(run.id, frozenset())
        and run.content.placements != again.content.placements
        and any(_may_be_in(run, one) for one in again.content.pieces)
    ]
    return sorted(found, key=lambda run: (run.pressing_start, run.number))


def _may_be_in(run: PlannedRun, one: Pieces) -> bool:
    """Whether a run has pieces of a kind, or of one of which too little is known to tell."""
    there = [other for other in run.content.pieces if other.quantity]
    return any(same_kind(one, other) or _unknown(one) or _unknown(other) for other in there)


def _unknown(one: Pieces) -> bool:
    return AS_SPOILED in one.size + one.garment


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
        alone = again.content.quantity == 1
        source = f"Take {'that garment' if alone else 'those garments'} from run {before[-1].number}"
        others = "a new one only if another was" if alone else "new ones only for others that were"
        return f"{source}; {others} spoiled." if spoiled else f"{source}."
    there = again.content.quantity - spoiled
    if not spoiled:
        if again.content.quantity == 1:
            return "Its garment is there: take the one on which it is missing."
        return "Their garments are there: take those on which it is missing."
    if there:
        return (
            f"Take {_new(spoiled)} for the {spoiled} that {'were' if spoiled > 1 else 'was'} spoiled; "
            f"{counted(there, 'garment')} on which it is missing {'are' if there > 1 else 'is'} there."
        )
    which = "those that were" if spoiled > 1 else "the one that was"
    return f"Take {_new(spoiled)} for {which} spoiled.{_needed_too(plan, again)}"


def _needed_too(plan: Plan, again: PlannedRun) -> str:
    """What runs that are over by now pressed on new garments, since they were entered as pressed whole.

    The spoiled pieces were not there any more: they took others, or were entered wrong. No time is planned
    for pressing it, so it is not asked for.
    """
    found = part_of(plan, again)
    spoiled = spoiled_among(plan, again)
    if plan.at is None or found is None:
        return ""
    bundles = {task.id: frozenset(task.bundles) for task in plan.instance.tasks}
    owed = {part.run for part in plan.parts if part.name is PartKind.AGAIN}
    over = [
        run
        for run in plan.runs
        if found[1].end <= run.pressing_start
        and run.end <= plan.at
        and bundles.get(again.id, frozenset()) & bundles.get(run.id, frozenset())
        and run.content.placements != again.content.placements
        and run.id not in owed
        and not is_again(plan, run)
        and any(_may_be_in(run, one) for one in spoiled)
    ]
    if not over:
        return ""
    what = ", ".join(
        f"{' + '.join(run.content.placements)} (run {run.number})"
        for run in sorted(over, key=lambda run: (run.pressing_start, run.number))
    )
    if sum(one.quantity for one in spoiled) > 1:
        return f" Take those with {what} on them; if there are none, {_enter(over)}."
    return f" Take the one with {what} on it; if there is none, {_enter(over)}."


def _enter(over: list[PlannedRun]) -> str:
    which = f"run {over[0].number}" if len(over) == 1 else "these runs"
    return f"have {which} entered with fewer pieces done and the day planned again"


def _new(count: int) -> str:
    return "new garments" if count > 1 else "a new garment"


def replaced_words(plan: Plan, run: PlannedRun) -> list[str]:
    """Said at the first run that needs garments in place of spoiled ones, when it isn't the one for them.

    A garment that was spoiled at one placement is pressed again at those before it, too: it is said once, at
    the run that spoiled it.
    """
    if plan.at is None or run.end <= plan.at or is_again(plan, run):
        return []
    unless = "" if run.start >= plan.at else ", unless that is done"
    found: list[str] = []
    said: list[tuple[PlannedRun, Pieces]] = []
    for again, whole in sorted(_pressed_again(plan), key=partial(_spoiled_it, plan)):
        before = garments_from(plan, again)
        here = [
            one
            for one in spoiled_among(plan, again)
            if next((other for other in before if _may_be_in(other, one)), None) is run
        ]
        spoiled = _not_said(plan, whole, here, said)
        if not spoiled:
            continue
        said += [(whole, one) for one in spoiled]
        known = [one for one in spoiled if not _unknown(one)]
        sizes = ", ".join(f"{one.size} {one.quantity}" for one in known)
        count = sum(one.quantity for one in spoiled)
        which = f"{whole.number} ({sizes})" if sizes else f"{whole.number}"
        found.append(
            f"Among them {counted(count, 'piece')} spoiled in run {which}: take "
            f"{_new(count)} for {'them' if count > 1 else 'it'}{unless}."
        )
    return found


def _spoiled_it(plan: Plan, pair: tuple[PlannedRun, PlannedRun]) -> tuple[bool, float, str]:
    """Runs that spoiled something themselves come first, of them the last, which others lost it to."""
    again, whole = pair
    part = next(one for one in plan.parts if one.task == again.id)
    return part.spoiled <= part.elsewhere, -whole.end.timestamp(), again.id


def _pressed_again(plan: Plan) -> list[tuple[PlannedRun, PlannedRun]]:
    """What is pressed again, each with the run that it is of."""
    found = ((run, part_of(plan, run)) for run in plan.runs)
    return [(run, part[1]) for run, part in found if part is not None and part[0].name is PartKind.AGAIN]


def _not_said(
    plan: Plan, whole: PlannedRun, spoiled: list[Pieces], said: list[tuple[PlannedRun, Pieces]]
) -> list[Pieces]:
    """Spoiled pieces of a run without those that are the garments of a later run at another placement."""
    bundles = {task.id: frozenset(task.bundles) for task in plan.instance.tasks}
    left = []
    for one in spoiled:
        gone = sum(
            other.quantity
            for later, other in said
            if same_kind(one, other)
            and later.content.placements != whole.content.placements
            and bundles.get(later.id, frozenset()) & bundles.get(whole.id, frozenset())
        )
        if one.quantity > gone:
            left.append(replace(one, quantity=one.quantity - gone))
    return left


__all__ = ["garments_from", "replaced_words", "source_words", "spoiled_among"]
