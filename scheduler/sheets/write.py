"""A plan's files into a folder: all of them, or none."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.aside import unwritable
from scheduler.domain.plan import Plan
from scheduler.exceptions import BadInput
from scheduler.sheets.day_lists import day_lists
from scheduler.sheets.new_sheets import NewPaper, new_sheets
from scheduler.sheets.page import day_page
from scheduler.sheets.plan_json import plan_json
from scheduler.sheets.run_sheets import run_sheets
from scheduler.sheets.summary import summary
from scheduler.sheets.typeset import Paper
from scheduler.sheets.workbook import plan_workbook

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

NEW_SHEETS = "new-sheets.pdf"
NEW_PRESS_SHEETS = "new-press-sheets.pdf"
RUN_SHEETS = "run-sheets.pdf"
PRESS_SHEETS = "press-sheets.pdf"
DAY_LISTS = "day-lists.pdf"
SUMMARY = "summary.pdf"
WORKBOOK = "plan.xlsx"
DATA = "plan.json"
PAGE = "day.html"


def all_files(plan: Plan, *, paper: Paper = "a4", system_fonts: bool = True) -> dict[str, bytes]:
    """Every file of a plan by name, ready to be written; the sheets come first."""
    return {
        RUN_SHEETS: run_sheets(plan, by="operator", paper=paper, system_fonts=system_fonts),
        PRESS_SHEETS: run_sheets(plan, by="press", paper=paper, system_fonts=system_fonts),
        **data_files(plan, paper=paper, system_fonts=system_fonts),
    }


def changed_files(paper_of: NewPaper, *, paper: Paper = "a4", system_fonts: bool = True) -> dict[str, bytes]:
    """The files of a plan that takes the place of another: of the sheets only those that changed."""
    return {
        NEW_SHEETS: new_sheets(paper_of, by="operator", paper=paper, system_fonts=system_fonts),
        NEW_PRESS_SHEETS: new_sheets(paper_of, by="press", paper=paper, system_fonts=system_fonts),
        **data_files(paper_of.new, paper=paper, system_fonts=system_fonts),
    }


def data_files(plan: Plan, *, paper: Paper = "a4", system_fonts: bool = True) -> dict[str, bytes]:
    """Every file of a plan but the run sheets."""
    return {
        DAY_LISTS: day_lists(plan, paper=paper, system_fonts=system_fonts),
        SUMMARY: summary(plan, paper=paper, system_fonts=system_fonts),
        WORKBOOK: plan_workbook(plan),
        DATA: plan_json(plan),
        PAGE: day_page(plan),
    }


class _NotPutBackError(Exception):
    """Raised when a move failed and an old file could not be put back: it must not be deleted."""

    def __init__(self, cause: OSError) -> None:
        super().__init__(str(cause))
        self.cause = cause


def write_files(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write a set of files into a folder, made when it is not there: all of them, or none.

    They are written aside and only then moved in place; when anything fails, the folder is left as it was.
    Other files in the folder are not touched.

    Returns
    -------
    list of Path
        The files, in the order in which they were given.

    Raises
    ------
    BadInput
        When the folder can't be written, or a file in it is held by another program.
    """
    aside: Path | None = None
    made = False
    try:
        made = not folder.exists()
        folder.mkdir(parents=True, exist_ok=True)
        aside = Path(tempfile.mkdtemp(prefix=".writing-", dir=folder))
        for name, content in files.items():
            (aside / name).write_bytes(content)
        _move_all(aside, folder, list(files))
    except _NotPutBackError as error:
        old, aside = aside, None
        raise _unwritable(folder, files, error.cause, f"The old files are in {old and old.name}.") from error
    except OSError as error:
        raise _unwritable(folder, files, error, "Nothing was changed.") from error
    finally:
        if aside is not None:
            shutil.rmtree(aside, ignore_errors=True)
        if made and folder.is_dir() and not any(folder.iterdir()):
            folder.rmdir()
    return [folder / name for name in files]


def _move_all(aside: Path, folder: Path, names: list[str]) -> None:
    """Move files into the folder one by one; on an error put everything back as it was."""
    kept = aside / "before"
    kept.mkdir()
    moved: list[str] = []
    try:
        for name in names:
            if (folder / name).exists():
                (folder / name).replace(kept / name)
            moved.append(name)
            (aside / name).replace(folder / name)
    except OSError as error:
        try:
            for name in reversed(moved):
                (folder / name).unlink(missing_ok=True)
                if (kept / name).exists():
                    (kept / name).replace(folder / name)
        except OSError:
            raise _NotPutBackError(error) from error
        raise


def _unwritable(folder: Path, names: Iterable[str], error: OSError, state: str) -> BadInput:
    # Of a file by its name; of what is only there while files are written, the folder is named.
    name = Path(error.filename).name if error.filename else ""
    what = name if name in names else "it"
    mend = f"Close the files, or name another folder. {state}"
    return unwritable(folder, error, what=what, mend=mend)
