"""A stopwatch study in lines for the terminal and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scheduler.cli.ends import counted
from scheduler.cli.figures import figure, plain
from scheduler.cli.studies import doubtful, not_taken

if TYPE_CHECKING:
    from scheduler.cli.studies import ByRecipe, OverRecipe, Study
    from scheduler.domain.studies import Reading
    from scheduler.intake.take_over import TakenOver
    from scheduler.timing.recipe import Longer, Shorter
    from scheduler.timing.study import ElementStudy, Sureness

MOST_LINES = 12
"""Order lines shown for one part that is held too long."""


def study_lines(study: Study, recipes: ByRecipe, taken: TakenOver | None) -> list[str]:
    """The whole answer for people."""
    return [*head_lines(study), *element_lines(study), *found_lines(study, recipes, taken)]


def head_lines(study: Study) -> list[str]:
    """What was read, and with which allowance."""
    share = f"{figure(100 * study.allowance.share)} % of {_of(study)}"
    return [
        f"{', '.join(study.files)}: {counted(len(study.readings), 'reading')}",
        f"Standard time is basic time with an allowance of {share} ({study.whose}).",
    ]


def element_lines(study: Study) -> list[str]:
    """Each thing that was timed, after a blank line."""
    return [line for one in study.elements for line in ("", *_element(one, study.sureness))]


def found_lines(study: Study, recipes: ByRecipe, taken: TakenOver | None) -> list[str]:
    """What is held longer or shorter than its recipe, and what was taken over."""
    return [*_recipes(recipes), *_taken(study, taken)]


def _of(study: Study) -> str:
    return "the shift" if study.allowance.of.value == "shift" else "basic time"


def _element(one: ElementStudy, asked: Sureness) -> list[str]:
    spread = "" if one.stdev_s is None else f", spread {figure(one.stdev_s)} s"
    lines = [
        str(one.studied),
        f"  {counted(len(one.counted), 'reading')}, mean {figure(one.mean_s)} s{spread}; basic time "
        f"{figure(one.basic_s)} s, standard time {figure(one.standard_s)} s",
        f"  {_sure(one, asked)}",
    ]
    for reading in one.outliers:
        lines.append(
            f"  far from the others: {_reading(reading)}; it counts. To leave it out: --drop "
            f"{reading.source.cell}"
        )
    for reading in one.left_out:
        lines.append(f"  left out: {_reading(reading)}")
    return lines


def _reading(reading: Reading) -> str:
    remark = f" ({reading.remark})" if reading.remark else ""
    return f"{figure(reading.seconds)} s in {reading.source.cell}{remark}"


def _sure(one: ElementStudy, asked: Sureness) -> str:
    if one.needed is None or one.known_to is None:
        return "one reading says nothing of the spread: take at least five"
    level = f"±{figure(100 * asked.precision)} % at {figure(100 * asked.confidence)} %"
    from scheduler.timing.study import FEW

    few = len(one.counted) < FEW
    enough = "a first guess from so few, " if few else ""
    more = f"{one.still_needed} more" if one.still_needed else "enough"
    if not one.still_needed and one.known_to > asked.precision:
        # Two readings of the same spread: the handbook's two standard deviations, and Student's t for so few.
        more = "enough by the handbook's formula, a few more by the interval"
    known = f"known to ±{figure(100 * one.known_to, 1)} %"
    return f"{counted(one.needed, 'reading')} needed for {level}: {enough}{more}; {known}"


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


def study_document(study: Study, recipes: ByRecipe, taken: TakenOver | None) -> dict[str, Any]:
    """The whole answer for programs; times in seconds, shares as parts of 1."""
    return {
        "files": list(study.files),
        "readings": len(study.readings),
        "allowance": {
            "share": plain(study.allowance.share),
            "of": study.allowance.of.value,
            "whose": study.whose,
        },
        "precision": study.sureness.precision,
        "confidence": study.sureness.confidence,
        "elements": [_element_json(one) for one in study.elements],
        "longer_than_recipe": [_over_json(one) for one in recipes.over] if recipes.looked else None,
        "shorter_than_recipe": [_short_json(one) for one in recipes.shorter] if recipes.looked else None,
        "taken_over": None if taken is None else _taken_json(study, taken),
    }


def _element_json(one: ElementStudy) -> dict[str, Any]:
    return {
        "element": one.studied.element,
        "set_up": one.studied.set_up,
        "transfer": one.studied.transfer,
        "fabric": one.studied.fabric,
        "readings": len(one.counted),
        "mean_s": plain(one.mean_s),
        "spread_s": plain(one.stdev_s),
        "basic_s": plain(one.basic_s),
        "standard_s": plain(one.standard_s),
        "known_to": plain(one.known_to),
        "readings_needed": one.needed,
        "readings_still_needed": one.still_needed,
        "outliers": [_reading_json(reading) for reading in one.outliers],
        "left_out": [_reading_json(reading) for reading in one.left_out],
    }


def _reading_json(reading: Reading) -> dict[str, Any]:
    return {
        "file": reading.source.file,
        "sheet": reading.source.sheet,
        "cell": reading.source.cell,
        "seconds": plain(reading.seconds),
        "rating": plain(reading.rating),
        "remark": reading.remark,
    }


def _over_json(one: OverRecipe) -> dict[str, Any]:
    longer = one.longer
    return {
        "part": longer.part.value,
        "transfer": longer.recipe.transfer,
        "fabric": longer.study.studied.fabric,
        "set_up": longer.study.studied.set_up,
        "recipe_s": plain(longer.recipe_s),
        "held_s": plain(longer.held_s),
        "handling_s": plain(longer.handling_s),
        "extra_s": plain(longer.extra_s),
        "sure": longer.sure,
        "hours_per_year": plain(one.hours_per_year),
        "order_lines": [
            {
                "order": touched.order.id,
                "customer": touched.order.customer,
                "garment": touched.line.garment,
                "colour": touched.line.colour,
                "placement": touched.one.placement,
                "quantity": touched.quantity,
            }
            for touched in one.touched
        ],
    }


def _short_json(one: Shorter) -> dict[str, Any]:
    return {
        "part": one.part.value,
        "transfer": one.recipe.transfer,
        "fabric": one.study.studied.fabric,
        "set_up": one.study.studied.set_up,
        "recipe_s": plain(one.recipe_s),
        "held_s": plain(one.held_s),
        "sure": one.sure,
    }


def _taken_json(study: Study, taken: TakenOver) -> dict[str, Any]:
    few = doubtful(study)
    return {
        "kept": None if taken.kept is None else str(taken.kept),
        "drawings": taken.drawings,
        "changes": [
            {
                "element": change.time.element.value,
                "set_up": change.time.set_up.value,
                "before_s": change.before_s,
                "now_s": change.time.seconds,
                "readings": change.time.readings,
                "too_few_readings": (change.time.element, change.time.set_up) in few,
                "sheet": change.source.sheet,
                "cell": change.source.cell,
            }
            for change in taken.changes
        ],
        "not_taken": [{"what": str(one.studied), "why": why} for one, why in not_taken(study.elements)],
    }
