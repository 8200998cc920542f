"""Presses that somebody else switches on than by the plan before, in words for whoever has a sheet of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from itertools import product

from scheduler.domain.clock import BECOMES, becomes, moment_words, of_day, short_date
from scheduler.domain.differences import WORTH_PAPER_MIN
from scheduler.domain.paper import Side
from scheduler.domain.plan import Plan, PlannedWarmUp
from scheduler.sheets.dayview import switched_on_by
from scheduler.sheets.paper import switch_on_line


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchOns:
    """What is to be said on one sheet: what came to a person, went from one, or is another's at a press."""

    added: tuple[str, ...] = ()
    moved: tuple[str, ...] = ()
    dropped: tuple[str, ...] = ()


def switch_on_changes(
    old: Plan, new: Plan, name: str, side: Side, on_paper: Mapping[str, datetime]
) -> SwitchOns:
    """What a person's or a press's sheet has to say of switching on; what is over by then is left out.

    Parameters
    ----------
    on_paper
        When something is to be done by the sheet in hand, by `PaperLine.what`.
    """
    pairs = tuple(_to_come(old, new)) if name else ()
    both = [(was, now) for was, now in pairs if was is not None and now is not None]
    if side == "press":
        here = [(was, now) for was, now in both if now.press == name]
        return SwitchOns(
            moved=tuple(
                f"switched on {_by(new, now)} at {_when(new, now)}, not {_by(old, was)}"
                for was, now in here
                if was.by != now.by
            )
            + tuple(
                f"switched on {_by(new, now)}{_unless_timed(new, now, words)}: {words}"
                for was, now in here
                if was.by == now.by and (words := _otherwise(old, new, was, now, on_paper))
            )
        )
    return SwitchOns(
        added=tuple(
            f"switch on {now.press} at {_when(new, now)}{_from(old, was)}"
            for was, now in pairs
            if now is not None and now.by == name and (was is None or was.by != name)
        ),
        moved=tuple(
            f"switch on {now.press if BECOMES in words else _which(new, now)}: {words}"
            for was, now in both
            if was.by == now.by == name and (words := _otherwise(old, new, was, now, on_paper))
        ),
        dropped=tuple(
            f"switch on {was.press} at {_when(new, was)}, {_goes_to(new, now)}"
            for was, now in pairs
            if was is not None and was.by == name and (now is None or now.by != name)
        ),
    )


def _otherwise(
    old: Plan, new: Plan, was: PlannedWarmUp, now: PlannedWarmUp, on_paper: Mapping[str, datetime]
) -> str:
    """What is different where the same one switches a press on; empty: too little to be said."""
    parts = []
    before = on_paper.get(switch_on_line(old, was), was.start)
    if abs((now.start - before).total_seconds()) >= WORTH_PAPER_MIN * 60:
        parts.append(becomes(before, now.start, new.day))
    if was.temp_c != now.temp_c:
        parts.append(f"set {now.temp_c} °C, not {was.temp_c} °C")
    if was.circuit != now.circuit:
        parts.append(f"circuit {now.circuit or 'none'}, not {was.circuit or 'none'}")
    return ", ".join(parts)


def _to_come(old: Plan, new: Plan) -> Iterator[tuple[PlannedWarmUp | None, PlannedWarmUp | None]]:
    """Each time that a press is still to be switched on, by the old plan and by the new one.

    A press may be switched on several times a day. Of those of a press and day, the same person's at about
    the same time belong together first, then those for the same run, then the person's others; the nearest
    come first.
    """
    there: dict[tuple[str, date], tuple[list[PlannedWarmUp], list[PlannedWarmUp]]] = {}
    for place, plan in enumerate((old, new)):
        for one in plan.warm_ups:
            if new.at is None or one.start > new.at:
                there.setdefault((one.press, one.start.date()), ([], []))[place].append(one)
    for before, after in there.values():
        pairs = sorted(product(before, after), key=lambda pair: _unlike(old, new, *pair))
        was_left, now_left = list(before), list(after)
        for was, now in pairs:
            if was in was_left and now in now_left:
                was_left.remove(was)
                now_left.remove(now)
                yield was, now
        yield from ((was, None) for was in was_left)
        yield from ((None, now) for now in now_left)


def _unlike(old: Plan, new: Plan, was: PlannedWarmUp, now: PlannedWarmUp) -> tuple[int, float]:
    """How little two switch-ons of a press have to do with each other: the least alike is the largest."""
    apart = abs((now.start - was.start).total_seconds())
    if was.by == now.by and apart < WORTH_PAPER_MIN * 60:
        return 0, apart
    if _first_run(old, was) == _first_run(new, now):
        return 1, apart
    return (2 if was.by == now.by else 3), apart


def _first_run(plan: Plan, warm: PlannedWarmUp) -> str:
    """The run that a press is switched on for; empty when none follows."""
    later = [run for run in plan.runs if warm.press in run.presses and run.pressing_start >= warm.start]
    first = min(later, key=lambda run: run.pressing_start, default=None)
    return first.id if first else ""


def _from(old: Plan, was: PlannedWarmUp | None) -> str:
    if was is None:
        return ""
    return f", from {was.by}" if was.by else f", until now {_by(old, was)}"


def _goes_to(new: Plan, now: PlannedWarmUp | None) -> str:
    if now is None:
        return "not needed any more"
    return f"goes to {now.by}" if now.by else f"now {_by(new, now)}"


def _which(plan: Plan, warm: PlannedWarmUp) -> str:
    """The press; with the time where it is switched on more than once that day."""
    same = [one for one in plan.warm_ups if one.press == warm.press and one.start.date() == warm.start.date()]
    if len(same) > 1:
        return f"{warm.press} at {_when(plan, warm)}"
    return f"{warm.press}{of_day(warm.start.date(), plan.day)}"


def _unless_timed(plan: Plan, warm: PlannedWarmUp, words: str) -> str:
    """The day of a switch-on, where that isn't the planned one and the words have no time with its date."""
    day = warm.start.date()
    return "" if BECOMES in words or day == plan.day else f" on {short_date(day)}"


def _by(plan: Plan, warm: PlannedWarmUp) -> str:
    """Who switches a press on: "by Marta", "by timer"."""
    return f"by {warm.by}" if warm.by else switched_on_by(plan, warm)


def _when(plan: Plan, warm: PlannedWarmUp) -> str:
    return moment_words(warm.start, plan.day)
