"""The sheets of a kept plan printed again: all of them, or those of one person or one press."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from scheduler.domain.plan import Plan
    from scheduler.plans.files import PaperName
    from scheduler.workflow.owner import Owner


def print_again(
    plan: Plan, folder: Path, *, operator: str | None, press: str | None, paper: PaperName, owner: Owner
) -> list[Path]:
    """Write the printed sheets of a kept plan anew: all of them, or one person's or one press's.

    Raises
    ------
    BadInput
        When nobody, or no press, of that name has a run; when the folder can't be written.
    """
    from scheduler.plans.taken_back import take_back_again
    from scheduler.sheets.day_lists import day_lists
    from scheduler.sheets.dayview import names
    from scheduler.sheets.run_sheets import run_sheets
    from scheduler.sheets.summary import summary
    from scheduler.sheets.write import DAY_LISTS, PRESS_SHEETS, RUN_SHEETS, SUMMARY, write_files
    from scheduler.workflow.spread import sure_again

    files: dict[str, bytes] = {}
    if operator is not None:
        name = _named(operator, names(plan, "operator"), "person", folder)
        files[_for(RUN_SHEETS, name)] = run_sheets(plan, operators=[name], by="operator", paper=paper)
    if press is not None:
        name = _named(press, names(plan, "press"), "press", folder)
        files[_for(PRESS_SHEETS, name)] = run_sheets(plan, presses=[name], by="press", paper=paper)
    if not files:
        files = {
            RUN_SHEETS: run_sheets(plan, by="operator", paper=paper),
            PRESS_SHEETS: run_sheets(plan, by="press", paper=paper),
            DAY_LISTS: day_lists(plan, paper=paper),
            SUMMARY: summary(
                plan,
                chances=sure_again(plan, folder, owner=owner),
                take_back=take_back_again(plan, folder, tell=owner.tell),
                paper=paper,
            ),
        }
    return write_files(folder, files)


def _named(wanted: str, there: Iterable[str], what: str, folder: Path) -> str:
    known = list(there)
    for name in known:
        if name.casefold() == wanted.strip().casefold():
            return name
    raise BadInput(
        [
            Fault(
                code=f"no-such-{what}",
                source=Source(file=str(folder)),
                found=f'no {what} called "{wanted}" has a run in this plan',
                expected=f"one of: {', '.join(known)}",
                mend="Write the name as it stands on the sheets.",
            )
        ]
    )


def _for(file: str, name: str) -> str:
    """The file's name with a person's or a press's in it, made of what every file system takes."""
    stem, dot, ending = file.rpartition(".")
    safe = "".join(letter if letter.isalnum() else "-" for letter in name.casefold()).strip("-")
    return f"{stem}-{safe or 'one'}{dot}{ending}"
