"""Times from the days in the day book, in lines for the terminal and as data."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from scheduler.answers.numbers import plain
from scheduler.domain.figures import counted, figure, fixed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.plans.recorded import Days
    from scheduler.timing.judged import Judged, Learnt, Rest, Share, Standard
    from scheduler.timing.recorded import Unusable

PACE = (
    "Pace is for planning: how long to reckon when somebody does the work. It depends on boxes, presses and "
    "who helps whom; it is no measure of a person. People stand in the crew's order, not by pace."
)


def recorded_lines(days: Days, judged: Judged, confidence: float) -> list[str]:
    """What the days say of the standards, for people."""
    from scheduler.timing.judged import Kind

    pieces = sum(run.pieces for run in days.runs)
    lines = [
        f"{counted(len(days.days), 'day')}, {counted(len(days.runs), 'run')} with start and end, "
        f"{counted(pieces, 'piece')}.",
        *_unusable(days.unusable),
        "Shares of the planned time; in brackets where they lie, all of them at once at "
        f"{figure(100 * confidence)} %. With few runs a guess stays close to 1, the standard.",
    ]
    told: set[str] = set()
    for kind in Kind:
        own = [one for one in judged.standards if one.kind is kind]
        if not own:
            continue
        lines += ["", _title(kind)]
        for one in own:
            lines.append(_all_work(one, judged) if kind is Kind.ALL else _standard(one, days, told))
            told.add(f"{one.kind} {one.name}")
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


def _all_work(one: Standard, judged: Judged) -> str:
    """All work as it was, and what remains of it without what is off by itself."""
    words = f"  {_share(one.of_planned)}, {_runs(one.runs)}"
    rest = judged.rest
    if rest is not None:
        words += f"; without what is called too short or too long below: {_share(rest.of_planned)}, "
        words += _runs(rest.runs)
    if not one.off:
        return f"{words}; not off as far as these days tell"
    return f"{words}; the planned times are {_off_words(rest or one, _where(judged))}"


def _where(judged: Judged) -> str:
    """For which work all work is off."""
    if judged.alike:
        return " at all presses and for all people alike"
    if judged.carried_by:
        return f" on average, but not without the runs of {judged.carried_by}: look there first"
    return " on average, but these days don't show that it is so for all work alike"


def _standard(one: Standard, days: Days, told: Iterable[str]) -> str:
    """A line for a standard; those that can't be told apart share the line of the first of them.

    Parameters
    ----------
    told
        What stands above, each as its kind and name.
    """
    before = next((other for other in one.together_with if other in told), None)
    person = one.kind.value == "person"
    if before is not None:
        words = f"  {one.name}: has the very same {counted(one.runs, 'run')} as {before}, see there"
        pace = _paces(one, days)[0] if person else None
        return words if pace is None else f"{words}; planned with a pace of {figure(100 * pace)} %"
    name = " with ".join([one.name, *one.together_with])
    words = f"  {name}: {_share(one.beside_all if person else one.of_planned)}, {_runs(one.runs)}"
    if person:
        now, new = _paces(one, days)
        if now is not None and new is not None:
            words += f"; planned with a pace of {figure(100 * now)} %"
            holds = "nothing speaks against it so far" if _few(one.runs) else "which holds"
            words += f", {figure(100 * new, 0)} % would be right" if one.off else f", {holds}"
    elif one.off:
        words += f"; the planned times are {_off_words(one, ' here')}"
    else:
        words += "; not off as far as these days tell"
    if one.together_with:
        words += "; they always came together, so this is of them together and can't be told apart"
    return words


def _share(share: Share) -> str:
    return f"{fixed(share.best, 2)} ({fixed(share.low, 2)} to {fixed(share.high, 2)})"


def _runs(number: int) -> str:
    """How many runs; of few of them, that it is a first guess."""
    from scheduler.timing.study import FEW

    few = f", a first guess from so few ({FEW} are needed at least)" if _few(number) else ""
    return f"{counted(number, 'run')}{few}"


def _few(runs: int) -> bool:
    """Whether there are fewer runs than a study needs of readings."""
    from scheduler.timing.study import FEW

    return runs < FEW


def _off_words(one: Standard | Rest, where: str) -> str:
    """In which direction times are off, and what they should be."""
    way = "short" if one.should_be_s > one.planned_piece_s else "long"
    return (
        f"too {way}{where}: {figure(one.planned_piece_s, 1)} s a piece are planned, "
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
        f"({low} to {high} %), by a unit curve; {fixed(found.first, 2)} of the planned time at the first "
        f"piece, {fixed(found.now, 2)} after {found.pieces}"
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
        "all_work": {
            "off": judged.standards[0].off,
            "alike": judged.alike,
            "carried_by": judged.carried_by or None,
            "without_what_is_off": None if judged.rest is None else _rest_json(judged.rest),
        },
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


def _rest_json(rest: Rest) -> dict[str, Any]:
    return {
        "runs": rest.runs,
        "of_planned": _share_json(rest.of_planned),
        "planned_piece_s": plain(rest.planned_piece_s),
        "should_be_piece_s": plain(rest.should_be_s),
    }


def _standard_json(one: Standard, days: Days) -> dict[str, Any]:
    now, new = _paces(one, days) if one.kind.value == "person" else (None, None)
    return {
        "kind": one.kind.value,
        "name": one.name,
        "runs": one.runs,
        "few_runs": _few(one.runs),
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
