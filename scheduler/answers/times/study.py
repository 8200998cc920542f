"""A stopwatch study in lines for the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.domain.figures import counted, figure
from scheduler.intake.studies.places import place_typed
from scheduler.workflow.times.study import doubtful, not_taken

if TYPE_CHECKING:
    from scheduler.domain.studies import Reading, Studied
    from scheduler.intake.shop.take_over import TakenOver
    from scheduler.timing.recipe import Longer, Shorter
    from scheduler.timing.study import ElementStudy, Sureness
    from scheduler.workflow.times.by_recipe import ByRecipe, OverRecipe
    from scheduler.workflow.times.study import Study

MOST_LINES = 12
"""Order lines shown for one part that is held too long."""


def study_lines(study: Study, recipes: ByRecipe, taken: TakenOver | None) -> list[str]:
    """The whole answer for people."""
    return [*head_lines(study), *element_lines(study), *found_lines(study, recipes, taken)]


def head_lines(study: Study) -> list[str]:
    """What was read, and with which allowance."""
    share = f"{figure(100 * study.allowance.share)} % of {_of(study)}"
    return [
        f"{', '.join(study.files)}: {_counted(study)}",
        f"Standard time is basic time with an allowance of {share} ({study.whose}).",
    ]


def element_lines(study: Study) -> list[str]:
    """Each thing that was timed, after a blank line."""
    lines = [line for one in study.elements for line in ("", *_element(one, study))]
    for studied, own in left_out_whole(study).items():
        lines += ["", str(studied), f"  left out, every one of its {counted(len(own), 'reading')}:"]
        lines += [f"    {_reading(reading)}" for reading in own]
    return lines


def left_out_whole(study: Study) -> dict[Studied, list[Reading]]:
    """What was timed but has no reading that counts, with its readings."""
    there = {one.studied for one in study.elements}
    found: dict[Studied, list[Reading]] = {}
    for reading in study.readings:
        if reading.studied not in there:
            found.setdefault(reading.studied, []).append(reading)
    return found


def _counted(study: Study) -> str:
    out = sum(reading.left_out for reading in study.readings)
    words = counted(len(study.readings) - out, "reading")
    return f"{words}, {out} more left out" if out else words


def found_lines(study: Study, recipes: ByRecipe, taken: TakenOver | None) -> list[str]:
    """What is held longer or shorter than its recipe, and what was taken over."""
    return [*_recipes(recipes), *_taken(study, taken)]


def _of(study: Study) -> str:
    return "the shift" if study.allowance.of.value == "shift" else "basic time"


def _element(one: ElementStudy, study: Study) -> list[str]:
    spread = "" if one.stdev_s is None else f", spread {figure(one.stdev_s)} s"
    lines = [
        str(one.studied),
        f"  {counted(len(one.counted), 'reading')}, mean {figure(one.mean_s)} s{spread}; basic time "
        f"{figure(one.basic_s)} s, standard time {figure(one.standard_s)} s",
        f"  {_sure(one, study.sureness)}",
    ]
    for reading in one.outliers:
        lines.append(
            f"  far from the others: {_reading(reading)}; it counts. To leave it out: "
            f"--drop {place_typed(reading, study.readings)}"
        )
    for reading in one.left_out:
        lines.append(f"  left out: {_reading(reading)}")
    return lines


def _reading(reading: Reading) -> str:
    remark = f" ({reading.remark})" if reading.remark else ""
    return f"{figure(reading.seconds)} s in {reading.source.cell}{remark}"


def _sure(one: ElementStudy, asked: Sureness) -> str:
    if one.needed is None or one.by_spread is None or one.known_to is None:
        return "one reading says nothing of the spread: take at least five"
    level = f"±{figure(100 * asked.precision)} % at {figure(100 * asked.confidence)} %"
    from scheduler.timing.study import FEW

    enough = "a first guess from so few, " if len(one.counted) < FEW else ""
    least = f" (the least; {one.by_spread} by their spread)" if one.by_spread < FEW else ""
    more = f"{one.still_needed} more" if one.still_needed else "enough"
    if one.enough_by_formula_only(asked):
        more = "enough by the handbook's formula, a few more by the interval"
    known = f"known to ±{figure(100 * one.known_to, 1)} %"
    rated = (
        ", both from the readings x rating" if len({reading.rating for reading in one.counted}) > 1 else ""
    )
    return f"{counted(one.needed, 'reading')} needed for {level}{least}: {enough}{more}; {known}{rated}"


def _recipes(recipes: ByRecipe) -> list[str]:
    if not recipes.looked:
        return []
    if not recipes.over and not recipes.shorter:
        return ["", "Nothing that was timed is held longer or shorter than its recipe."]
    lines = ["", "Held longer than the recipe says:"] if recipes.over else []
    for one in recipes.over:
        lines += _over(one, recipes)
    if recipes.shorter:
        lines += ["", "Held shorter than the recipe says:", *map(_short, recipes.shorter)]
    return lines


def _named(one: Longer | Shorter) -> str:
    fabric = one.study.studied.fabric
    recipe = f"{one.recipe.transfer} on {fabric}" if fabric else one.recipe.transfer
    return f"  {one.part}, {recipe}: {figure(one.held_s)} s, the recipe has"


def _short(one: Shorter) -> str:
    sure = "" if one.sure else " (one reading only)"
    return f"{_named(one)} {figure(one.recipe_s)} s: shorter than the recipe: the transfer may come off{sure}"


def _over(one: OverRecipe, recipes: ByRecipe) -> list[str]:
    longer = one.longer
    said = f"{figure(longer.recipe_s)} s" if longer.recipe_s else "none"
    by_hand = f", with {figure(longer.handling_s)} s of handling for it" if longer.handling_s else ""
    sure = "" if longer.sure else " (one reading only)"
    lines = [f"{_named(longer)} {said}: {figure(longer.extra_s)} s on each garment too much{by_hand}{sure}"]
    if one.hours_per_year is None:
        return lines
    pieces = sum(touched.quantity for touched in one.touched)
    lines.append(
        f"    {counted(pieces, 'pressing')} on {recipes.day}; so many on each of {figure(recipes.days)} "
        f"working days: {figure(one.hours_per_year)} hours a year"
    )
    for touched in one.touched[:MOST_LINES]:
        line = touched.line
        lines.append(
            f"    order {touched.order.id} {touched.order.customer}: {line.garment} {line.colour}, "
            f"{touched.one.placement}, {counted(touched.quantity, 'piece')}"
        )
    if len(one.touched) > MOST_LINES:
        lines.append(f"    and {len(one.touched) - MOST_LINES} more order lines; all of them with --json")
    return lines


def _taken(study: Study, taken: TakenOver | None) -> list[str]:
    if taken is None:
        return []
    if taken.kept is None:
        return ["", "Nothing new: these times stand in the element times already. Nothing was written."]
    few = doubtful(study)
    lines = ["", "Taken over into the element times, as basic times:"]
    for change in taken.changes:
        time = change.time
        lines.append(
            f"  {time.element}, {time.set_up}: {figure(change.before_s)} s before, {figure(time.seconds)} s "
            f"now ({counted(time.readings, 'reading')}), {change.source.sheet}!{change.source.cell}"
        )
        if one := few.get((time.element, time.set_up)):
            lines.append(f"    doubt: {_few(one)}")
    lines += [f"  not taken over: {one.studied}: {why}" for one, why in not_taken(study.elements)]
    lines.append(
        f"The old ones stand in the sheet Element times before; the workbook as it was: {taken.kept}"
    )
    if taken.drawings:
        lines.append("It held charts or pictures: they may be in that copy only.")
    return lines


def _few(one: ElementStudy) -> str:
    if one.known_to is None:
        return "one reading says nothing of the spread; take more and take over again"
    return (
        f"known to ±{figure(100 * one.known_to, 1)} % only, {one.still_needed} more readings needed; "
        "take them and take over again"
    )
