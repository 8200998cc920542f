"""The sentences of a run sheet: what to press and where, what to heed in a run, cautions."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING

from scheduler.domain.clock import clock, clock_up, short_date
from scheduler.domain.day_problem import RunContent
from scheduler.domain.figures import counted, nearest
from scheduler.domain.idle import LONG_IDLE, PressOff, press_off
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.press_order import press_after
from scheduler.domain.shop import Peel, Recipe
from scheduler.domain.stopping import stops
from scheduler.sheets.alone import alone_words
from scheduler.sheets.dayview import WHOEVER, place, switched_on_inside
from scheduler.sheets.follow import arrival_words
from scheduler.sheets.replaced import replaced_words, source_words
from scheduler.sheets.stopped import aside_words, stop_words
from scheduler.sheets.under_way import is_again, lot_words, part_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from scheduler.domain.pieces import Pieces

CAUTIONS = (
    "The makers' instructions for press, transfer and garment, local law and a licensed electrician "
    "come first. This sheet plans the work; it does not certify a setting.",
    "HOT: platens burn at a touch, and long after switching off. Let a press cool before cleaning it. "
    "Hold a hot platen by its handles and in gloves when you change it.",
    "CRUSH: one pair of hands at a press. Hands out before it closes. Guards, two-hand switches and "
    "stop buttons stay on and working.",
    "FUMES: air the room. Some films, glues and finishes give off fumes; read their safety data "
    "sheets. No sprays near a hot press.",
    "CURRENT: each press on the socket planned for it, no extension leads or adapters. Feel plug and "
    "lead: if one is warm, switch off and say so.",
    "BODY: table at elbow height, lift boxes with a straight back, take turns. Nobody near: press off.",
)
"""Printed on the first page of every sheet set."""

_LONG_WORD = re.compile(r"\S{21,}")


def soft(text: str) -> str:
    """Text whose very long words may be broken across lines; nothing visible is added."""

    def broken(match: re.Match[str]) -> str:
        out: list[str] = []
        run = 0
        for char in match.group():
            joins = unicodedata.combining(char) or char in "\u200d\ufe0f"
            if (run >= 14 and not joins) or (run >= 6 and out and out[-1] in "-_/.,;@+"):
                out.append("\u200b")
                run = 0
            out.append(char)
            run += 1
        return "".join(out)

    return _LONG_WORD.sub(broken, text)


def capital(text: str) -> str:
    """Text with a capital first letter; the rest stays as the shop wrote it."""
    return text[:1].upper() + text[1:]


def peel_words(recipe: Recipe) -> str:
    """How to peel, so that it can't be taken for another way."""
    wait = f"wait {recipe.cooling_s} s" if recipe.cooling_s else ""
    if recipe.peel is Peel.HOT:
        return "HOT, at once"
    if recipe.peel is Peel.WARM:
        return f"WARM, {wait or 'wait a little'}"
    if recipe.peel is Peel.COLD:
        return f"COLD, {wait or 'wait until cool'}"
    return f"NONE, lay flat, {wait}" if wait else "NONE"


def wait_words(recipe: Recipe, piece_s: float = 0.0) -> str:
    """What to do while a piece cools before its peel, and then; empty when there is nothing to wait for.

    Parameters
    ----------
    piece_s
        Seconds a piece: a warm one that is ready sooner can't wait until the next is pressed.
    """
    if not recipe.cooling_s or recipe.peel is Peel.HOT:
        return ""
    if recipe.peel is Peel.NONE:
        return f"Lay aside flat for {recipe.cooling_s} s, and press the next one."
    then = f", then press it again for {recipe.second_press_s} s" if recipe.second_press_s else ""
    if recipe.peel is Peel.WARM and recipe.cooling_s < piece_s:
        return (
            f"Lay aside and begin to load the next one; after {recipe.cooling_s} s peel this one, still "
            f"warm{then}, before you go on."
        )
    if recipe.peel is Peel.WARM:
        return f"Lay aside, press the next one, peel after {recipe.cooling_s} s, still warm{then}."
    return f"Lay aside, press the next one, peel when it has cooled{then}."


def recipe_rows(recipe: Recipe) -> list[list[str]]:
    """The recipe beside temperature and dwell, as label and value."""
    return [
        ["Pressure", recipe.pressure.value.upper()],
        ["Pre-press", f"{recipe.pre_press_s} s" if recipe.pre_press_s else "none"],
        ["Peel", peel_words(recipe)],
        ["Second press", f"{recipe.second_press_s} s" if recipe.second_press_s else "NO SECOND PRESS"],
    ]


def notes(
    plan: Plan, run: PlannedRun, presses: Sequence[str] = (), *, since: datetime | None = None
) -> list[str]:
    """What an operator must heed in a run and right after it, in the order in which it is done.

    Parameters
    ----------
    presses
        What to do afterwards only at these of its presses; empty: at all.
    since
        The moment of a new sheet: breaks and presses to switch on that are over by then are left out.
    """
    content, found = run.content, []
    if arrival := arrival_words(plan, run):
        found.append(arrival)
    if content.lots > 1:
        found.append(_lots_words(plan, run))
    if len(content.laid) > 1:
        found.append("Lay all the transfers above, then close once.")
    wait = wait_words(content.recipe, piece_seconds(plan, run))
    if wait:
        found.append(wait)
    stop = "see both presses open and empty, stop" if run.second_press else "stop"
    for start, end in (pause for pause in run.pauses if since is None or pause[1] > since):
        then = f"{stop}, and go on with it afterwards" if end < run.end else stop
        found.append(f"BREAK {clock(start)}–{clock(end)} falls in this run: {then}.")
        if alone := alone_words(plan, run.operator, start, end):
            found[-1] += f" {capital(alone)}."
    for warm in (one for one in switched_on_inside(plan, run) if since is None or one.start >= since):
        first = "see both presses open, then " if run.second_press else ""
        found.append(
            f"At {clock(warm.start)}, in this run: {first}SWITCH ON {warm.press}, set {warm.temp_c} °C."
        )
    part = part_words(plan, run)
    if part:
        found.insert(0, f"{part} {source_words(plan, run)}" if is_again(plan, run) else part)
    found = [*replaced_words(plan, run), *found]
    if aside := aside_words(plan, run):
        found.insert(0, aside)
    found += _overtime(plan, run)
    found += [after_words(plan, run, press) for press in presses or run.presses]
    return [soft(text) for text in found]


def _lots_words(plan: Plan, run: PlannedRun) -> str:
    same = [
        f"run {other.number}, {place(other)}, {short_date(other.pressing_start.date())} "
        f"{clock(other.pressing_start)}"
        for other in plan.runs
        if other.id != run.id
        and other.content.lots > 1
        and (other.content.order, other.content.placements) == (run.content.order, run.content.placements)
        and [laid.artwork for laid in other.content.laid] == [laid.artwork for laid in run.content.laid]
        and other.content.size_group == run.content.size_group
    ]
    rest = f" The rest: {'; '.join(same)}." if same else ""
    lot = capital(lot_words(plan, run))
    return f"{lot}: take only the {counted(run.content.quantity, 'piece')} above.{rest}"


def _overtime(plan: Plan, run: PlannedRun) -> list[str]:
    ends = [
        one.end for one in plan.shifts if one.operator == run.operator and one.start <= run.start < one.end
    ] or [
        one.end
        for one in plan.shifts
        if one.operator == run.operator and one.end.date() == run.start.date() and one.end <= run.start
    ]
    if not ends or run.end <= ends[-1]:
        return []
    return [f"OVERTIME: {clock(max(run.start, ends[-1]))}–{clock_up(run.end)} is after the shift's end."]


def stop_line(plan: Plan, run: PlannedRun, presses: Sequence[str] = ()) -> str:
    """What is said to whoever must stop a run, its order being cancelled, and of its presses then.

    Parameters
    ----------
    presses
        Only these of its presses; empty: all.
    """
    words = (after_words(plan, run, press) for press in presses or run.presses)
    return soft(" ".join([stop_words(plan, run, on_paper=True), *words]))


def stop_notes(plan: Plan) -> tuple[str, ...]:
    """The same of every run that stops, for whoever is at a computer: who stops it, and the presses named."""
    return tuple(
        " ".join(
            [
                f"{run.operator or place(run)}: {stop_words(plan, run)}",
                *(after_words(plan, run, press, named=True) for press in run.presses),
            ]
        )
        for run in stops(plan)
    )


def after_words(plan: Plan, run: PlannedRun, press: str, *, named: bool = False) -> str:
    """What to do with a press of a run when that is over; its name is needed away from its own sheet."""
    following = press_after(plan, run, press)
    this = press if run.second_press or named else "this press"
    if following is None:
        return f"When done: last run on {this} today, switch it off."
    off = press_off(plan, run, press)
    if off is not None:
        return f"When done: SWITCH {this.upper()} OFF{_why_off(off)}. {_on_again(off)}"
    if following.temp_c != run.temp_c:
        return (
            f"When done: set {this} to {following.temp_c} °C straight away, "
            f"for run {following.number} at {clock(following.pressing_start)}."
        )
    when = clock(following.pressing_start)
    return f"When done: leave {this} at {run.temp_c} °C, for run {following.number} at {when}."


def _why_off(off: PressOff) -> str:
    """Why a press goes off, where it isn't just that its next run is long after."""
    if not off.empty or off.empty[0][0] - off.off >= LONG_IDLE:
        return ""
    spans = " and ".join(f"{clock(start)}–{clock(end)}" for start, end in off.empty)
    return f", nobody of the crew is in {spans}"


def _on_again(off: PressOff) -> str:
    """Who switches a press on again and when."""
    needed = f"for run {off.following.number} at {clock(off.following.pressing_start)}"
    if off.again is None:
        return f"Switch it on again {needed}."
    who = f"{off.again.by} switches it on" if off.again.by else f"It is switched on {WHOEVER}"
    return f"{who} again at {clock(off.again.start)}, {needed}."


def garment_lines(pieces: Iterable[Pieces]) -> list[dict[str, object]]:
    """Sizes with quantities, one entry for each garment, colour and fabric."""
    found: dict[tuple[str, str, str], list[dict[str, object]]] = {}
    for one in pieces:
        sizes = found.setdefault((one.garment, one.colour, one.fabric), [])
        sizes.append({"size": soft(one.size), "quantity": str(one.quantity)})
    return [
        {"text": soft(capital(", ".join(part for part in key if part))), "sizes": sizes}
        for key, sizes in found.items()
    ]


def name_lists(content: RunContent) -> list[dict[str, object]]:
    """The personal pieces of a run to tick off, one list for each garment (and placement of several)."""
    lists: dict[str, list[dict[str, str]]] = {}
    for one in content.names:
        parts = [one.garment, one.colour]
        if len(content.laid) > 1 and one.placement:
            parts.append(f"at {one.placement}")
        rows = lists.setdefault(capital(", ".join(part for part in parts if part)), [])
        rows.append(
            {
                "at": str(len(rows) + 1),
                "size": soft(one.size or "any"),
                "name": soft(one.name),
                "number": soft(one.number),
            }
        )
    return [{"text": soft(text), "rows": rows} for text, rows in lists.items()]


def laid_lines(content: RunContent) -> list[dict[str, object]]:
    """Where each transfer goes and what it is."""
    found: list[dict[str, object]] = []
    alone = len(content.laid) == 1
    for laid in content.laid:
        side = "OUTSIDE"
        if laid.inside:
            side = "INSIDE: turn the garment inside out, and back" if alone else "INSIDE"
        size = f"{laid.width_mm} × {laid.height_mm} mm (width × height)"
        if laid.turned:
            size += ", TURNED a quarter on the platen"
        if laid.spare:
            size += f", {laid.spare} spare"
        found.append(
            {
                "placement": soft(capital(laid.placement)),
                "side": side,
                "position": soft(laid.position),
                "transfer": soft(f"{laid.transfer}, {size}"),
                "artwork": soft(laid.artwork),
            }
        )
    return found


def pace_words(plan: Plan, run: PlannedRun) -> str:
    """The planned seconds per piece at the pace of whoever presses, the allowance in them."""
    seconds = piece_seconds(plan, run)
    return f"about {nearest(seconds)} s a piece" if seconds else ""


def piece_seconds(plan: Plan, run: PlannedRun) -> float:
    """Seconds per piece by which the run is planned: with the allowance, at its operator's pace."""
    pace = next((one.pace for one in plan.shop.crew if one.name == run.operator), 1.0)
    return run.cycle_s * (1 + plan.shop.allowances.relaxation) / pace
