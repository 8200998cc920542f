"""The pages of `pressday savings` and `times`: what the terminal says, with tables and pictures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.answers.pictures import dots_of, shares_of
from scheduler.answers.times.recorded import recorded_lines
from scheduler.answers.times.study import element_lines, found_lines, head_lines
from scheduler.domain.figures import figure
from scheduler.sheets.answer_page import Shown, Table, answer_page
from scheduler.sheets.page_pictures import bars_svg, paybacks_svg, shares_svg, spread_svg

if TYPE_CHECKING:
    from scheduler.answers.savings.answer import Asked, Told
    from scheduler.intake.shop.take_over import TakenOver
    from scheduler.plans.recorded import Days
    from scheduler.timing.judged import Judged
    from scheduler.timing.study import ElementStudy, Sureness
    from scheduler.workflow.times.by_recipe import ByRecipe
    from scheduler.workflow.times.study import Study


def saving_page(told: Told, asked: Asked, source: str) -> bytes:
    """What seconds are worth.

    Parameters
    ----------
    source
        Where the cycle is from, in words; empty: it was typed.
    """
    year = asked.year
    about = f"{figure(year.days)} working days a year of {figure(year.hours_a_day)} hours"
    if asked.garments is not None:
        about = f"{figure(asked.garments)} garments a day, {about}"
    pictures = []
    if told.cycles:
        note = "Seconds for one garment, without allowance."
        pictures.append(
            Shown(title="The cycle, today and then", svg=bars_svg("cycle", told.cycles), note=note)
        )
    if told.paybacks:
        note = " ".join(filter(None, ("A measure has paid where its line crosses 0.", told.payback_note)))
        pictures.append(Shown(title="Payback", svg=paybacks_svg("payback", told.paybacks), note=note))
    return answer_page(
        title=told.title,
        about=f"{source}. {about}" if source else about,
        lines=told.words,
        tables=(*([told.table] if told.table is not None else []), *told.tables),
        pictures=pictures,
        cautions=[told.caution] if told.caution else [],
    )


def study_page(study: Study, recipes: ByRecipe, taken: TakenOver | None) -> bytes:
    """A stopwatch study: what was found first, then every element as table, picture and words."""
    shown = Shown(
        title="Spread of the readings",
        svg=spread_svg("spread", dots_of(study.elements)),
        note="As read, before the rating.",
    )
    return answer_page(
        title="Times by stopwatch",
        about=", ".join(study.files),
        lines=[*head_lines(study), *found_lines(study, recipes, taken)],
        tables=[_elements(study.elements, study.sureness)],
        pictures=[shown],
        details=("Element by element", element_lines(study)),
    )


def recorded_page(days: Days, judged: Judged, confidence: float) -> bytes:
    """What recorded days say of the standards; people stand in the words, not in the picture."""
    shown = Shown(
        title="Time taken as a share of the planned time",
        svg=shares_svg("shares", shares_of(judged)),
        note="Dashed: as planned. Lines: where the shares lie. People are not drawn: pace is for planning.",
    )
    return answer_page(
        title="Times from the day itself",
        about=", ".join(day.isoformat() for day in days.days),
        lines=recorded_lines(days, judged, confidence),
        pictures=[shown],
    )


def _still_needed(one: ElementStudy, asked: Sureness) -> str:
    if one.enough_by_formula_only(asked):
        return "0 or a few"
    return "–" if one.still_needed is None else str(one.still_needed)


def _elements(studies: tuple[ElementStudy, ...], asked: Sureness) -> Table:
    return Table(
        label="Elements",
        head=(
            "Element",
            "Readings",
            "Mean, s",
            "Spread, s",
            "Basic time, s",
            "Standard time, s",
            "Known to",
            "Readings still needed",
        ),
        rows=tuple(
            (
                str(one.studied),
                str(len(one.counted)),
                figure(one.mean_s),
                "–" if one.stdev_s is None else figure(one.stdev_s),
                figure(one.basic_s),
                figure(one.standard_s),
                "–" if one.known_to is None else f"±{figure(100 * one.known_to, 1)} %",
                _still_needed(one, asked),
            )
            for one in studies
        ),
    )
