"""A day planned again, on paper: runs that go on, rests of runs that were stopped, pieces pressed again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from scheduler.domain.clock import clock
from scheduler.domain.disruptions import PartKind, RunPart
from scheduler.domain.figures import counted
from scheduler.domain.pieces import AS_SPOILED, Pieces, pieces_done
from scheduler.domain.plan import Plan, PlannedRun, Pressed
from scheduler.sheets.dayview import place
from scheduler.sheets.stopped import cancelled_rest, count_words, done_words, stops_now


def goes_on_words(plan: Plan, run: PlannedRun, since: datetime | None) -> str:
    """What is said of a run that is under way at a moment; empty when it is not.

    How many pieces are done by then is known of the moment from which the day was planned again; for any
    other it is told by the planned pace to the run's end.
    """
    if since is None or not run.start < since < run.end:
        return ""
    if since <= run.pressing_start:
        return f"UNDER WAY at {clock(since)}: it was being set up. Go on."
    known = next((one for one in plan.pressed if since == plan.at and one.run == run.id), None)
    if known is None:
        share = _pressing(run, since) / max(_pressing(run, run.end), timedelta(seconds=1))
        known = Pressed(run=run.id, good=int(run.content.quantity * share))
    done = pieces_done(min(known.good, run.content.quantity - 1), run.content.quantity, known.spoiled)
    return f"UNDER WAY at {clock(since)}: go on, about {done}. Take over what is ticked on the old sheet."


def _pressing(run: PlannedRun, until: datetime) -> timedelta:
    """Time of pressing up to a moment, breaks left out."""
    paused = sum(
        (max(timedelta(0), min(until, last) - max(run.pressing_start, first)) for first, last in run.pauses),
        timedelta(0),
    )
    return max(timedelta(0), until - run.pressing_start) - paused


def part_of(plan: Plan, run: PlannedRun) -> tuple[RunPart, PlannedRun] | None:
    """The part that a run is of another one, with that one; None: it is none."""
    for part in plan.parts:
        if part.task == run.id:
            whole = next((one for one in plan.runs if one.id == part.run), None)
            return None if whole is None else (part, whole)
    return None


def is_again(plan: Plan, run: PlannedRun) -> bool:
    """Whether a run presses pieces of another one again."""
    found = part_of(plan, run)
    return found is not None and found[0].name is PartKind.AGAIN


def rest_of(plan: Plan, run: PlannedRun) -> PlannedRun | None:
    """The run that presses the rest of one that was stopped."""
    task = next(
        (part.task for part in plan.parts if part.run == run.id and part.name is not PartKind.AGAIN), None
    )
    return next((one for one in plan.runs if one.id == task), None)


def over_words(plan: Plan, over: Sequence[PlannedRun]) -> str:
    """Which runs are done at a moment, and which of them were only stopped by then; empty: none is over."""
    stopped = [(run, rest) for run in over if (rest := rest_of(plan, run)) is not None]
    gone = [(run, part) for run in over if (part := cancelled_rest(plan, run)) is not None]
    cut = [run.id for run, _ in (*stopped, *gone)]
    done = [str(run.number) for run in over if run.id not in cut]
    said = [f"Done by then: {'run' if len(done) == 1 else 'runs'} {', '.join(done)}."] if done else []
    for run, rest in stopped:
        part = next(part for part in plan.parts if part.task == rest.id)
        how_far = _how_far(run.content.quantity, part.done + part.pieces, assumed=part.assumed)
        said.append(f"Run {run.number} was stopped {how_far}; the rest is run {rest.number}.")
    for run, part in gone:
        how_far = _how_far(part.done, part.done + part.pieces, assumed=part.assumed)
        said.append(f"Run {run.number} was stopped {how_far}: order {run.content.order} is cancelled.")
    return " ".join(said)


def _cancelled_words(plan: Plan, run: PlannedRun) -> str:
    """A run that stopped since its order is cancelled; empty when it wasn't."""
    if cancelled_rest(plan, run) is None:
        return ""
    count = count_words(plan, run)
    pace = f" by the planned pace: {count}" if count else ""
    head = f"STOP at {clock(run.end)}" if stops_now(plan, run) else f"stopped at {clock(run.end)}"
    return f"{head}, its order is cancelled; {done_words(plan, run)}{pace}"


def _how_far(done: int, whole: int, *, assumed: bool) -> str:
    return f"after {'about ' if assumed else ''}{done} of {whole}" if done else f"before the first of {whole}"


def shown_pieces(plan: Plan, run: PlannedRun) -> tuple[Pieces, ...]:
    """A run's pieces as they are shown: what merely is missing is not called spoiled.

    Pieces that are pressed again without anybody having said which are kept with `AS_SPOILED`.
    """
    found = part_of(plan, run)
    if found is None or found[0].spoiled >= found[0].pieces:
        return run.content.pieces
    words = "as spoiled or missing" if found[0].spoiled else "as missing"
    return tuple(
        replace(
            one,
            garment=one.garment.replace(AS_SPOILED, words),
            colour=one.colour.replace(AS_SPOILED, words),
            size=one.size.replace(AS_SPOILED, words),
        )
        for one in run.content.pieces
    )


def lot_words(plan: Plan, run: PlannedRun) -> str:
    """Which lot of its run this is, or its rest, or for which run it is pressed again; empty: whole."""
    content, found = run.content, part_of(plan, run)
    if found is not None and found[0].name is PartKind.AGAIN:
        return f"again, for run {found[1].number}"
    parts = [f"lot {content.lot} of {content.lots}"] if content.lots > 1 else []
    if found is not None:
        parts.append("the rest")
        parts += ["not counted"] if found[0].assumed else []
    return ", ".join(parts)


def part_words(plan: Plan, run: PlannedRun) -> str:
    """Of which run this is the rest, and where its garments lie; or what is pressed again; empty: neither."""
    found = part_of(plan, run)
    if found is None:
        return ""
    part, whole = found
    pieces = counted(run.content.quantity, "piece")
    if part.name is PartKind.AGAIN:
        again = f"Pressed again for run {whole.number}: {pieces}."
        unknown = sum(one.quantity for one in run.content.pieces if AS_SPOILED in one.size + one.garment)
        if unknown:
            what = "the same sizes as those that are" if unknown > 1 else "the same size as the one that is"
            why = "spoiled" if part.spoiled >= part.pieces else "spoiled or missing"
            again += f" Nobody entered which: take {what} {why if part.spoiled else 'missing'}."
        if whole.content.names and len(run.content.names) < run.content.quantity:
            again += " Names and numbers: as on those pieces; see the list of that run."
        return again
    where = (
        f"The rest of run {whole.number}, stopped at {clock(whole.end)}: its garments and transfers lie at "
        f"{place(whole)}."
    )
    if not part.assumed:
        return where
    return f"{where} About {pieces}, by the planned pace: count them, and press what is left."


def stopped_words(plan: Plan, before: PlannedRun, after: PlannedRun) -> str:
    """A run that was cut off, and where its rest is pressed, if it is; empty when it wasn't."""
    rest = rest_of(plan, after)
    if rest is None:
        return _cancelled_words(plan, after)
    part = next(part for part in plan.parts if part.task == rest.id)
    whole = max(before.content.quantity, part.done + part.pieces)
    done, assumed = after.content.quantity, part.assumed
    how_far = _how_far(done, whole, assumed=assumed)
    if assumed:
        how_far += (
            f" (by the planned pace; count them and enter pressday done {after.number} --pieces N --at "
            f"{clock(after.end)})"
        )
    by = f", {rest.operator}" if rest.operator else ""
    if before.content.quantity < whole:
        # It was stopped by the plan before.
        told = "not counted any more: about" if assumed else "counted:"
        return f"{told} {done} of {whole} done; the rest is run {rest.number}{by}, {place(rest)}"
    return f"stopped at {place(after)} {how_far}; the rest is run {rest.number}{by}, {place(rest)}"
