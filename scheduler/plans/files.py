"""The files of a new plan: made, held against the plan that is there, and written."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Literal

from scheduler.exceptions import BadInput
from scheduler.plans.book import opened
from scheduler.plans.folder import draft
from scheduler.plans.kept import NAME, kept_bytes, read_kept

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date, datetime
    from pathlib import Path

    from scheduler.daybook.book import DayBook
    from scheduler.daybook.opening import Waiting
    from scheduler.domain.chances import DayChance
    from scheduler.domain.pieces import Pieces
    from scheduler.domain.plan import Plan, PlannedOrder
    from scheduler.domain.progress import Event
    from scheduler.plans.worse import Worse
    from scheduler.sheets.new_sheets import NewPaper

PaperName = Literal["a4", "letter"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A plan and its files.

    Attributes
    ----------
    files
        Names of the files in the folder.
    data
        The content of `plan.json`.
    no_font
        Scripts of its names that no font at hand can print.
    locked
        Files that stayed as they were, since another program has them open.
    same
        The plan is the one that was there already: it kept its version.
    sure
        How sure the plan is, by replays.
    worse
        The plan before was better; None: it wasn't, or can't be compared.
    take_back
        Which sheets of an earlier day's plan are of the days of this one; empty: none.
    """

    plan: Plan
    folder: Path
    files: tuple[str, ...]
    data: bytes
    no_font: tuple[str, ...]
    locked: tuple[str, ...] = ()
    same: bool = False
    sure: DayChance | None = None
    worse: Worse | None = None
    take_back: str = ""

    @property
    def notes(self) -> tuple[str, ...]:
        """What the owner should know about the files."""
        from scheduler.sheets.fonts import no_font

        back = (self.take_back,) if self.take_back else ()
        return (*back, *no_font(self.no_font), *_locked_lines(self.locked))


def put_plan(
    plan: Plan,
    out: Path,
    *,
    paper: PaperName,
    tell: Waiting,
    counts: bool = False,
    still: Callable[[DayBook], None] | None = None,
) -> Written:
    """Write all files of a plan that begins with its day; see `put`.

    When the newest plan of the day was made from the same input and is better, that one stays.

    Parameters
    ----------
    counts
        The plan takes its place even then.
    """
    from scheduler.plans.worse import worse

    return put(
        lambda version: replace(plan, version=version),
        plan.day,
        out,
        paper=paper,
        tell=tell,
        still=still,
        against=lambda found, before: worse(found, before, counts=counts),
    )


def put(
    make: Callable[[int], Plan],
    day: date,
    out: Path,
    *,
    paper: PaperName,
    tell: Waiting,
    sheets: Callable[[Plan], dict[str, bytes]] | None = None,
    events: Callable[[Plan], tuple[Event, ...]] | None = None,
    still: Callable[[DayBook], None] | None = None,
    against: Callable[[Plan, Plan], Worse | None] | None = None,
) -> Written:
    """Write all files of a plan, as the newest plan of the day.

    Parameters
    ----------
    make
        The plan, given its version.
    sheets
        The files of a plan that is not the one that was there; None: all of them.
    events
        What the plan was made because of, to be written into the day book with it.
    still
        Asked, while no other command can plan in the folder, whether the plan may still be made; raises when
        not. Making the sheets takes seconds in which entries may come in, so it is asked again in the very
        transaction that books the plan.
    against
        Whether the newest plan there is better than the new one, and stays; None: the new one counts.

    When it is the same plan as the newest one there, its files are written anew under the same version:
    what was learnt of its bounds since and another paper size are worth having, a new number is not.

    Raises
    ------
    BadInput
        When the folder can't be written.
    """
    from scheduler.plans.sure import sure_of
    from scheduler.plans.taken_back import take_back
    from scheduler.sheets.fonts import missing_scripts
    from scheduler.sheets.page import day_page
    from scheduler.sheets.summary import summary
    from scheduler.sheets.write import DATA, PAGE, SUMMARY, all_files, data_files

    with opened(out, tell=tell) as book, draft(out, day, book=book, waiting=tell) as one:
        if still is not None:
            still(book)
            one.still = partial(still, book)
        plan = make(one.version)
        before = _newest_plan(one.final)
        newest = before is not None and before.version == one.version - 1
        same = newest and before is not None and _same(plan, before)
        beaten = None
        if before is not None and not same and against is not None:
            beaten = against(plan, before)
            if beaten is not None and beaten.stays and not newest:
                beaten = replace(beaten, stays=False)
        if same and before is not None:
            one.renew()
            plan = replace(plan, version=one.version, at=before.at, paper=before.paper)
        elif beaten is not None and beaten.stays:
            one.renew()
            plan = beaten.before
        one.plan = plan
        one.events = events(plan) if events is not None else ()
        if sheets is None and plan.at is None:
            made = all_files(plan, paper=paper)
        elif sheets is None or same:
            # The sheets that are there hold.
            made = data_files(plan, paper=paper)
        else:
            made = sheets(plan)
        sure = sure_of(plan, book)
        back = take_back(book, plan)
        page = day_page(plan, sure, paper_of=_since_the_last(book, plan), take_back=back)
        owner = summary(plan, chances=sure, take_back=back, paper=paper)
        files = {**made, SUMMARY: owner, PAGE: page, NAME: kept_bytes(plan)}
        one.write(files)
    return Written(
        plan=plan,
        folder=one.final,
        files=tuple(name for name in files if name not in one.locked),
        data=files[DATA],
        no_font=missing_scripts(plan),
        locked=one.locked,
        same=same,
        sure=sure,
        worse=beaten,
        take_back=back,
    )


def _locked_lines(locked: tuple[str, ...]) -> tuple[str, ...]:
    """What is said of files of the same plan that another program keeps from being written anew."""
    if not locked:
        return ()
    return (
        f"Left as it was, since another program has it open: {', '.join(locked)}. It is of this same plan; "
        "to have it anew, close it there and give the command again.",
    )


def new_paper(old: Plan, new: Plan, at: datetime) -> NewPaper:
    """What becomes of the sheets of a plan when another takes its place at a moment."""
    from scheduler.planning.differences import differences
    from scheduler.sheets.new_sheets import NewPaper
    from scheduler.sheets.paper import compare

    return NewPaper(old=old, new=new, found=differences(old, new), change=compare(old, new, at))


def _since_the_last(book: DayBook, plan: Plan) -> NewPaper | None:
    """What changed since the version before; None for a plan of a whole day, or when none can be read."""
    if plan.at is None:
        return None
    placed = [one for one in book.plans(plan.day) if one.outcome == "in place" and one.version < plan.version]
    if not placed:
        return None
    try:
        old = book.plan(max(placed, key=lambda one: one.version))
    except BadInput:
        return None
    return new_paper(old, plan, plan.at)


def _newest_plan(folder: Path) -> Plan | None:
    """The plan kept in a day's folder; None when there is none that this program can read."""
    try:
        return read_kept(folder)[0]
    except BadInput:
        return None


def _same(plan: Plan, before: Plan) -> bool:
    """Whether sheets printed from one hold for the other: same code, and nothing else on them differs."""
    return (
        plan.fingerprint == before.fingerprint
        and _without_cures(plan) == _without_cures(before)
        and plan.changeovers == before.changeovers
        and plan.left_over == before.left_over
        and (plan.breaks, plan.shifts) == (before.breaks, before.shifts)
        and _spoiled(plan) == _spoiled(before)
        and _sheets_hold(plan, before)
    )


def _sheets_hold(plan: Plan, before: Plan) -> bool:
    """Whether the sheets of one plan, as they are in hand, are those of the other."""
    from scheduler.sheets.paper import compare, sheets_of

    if plan.at is not None:
        return not compare(before, plan, plan.at).swaps

    def codes(one: Plan) -> set[tuple[str, str, date, str]]:
        return {(sheet.side, sheet.name, sheet.day, sheet.code) for sheet in sheets_of(one)}

    return codes(plan) == codes(before)


def _spoiled(plan: Plan) -> dict[str, tuple[int, tuple[Pieces, ...]]]:
    """Which pieces that are pressed again are spoiled: for them new garments are asked for."""
    return {part.task: (part.spoiled, part.known) for part in plan.parts if part.spoiled}


def _without_cures(plan: Plan) -> list[PlannedOrder]:
    return [replace(order, cures=()) for order in plan.orders]
