"""Drop-downs that spreadsheet programs keep in the extensions of a sheet, where a library does not look.

A list on another sheet is stored there by some programs; copied as plain checks they go on working.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from scheduler.intake.files.look_xlsx import listed_sheets
from scheduler.intake.files.zip_parts import Parts, Plain

if TYPE_CHECKING:
    from openpyxl import Workbook

_KEPT = ("type", "operator", "errorStyle", "errorTitle", "error", "promptTitle", "prompt")


@dataclass(slots=True)
class _Check:
    attributes: dict[str, str]
    formulas: list[str] = field(default_factory=list)
    cells: str = ""


class _Extensions(Plain):
    """Collects the checks in a sheet's extensions."""

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.in_extensions = False
        self.checks: list[_Check] = []
        self.check: _Check | None = None
        self.words: list[str] = []

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(":")[2]
        self.words = []
        if local == "extLst":
            self.in_extensions = True
        elif local == "dataValidation" and self.in_extensions:
            self.check = _Check(attributes)

    def _text(self, data: str) -> None:
        if self.check is not None:
            self.words.append(data)

    def _end(self, name: str) -> None:
        local = name.rpartition(":")[2]
        if self.check is None:
            return
        if local == "f":
            self.check.formulas.append("".join(self.words))
        elif local == "sqref":
            self.check.cells = "".join(self.words)
        elif local == "dataValidation":
            self.checks.append(self.check)
            self.check = None


def check_all_parts(parts: Parts) -> None:
    """Go through every part that is XML: some are opened only by the library that keeps formats.

    Raises
    ------
    scheduler.intake.files.guard.Refused
        When one of them holds a document type.
    """
    for name in parts.names:
        if name.endswith((".xml", ".rels")):
            Plain(parts.file).stream(parts, name)


def add_further_checks(parts: Parts, book: Workbook) -> None:
    """Give the sheets of a copy the checks of the original's extensions."""
    from openpyxl.worksheet.datavalidation import DataValidation

    for sheet, part in listed_sheets(parts)[0]:
        if part not in parts or sheet.name not in book.sheetnames:
            continue
        look = _Extensions(parts.file)
        look.stream(parts, part)
        for check in look.checks:
            said = check.attributes
            first, second, *_ = [*check.formulas, None, None]
            kept: dict[str, Any] = {key: said.get(key) for key in _KEPT}
            rule = DataValidation(
                formula1=first,
                formula2=second,
                allow_blank=said.get("allowBlank") in ("1", "true"),
                showErrorMessage=said.get("showErrorMessage") in ("1", "true"),
                **kept,
            )
            rule.add(check.cells)
            book[sheet.name].add_data_validation(rule)
