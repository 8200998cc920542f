"""A blank stopwatch study to fill in, as workbook or text table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from scheduler.domain.shop import Element, Setup
from scheduler.domain.studies import ALL_SET_UPS, WHOLE_CYCLE, Held
from scheduler.intake.studies.layout import STUDY
from scheduler.intake.studies.reader import UNITS
from scheduler.intake.writing.forms import write_form
from scheduler.intake.writing.sheets import Written

ELEMENTS: tuple[str, ...] = (
    *(element.value for element in Element),
    *(part.value for part in Held),
    WHOLE_CYCLE,
)
"""What can be timed, in the order in which the form names it."""

SET_UPS: tuple[str, ...] = (*(set_up.value for set_up in Setup), ALL_SET_UPS)


def study_rows() -> Iterator[Mapping[str, Written]]:
    """One row for each element, without readings."""
    for element in ELEMENTS:
        yield {"element": element}


def write_study_form(path: Path) -> None:
    """Write the form; a name that ends in .csv gets a text table, any other a workbook.

    Raises
    ------
    scheduler.exceptions.BadInput
        When there is a file of that name, or it can't be written.
    """
    lists = {"elements": ELEMENTS, "set_ups": SET_UPS, "units": tuple(UNITS)}
    write_form(STUDY, study_rows(), path, lists=lists)
