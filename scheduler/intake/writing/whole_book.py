"""A workbook opened to be written again: with its formats, formulas and drop-downs, after a look through."""

from __future__ import annotations

import io
import warnings
from typing import TYPE_CHECKING

from scheduler.intake.files.guard import Kind, kind_of
from scheduler.intake.files.look_xlsx import is_xlsx
from scheduler.intake.files.zip_parts import parts_of
from scheduler.intake.writing.further_checks import add_further_checks, check_all_parts

if TYPE_CHECKING:
    from openpyxl import Workbook


def whole_workbook(label: str, data: bytes) -> Workbook:
    """A workbook with its formats, formulas and drop-downs.

    Raises
    ------
    Exception
        Of any kind, when it is no workbook of this kind or has something odd in it.
    """
    from openpyxl import load_workbook

    if kind_of(label, data) is not Kind.ZIP:
        raise ValueError("not a workbook of this kind")
    with parts_of(label, data) as parts, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        if not is_xlsx(parts):
            raise ValueError("not a workbook of this kind")
        check_all_parts(parts)
        book = load_workbook(io.BytesIO(data), keep_links=False)
        add_further_checks(parts, book)
    return book
