"""A stopwatch study as data for programs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scheduler.answers.numbers import plain
from scheduler.answers.times.study import left_out_whole
from scheduler.workflow.times.study import doubtful, not_taken

if TYPE_CHECKING:
    from scheduler.domain.studies import Reading, Studied
    from scheduler.intake.shop.take_over import TakenOver
    from scheduler.timing.recipe import Shorter
    from scheduler.timing.study import ElementStudy
    from scheduler.workflow.times.by_recipe import ByRecipe, OverRecipe
    from scheduler.workflow.times.study import Study


def study_document(study: Study, recipes: ByRecipe, taken: TakenOver | None) -> dict[str, Any]:
    """The whole answer for programs; times in seconds, shares as parts of 1."""
    return {
        "files": list(study.files),
        "readings": sum(not reading.left_out for reading in study.readings),
        "readings_left_out": sum(reading.left_out for reading in study.readings),
        "allowance": {
            "share": plain(study.allowance.share),
            "of": study.allowance.of.value,
            "whose": study.whose,
        },
        "precision": study.sureness.precision,
        "confidence": study.sureness.confidence,
        "elements": [_element_json(one) for one in study.elements],
        "left_out_whole": [
            {**_studied_json(studied), "left_out": [_reading_json(reading) for reading in own]}
            for studied, own in left_out_whole(study).items()
        ],
        "longer_than_recipe": [_over_json(one) for one in recipes.over] if recipes.looked else None,
        "shorter_than_recipe": [_short_json(one) for one in recipes.shorter] if recipes.looked else None,
        "taken_over": None if taken is None else _taken_json(study, taken),
    }


def _element_json(one: ElementStudy) -> dict[str, Any]:
    return {
        **_studied_json(one.studied),
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


def _studied_json(studied: Studied) -> dict[str, str]:
    return {
        "element": studied.element,
        "set_up": studied.set_up,
        "transfer": studied.transfer,
        "fabric": studied.fabric,
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
