"""One operator at two presses side by side: the cycle in words, its caution, the second press's sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.domain.clock import clock
from scheduler.domain.figures import counted
from scheduler.domain.shop import Peel
from scheduler.sheets.lines import notes, recipe_rows, soft
from scheduler.sheets.steps import steps, unchanged
from scheduler.sheets.under_way import lot_words

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from scheduler.domain.day_problem import RunContent
    from scheduler.domain.plan import Plan, PlannedRun

HANDS = (
    "HANDS: never reach under a press that can open or close by itself, nor hold on to its edge; wait until "
    "it stands fully open. Keep both presses in sight; before you leave, see both open. The makers' "
    "instructions come first, also on whether a press may stay closed with nobody at it."
)
"""Printed with every run at two presses."""


def rhythm(run: PlannedRun) -> list[str]:
    """How garments alternate between the two presses of a run, step by step."""
    content, first, second = run.content, run.press, run.second_press
    recipe = content.recipe
    told = [
        f"{first}: {_load(content)}. Go to {second}: the same there.",
        f"Back at {first}, when it has opened by itself: {_take_off(content)}; next one: {_load(content)}.",
        f"{second}, when it has opened by itself: the same. Go on so: one garment here, the next one there.",
    ]
    stay = [
        words
        for seconds, words in ((recipe.pre_press_s, "pre-press"), (recipe.second_press_s, "second press"))
        if seconds
    ]
    if stay:
        told.append(f"Stay for {' and '.join(stay)}: a press is left alone during the dwell only.")
    told.append("At the end see both presses open and empty.")
    if content.names:
        told.append("Names and numbers in the order of the list: one here, the next one there.")
    return [soft(text) for text in told]


def _load(content: RunContent) -> str:
    before = f"pre-press {content.recipe.pre_press_s} s, " if content.recipe.pre_press_s else ""
    return f"load, {before}lay the transfer{'s' if len(content.laid) > 1 else ''}, close"


def _take_off(content: RunContent) -> str:
    recipe = content.recipe
    if recipe.cooling_s and recipe.peel is not Peel.HOT:
        return "unload and lay aside to cool"
    peel = "" if recipe.peel is Peel.NONE else f"peel {recipe.peel.value}, "
    again = f"second press {recipe.second_press_s} s, " if recipe.second_press_s else ""
    return f"{peel}{again}unload"


def counted_pieces(runs: Sequence[PlannedRun], press: str) -> str:
    """The pieces of a press's sheet; those of a run at two presses stand on both sheets, and it says so."""
    pieces = counted(sum(run.content.quantity for run in runs), "piece")
    shared: dict[str, int] = {}
    for run in runs:
        for other in run.presses:
            if press in run.presses and other != press:
                shared[other] = shared.get(other, 0) + run.content.quantity
    every = sum(shared.values()) == sum(run.content.quantity for run in runs)
    if every and len(shared) == 1:
        return f"{pieces} together with {next(iter(shared))}"
    said = [f"{number} of them together with {other}" for other, number in shared.items()]
    return ", ".join([pieces, *said])


def together_with(run: PlannedRun, press: str) -> str:
    """Under the pieces of a run on the sheet of one of its two presses: the other one; else nothing."""
    others = [other for other in run.presses if other != press]
    return soft(f"together with {others[0]}") if press in run.presses and others else ""


def second_entry(plan: Plan, run: PlannedRun, *, since: datetime | None = None) -> dict[str, object]:
    """All texts of a run on the sheet of its second press: what is set there, and where the rest stands."""
    content, press = run.content, run.second_press
    whose = f"{run.operator}'s sheet" if run.operator else f"the sheet of {run.press}"
    return {
        "type": "second",
        "number": str(run.number),
        "start": clock(run.pressing_start),
        "end": clock(run.end),
        "where_label": "Operator",
        "where": soft(run.operator or "nobody needed"),
        "platen": soft(run.platen or "none"),
        "quantity": str(content.quantity),
        "unit": "piece" if content.quantity == 1 else "pieces",
        "with": together_with(run, press),
        "lot": lot_words(plan, run),
        "together": soft(f"Together with {run.press}: see {whose}."),
        "order": soft(f"Order {content.order}"),
        "customer": soft(content.customer),
        "temp": str(run.temp_c),
        "dwell": str(content.recipe.dwell_s),
        "recipe": recipe_rows(content.recipe),
        "hands": HANDS,
        "notes": notes(plan, run, (press,))[-1:],
        "change": {
            "head": f"Before run {run.number}",
            "on": [],
            "steps": steps(plan, run, (press,), since=since),
            "none": unchanged(plan, run, (press,)),
        },
    }
