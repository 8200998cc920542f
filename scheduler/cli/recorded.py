"""Times from the days in the day book, in lines for the terminal and as data."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from scheduler.cli.ends import counted
from scheduler.cli.figures import figure, plain
from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from scheduler.daybook.book import DayBook
    from scheduler.domain.shop import Operator
    from scheduler.timing.recorded import Recorded, Unusable
    from scheduler.timing.standards import Judged, Learnt, Share, Standard

PACE = (
    "Pace is for planning: how long to reckon when somebody does the work. It depends on boxes, presses and "
    "who helps whom; it is no measure of a person. People stand in the crew's order, not by pace."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The recorded days of a folder of plans.

    Attributes
    ----------
    crew
        As in the newest of their plans.
    """

    days: tuple[date, ...]
    runs: tuple[Recorded, ...]
    unusable: tuple[Unusable, ...]
    crew: tuple[Operator, ...]


def read_days(plans: Path | None, since: date | None, until: date | None) -> Days:
    """Every run of the planned days that was really timed.

    Raises
    ------
    BadInput
        When there is no day book, or no run in it with both times.
    """
    from scheduler.cli.books import whole_book

    with whole_book(plans) as book:
        days = days_in(book, since, until)
        if not days.runs:
            found = "no run with both its start and its end"
            mend = "Enter them: pressday started and pressday done, or a table with pressday progress."
            raise BadInput(
                [
                    Fault(
                        code="nothing-recorded",
                        source=Source(file=str(book.file)),
                        found=found,
                        expected="runs of the days asked for, with both times",
                        mend=mend,
                    )
                ]
            )
    return days


def days_in(book: DayBook, since: date | None, until: date | None, *, most: int | None = None) -> Days:
    """The recorded days of an open day book; without any when nothing was timed.

    Parameters
    ----------
    most
        Only so many of the last days with a finished run; None: all of them.
    """
    from scheduler.timing.recorded import recorded

    found: list[tuple[date, tuple[Recorded, ...], tuple[Unusable, ...]]] = []
    placed = {one.day for one in book.plans() if one.outcome == "in place"}
    crew: tuple[Operator, ...] = ()
    for day in sorted(placed, reverse=True):
        if (since and day < since) or (until and day > until):
            continue
        if len(found) == most:
            break
        newest, events = book.newest(day), book.events(day)
        if newest is None or (crew and not events):
            continue
        plan = book.plan(newest)
        crew = crew or plan.shop.crew
        timed, left = recorded(plan, events)
        if timed or left:
            found.append((day, timed, left))
    found.reverse()
    return Days(
        days=tuple(day for day, _, _ in found),
        runs=tuple(run for _, timed, _ in found for run in timed),
        unusable=tuple(run for _, _, left in found for run in left),
        crew=crew,
    )


def recorded_lines(days: Days, judged: Judged, confidence: float) -> list[str]:
    """What the days say of the standards, for people."""
    from scheduler.timing.standards import Kind

    pieces = sum(run.pieces for run in days.runs)
    lines = [
        f"{counted(len(days.days), 'day')}, {counted(len(days.runs), 'run')} with start and end, "
        f"{counted(pieces, 'piece')}.",
        *_unusable(days.unusable),
        "Shares of the planned time; in brackets where they lie, all of them at once at "
        f"{figure(100 * confidence)} %. With few runs a guess stays close to 1, the standard.",
    ]
    for kind in Kind:
        own = [one for one in judged.standards if one.kind is kind]
        if not own:
            continue
        lines += ["", _title(kind)]
        lines += [_standard(one, days) for one in own]
        if kind is Kind.PERSON:
            lines.append(f"  {PACE}")
    lines += _learnt(judged)
    lines += _odd(judged)
    return lines


def _unusable(unusable: Iterable[Unusable]) -> list[str]:
    return [
        f"{counted(number, 'finished run')} left out: {why}."
        for why, number in Counter(one.why for one in unusable).items()
    ]


def _title(kind: str) -> str:
    titles = {
        "all work": "All work together, whichever press, placement, transfer and person",
        "person": "People, beside all work",
        "press": "Presses",
    }
    return titles.get(kind, f"{kind.capitalize()}s") + ":"


def _standard(one: Standard, days: Days) -> str:
    head = f"{one.name}: " if one.name else ""
    person = one.kind.value == "person"
    share = one.beside_all if person else one.of_planned
    words = f"  {head}{share.best:.2f} ({share.low:.2f} to {share.high:.2f}), {counted(one.runs, 'run')}"
    if person:
        now, new = _paces(one, days)
        if now is not None and new is not None:
            words += f"; planned with a pace of {figure(100 * now)} %"
            words += f", {figure(100 * new, 0)} % would be right" if one.off else ", which holds"
    elif one.off:
        words += f"; {_off_words(one)}"
    else:
        words += "; not off as far as these days tell"
    if one.together_with:
        words += f"; not to be told apart from {', '.join(one.together_with)}"
    return words


def _off_words(one: Standard) -> str:
    """In which direction a standard is off, for which work, and what it should be."""
    way = "short" if one.should_be_s > one.planned_piece_s else "long"
    whole = one.kind.value == "all work"
    where = f"too {way} at all presses and for all people alike" if whole else f"too {way} here"
    return (
        f"the planned times are {where}: {figure(one.planned_piece_s, 1)} s a piece are planned, "
        f"{figure(one.should_be_s, 1)} s would be right"
    )


def _paces(one: Standard, days: Days) -> tuple[float | None, float | None]:
    """The pace that a person is planned with, and what it should be."""
    now = next((person.pace for person in days.crew if person.name == one.name), None)
    return now, None if now is None else now / one.beside_all.best


def _learnt(judged: Judged) -> list[str]:
    if not judged.learnt:
        return []
    return ["", "New work that gets faster:", *(_learning(one) for one in judged.learnt)]


def _learning(one: Learnt) -> str:
    found = one.learning
    rate, low, high = (figure(100 * share, 0) for share in (found.rate, found.rate_low, found.rate_high))
    return (
        f"  {one.transfer}, {one.placement}: each doubling of the pieces takes {rate} % of the time "
        f"({low} to {high} %), by a unit curve; {found.first:.2f} of the planned time at the first piece, "
        f"{found.now:.2f} after {found.pieces}"
    )


def _odd(judged: Judged) -> list[str]:
    if not judged.odd:
        return []
    lines = ["", "Runs quite unlike the rest; they count less:"]
    return lines + [
        f"  {run.day} run {run.number} (order {run.order}): {figure(run.took_s / 60, 1)} min of pressing, "
        f"{figure(run.planned_s / 60, 1)} planned"
        for run in judged.odd
    ]


def recorded_document(days: Days, judged: Judged, confidence: float) -> dict[str, Any]:
    """The same for programs; times in seconds, shares as parts of 1."""
    return {
        "days": [day.isoformat() for day in days.days],
        "runs": len(days.runs),
        "pieces": sum(run.pieces for run in days.runs),
        "left_out": [
            {"day": one.day.isoformat(), "run": one.number, "why": one.why.value} for one in days.unusable
        ],
        "confidence": confidence,
        "standards": [_standard_json(one, days) for one in judged.standards],
        "pace_note": PACE,
        "learning": [
            {
                "transfer": one.transfer,
                "placement": one.placement,
                "model": "unit curve",
                "rate": plain(one.learning.rate),
                "rate_low": plain(one.learning.rate_low),
                "rate_high": plain(one.learning.rate_high),
                "pieces": one.learning.pieces,
                "first": plain(one.learning.first),
                "now": plain(one.learning.now),
            }
            for one in judged.learnt
        ],
        "odd_runs": [
            {
                "day": run.day.isoformat(),
                "run": run.number,
                "took_s": plain(run.took_s),
                "planned_s": plain(run.planned_s),
            }
            for run in judged.odd
        ],
    }


def _standard_json(one: Standard, days: Days) -> dict[str, Any]:
    now, new = _paces(one, days) if one.kind.value == "person" else (None, None)
    return {
        "kind": one.kind.value,
        "name": one.name,
        "runs": one.runs,
        "pieces": one.pieces,
        "of_planned": _share_json(one.of_planned),
        "beside_all": _share_json(one.beside_all),
        "chance": plain(one.chance),
        "off": one.off,
        "planned_piece_s": plain(one.planned_piece_s),
        "should_be_piece_s": plain(one.should_be_s),
        "pace_planned": plain(now),
        "pace_should_be": plain(new),
        "together_with": list(one.together_with),
    }


def _share_json(share: Share) -> dict[str, Any]:
    return {"best": plain(share.best), "low": plain(share.low), "high": plain(share.high)}
