"""Presses that somebody else switches on than by the plan before, in words for whoever has a sheet of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from itertools import zip_longest

from scheduler.domain.clock import clock, short_date
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
                f"switched on {_by(new, now)}: {words}"
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
            f"switch on {now.press}: {words}"
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
        parts.append(f"{clock(before)} becomes {clock(now.start)}")
    if was.temp_c != now.temp_c:
        parts.append(f"set {now.temp_c} °C, not {was.temp_c} °C")
    if was.circuit != now.circuit:
        parts.append(f"circuit {now.circuit or 'none'}, not {was.circuit or 'none'}")
    return ", ".join(parts)


def _to_come(old: Plan, new: Plan) -> Iterator[tuple[PlannedWarmUp | None, PlannedWarmUp | None]]:
    """Each press that is still to be switched on, by the old plan and by the new one."""
    there: dict[tuple[str, date], tuple[list[PlannedWarmUp], list[PlannedWarmUp]]] = {}
    for place, plan in enumerate((old, new)):
        for one in plan.warm_ups:
            if new.at is None or one.start > new.at:
                there.setdefault((one.press, one.start.date()), ([], []))[place].append(one)
    for before, after in there.values():
        yield from zip_longest(before, after)


def _from(old: Plan, was: PlannedWarmUp | None) -> str:
    if was is None:
        return ""
    return f", from {was.by}" if was.by else f", until now {_by(old, was)}"


def _goes_to(new: Plan, now: PlannedWarmUp | None) -> str:
    if now is None:
        return "not needed any more"
    return f"goes to {now.by}" if now.by else f"now {_by(new, now)}"


def _by(plan: Plan, warm: PlannedWarmUp) -> str:
    """Who switches a press on: "by Marta", "by timer"."""
    return f"by {warm.by}" if warm.by else switched_on_by(plan, warm)


def _when(plan: Plan, warm: PlannedWarmUp) -> str:
    day = "" if warm.start.date() == plan.day else f"{short_date(warm.start.date())} "
    return day + clock(warm.start)
