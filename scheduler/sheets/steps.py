"""What is done at a press before a run, step by step."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from scheduler.domain.clock import clock, minutes
from scheduler.domain.press_order import press_before
from scheduler.sheets.dayview import (
    WHOEVER,
    changeover_of,
    switched_on_by,
    switched_on_while_changing,
    warm_up_of,
)
from scheduler.sheets.lines import capital, soft

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from scheduler.domain.plan import ChangeoverPart, Plan, PlannedChangeover, PlannedRun, PlannedWarmUp


def steps(
    plan: Plan, run: PlannedRun, presses: Sequence[str] = (), *, since: datetime | None = None
) -> list[dict[str, object]]:
    """What must be done before a run, in order: press by press, each step with its press where there are two.

    Parameters
    ----------
    presses
        Only those at these of its presses; empty: at all.
    since
        The moment of a new sheet: a press that was switched on before it is on. None: as in the whole day.

    Returns
    -------
    list of dict
        `text`, `minutes` (text), and `hands`: True for a step done by hand, False for waiting.
    """
    found: list[dict[str, object]] = []
    by_hand: list[dict[str, object]] = []
    wanted = presses or run.presses
    for press in wanted:
        at = f"{press}: " if len(wanted) > 1 else ""
        alone, hands = _steps_at(plan, run, press, at, since)
        found += alone
        by_hand += hands
        if at and not alone and not hands:
            by_hand.append({"text": soft(f"{at}nothing to change."), "minutes": "", "hands": False})
    # Where nothing is to be done at any press, `unchanged` says so.
    done = [*found, *by_hand]
    return done if any(changed_at(plan, run, press) for press in wanted) else []


def switch_on_lines(plan: Plan, run: PlannedRun) -> list[str]:
    """Presses to switch on while the one of a run is being changed over, with their times."""
    return [
        soft(f"{clock(one.start)}, before the first piece: SWITCH ON {one.press}, set {one.temp_c} °C.")
        for one in switched_on_while_changing(plan, run)
    ]


def changed_at(plan: Plan, run: PlannedRun, press: str) -> bool:
    """Whether something is to be done, or waited for, at a press before a run."""
    return changeover_of(plan, run, press) is not None or warm_up_of(plan, run, press) is not None


def _steps_at(
    plan: Plan, run: PlannedRun, press: str, at: str, since: datetime | None
) -> tuple[list[dict[str, object]], list[dict[str, object]]]:
    """What goes on by itself at one press, and what is done there by hand."""
    change = changeover_of(plan, run, press)
    before = press_before(plan, run, press)
    alone: list[dict[str, object]] = []
    by_hand: list[dict[str, object]] = []
    warm = warm_up_of(plan, run, press)
    if warm is not None and since is not None and warm.start < since:
        alone.append({"text": soft(f"{at}{_on_words(warm, since)}"), "minutes": "", "hands": False})
    elif warm is not None:
        who = f"{warm.by} switches it on" if warm.by else f"switched on {switched_on_by(plan, warm)}"
        cold = "cold" if at else "Press is cold"
        text = f"{at}{cold}: {who} at {clock(warm.start)}, ready at {clock(warm.ready)}."
        if not warm.by and switched_on_by(plan, warm) == WHOEVER:
            text += " If it is still off, switch it on at once and begin when it is hot."
        alone.append({"text": soft(text), "minutes": "", "hands": False})
    for part in change.parts if change else ():
        name = part.name if at else capital(part.name)
        what = _what_words(part, before)
        text = at + (f"{name}: {what}" if what else name)
        if part.untold:
            text += (
                f", at once, unless it is set already. It takes {minutes(part.minutes)}: begin when the "
                f"press shows {part.after}"
            )
            by_hand.insert(0, {"text": soft(text), "minutes": "", "hands": True})
            continue
        if part.hands_off:
            text += _heat_words(change, before)
            alone.append({"text": soft(text), "minutes": minutes(part.minutes), "hands": False})
            continue
        heating = min(part.heating_minutes, part.minutes)
        by_hand.append({"text": soft(text), "minutes": minutes(part.minutes - heating), "hands": True})
        if heating:
            by_hand.append({"text": soft(f"{at}let it heat"), "minutes": minutes(heating), "hands": False})
    return alone, by_hand


def _on_words(warm: PlannedWarmUp, since: datetime) -> str:
    """That a press was switched on before a new sheet is handed out, and when it is hot."""
    ready = f"ready at {clock(warm.ready)}" if warm.ready > since else "hot by now"
    return f"On since {clock(warm.start)} by the sheet before, {ready}."


def _what_words(part: ChangeoverPart, last: PlannedRun | None) -> str:
    """From what to what; of a platen also off which press it comes, and where the last one went.

    A press that was down is planned without the platen of its last run, which may be used elsewhere.
    """
    if part.went_to:
        what = f"{part.after} ({part.before} went to {part.went_to})"
    elif part.before and part.after:
        what = f"{part.before} → {part.after}"
    else:
        what = part.after or part.before
    if part.taken_from:
        return f"{what}, take it from {part.taken_from}"
    still = "platen" in part.name and not part.before and last is not None and last.platen == part.after
    return f"{what}, unless it is on still" if still else what


def _heat_words(change: PlannedChangeover | None, before: PlannedRun | None) -> str:
    if change is None or before is None:
        return ""
    there = clock(before.end + timedelta(minutes=change.hands_off_minutes))
    return f", set when run {before.number} ended ({clock(before.end)}), ready at {there}"


def unchanged(plan: Plan, run: PlannedRun, presses: Sequence[str] = ()) -> str:
    """What to say where nothing changes; empty when there is a changeover."""
    wanted = presses or run.presses
    before = [press_before(plan, run, press) for press in wanted]
    last = [one.number for one in before if one is not None]
    if len(last) < len(wanted) or any(changed_at(plan, run, press) for press in wanted):
        return ""
    if len(wanted) == 1:
        return f"Nothing to change: press stays as it was for run {last[0]}."
    if len(set(last)) == 1:
        return f"Nothing to change: both presses stay as they were for run {last[0]}."
    stay = " and ".join(f"{press} as for run {number}" for press, number in zip(wanted, last, strict=True))
    return soft(f"Nothing to change: {stay}.")
