"""A day planned: read, searched, checked, and written to its folder."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scheduler.now import this_minute

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from pathlib import Path

    from scheduler.plans.files import PaperName, Written
    from scheduler.workflow.owner import Owner
    from scheduler.workflow.reading import Found
    from scheduler.workflow.search import Answer
    from scheduler.workflow.slack import Wish


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A day's plan with its files, what was read for it, and what the search gave.

    Attributes
    ----------
    slack_asked
        Whether a plan with slack was asked for.
    """

    found: Found
    answer: Answer
    written: Written
    slack_asked: bool


def plan_day(
    orders: Sequence[Path],
    shop: Path | None,
    day: date,
    out: Path | None,
    *,
    wish: Wish | None,
    effort: str,
    seconds: float | None,
    seed: int,
    anew: bool,
    accept_partial: bool,
    mounted_as_in_shop: bool,
    paper: PaperName,
    owner: Owner,
) -> Planned:
    """Plan a day and write its files.

    Parameters
    ----------
    out
        The folder of plans; None: that beside the shop workbook.
    wish
        What slack is asked for; None: none.
    seconds
        For all searches together; None: those of the effort for each.
    anew
        The plan counts in any case: the day may be under way, and the plan worse than the one before.
    accept_partial
        Go on with the orders that are sound.
    mounted_as_in_shop
        The presses begin with the platens of the shop workbook, whatever the day book has.

    Raises
    ------
    BadInput
        When a file has a fault, the day is under way, or the folder can't be written.
    NoPlan, BrokenPlan
        As `search`.
    """
    from scheduler.plans.files import put_plan
    from scheduler.plans.folder import check_writable
    from scheduler.plans.places import PLANS_NAME
    from scheduler.plans.under_way import check_book, still_before_it
    from scheduler.workflow.cures import cured_plan
    from scheduler.workflow.gone_by import gone_by_doubts
    from scheduler.workflow.mounted import as_left
    from scheduler.workflow.pressed import pressed_doubts
    from scheduler.workflow.reading import read, shop_file
    from scheduler.workflow.search import search

    found = read(orders, shop, day, accept_partial=accept_partial)
    owner.tell_faults((*found.doubts, *gone_by_doubts(found.problem, this_minute())))
    into = out if out is not None else shop_file(orders, shop).parent / PLANS_NAME
    check_writable(into)
    check_book(into, found.problem.day, anew=anew, tell=owner.tell)
    morning = as_left(into, found.problem, as_in_shop=mounted_as_in_shop, tell=owner.tell)
    owner.tell_faults(morning.doubts)
    found = replace(found, problem=morning.problem)
    owner.tell_faults(pressed_doubts(into, found.problem.day, found.problem.orders, tell=owner.tell))
    each = seconds if wish is None or seconds is None else seconds / wish.searches
    answer = search(found.problem, effort=effort, seconds=each, seed=seed, owner=owner)
    note = ""
    if wish is not None:
        from scheduler.workflow.slack import buy_slack
        from scheduler.workflow.slack_note import slack_note

        bought = buy_slack(
            found.problem, answer, wish, into, effort=effort, seconds=each, seed=seed, owner=owner
        )
        answer, note = bought.kept.answer, slack_note(bought)
    owner.tell("The plan passed the independent check; writing its sheets.")
    made = cured_plan(found.problem, answer, seconds=each, seed=seed)
    made = replace(made, notes=(*filter(None, (note, morning.note)), *made.notes))
    still = None if anew else still_before_it(found.problem.day)
    counts = anew or wish is not None
    written = put_plan(made, into, paper=paper, tell=owner.tell, counts=counts, still=still)
    return Planned(found=found, answer=answer, written=written, slack_asked=wish is not None)
