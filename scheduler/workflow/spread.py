"""Where the spread of times comes from: the program's figures, a study, or the recorded days."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from scheduler.domain.faults import Severity
from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from scheduler.chance.spread import Spread
    from scheduler.domain.chances import DayChance
    from scheduler.domain.faults import Fault
    from scheduler.domain.plan import Plan
    from scheduler.domain.studies import Reading
    from scheduler.workflow.owner import Owner


def spread_of(
    plan: Plan,
    folder: Path | None,
    usual: Spread,
    *,
    owner: Owner,
    studies: Sequence[Path] = (),
    recorded: bool = True,
) -> tuple[Spread, tuple[Fault, ...]]:
    """The spread for replays of a plan, and what is doubtful in the studies.

    Parameters
    ----------
    folder
        Of the plan or of plans, whose day book is looked at; None: there is none.
    usual
        What holds as far as nothing better is known.
    studies
        Files of stopwatch studies; they go before recorded days.

    Raises
    ------
    BadInput
        When a study or the day book can't be read.
    """
    from scheduler.chance.own_times import usual_words

    usual = replace(usual, words=usual_words(usual))
    if studies:
        return _studied(plan, usual, studies)
    if recorded and folder is not None:
        from scheduler.plans.book import beside, whole_book
        from scheduler.plans.sure import by_book

        if beside(folder) is not None:
            with whole_book(folder, tell=owner.tell) as book:
                return by_book(plan, book, usual), ()
    return usual, ()


def _studied(plan: Plan, usual: Spread, files: Sequence[Path]) -> tuple[Spread, tuple[Fault, ...]]:
    from scheduler.chance.own_times import with_studies
    from scheduler.domain.times import exact
    from scheduler.intake.files.labels import label_files
    from scheduler.intake.studies.reader import scan_study
    from scheduler.timing.allowance import Allowance, ShareOf
    from scheduler.timing.study import work_out

    named, _ = label_files(files)
    readings: list[Reading] = []
    found: tuple[Fault, ...] = ()
    for label, file in named.items():
        more, faults = scan_study(file, label=label, shop=plan.shop)
        readings += more
        found = (*found, *faults)
    if any(one.severity is Severity.FAULT for one in found):
        raise BadInput(found)
    allowance = Allowance(share=exact(plan.shop.allowances.relaxation), of=ShareOf.BASIC_TIME)
    return with_studies(usual, work_out(readings, allowance)), found


def sure_again(plan: Plan, folder: Path, *, owner: Owner) -> DayChance | None:
    """How sure a kept plan is, for its sheets printed again; None when the day book there can't be read."""
    from scheduler.chance.chances import Replays
    from scheduler.chance.spread import Spread

    try:
        spread, _ = spread_of(plan, folder, Spread(), owner=owner)
    except BadInput:
        return None
    return Replays(plan, spread).told()
