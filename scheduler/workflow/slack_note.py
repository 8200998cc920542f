"""What slack was bought at what price, in words: for the plan's notes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.workflow.slack import TELLING, share_words

if TYPE_CHECKING:
    from scheduler.chance.outcome import Outcome
    from scheduler.workflow.slack import Bought, Tried


def slack_note(bought: Bought) -> str:
    """What was bought at what price, in a few sentences, for the plan's notes."""
    if bought.kept is bought.without:
        return _nothing_bought(bought)
    kept, without, target = bought.kept, bought.without, bought.wish.target
    return (
        f"Planned with slack, as though all pressing took {share_words(kept.share)} longer; the sheets have "
        f"the true times. With it: {_told(kept, target)}. Without: {_told(without, target)}."
    )


def _nothing_bought(bought: Bought) -> str:
    target = bought.wish.target
    if target is None:
        return _refused(bought)
    from scheduler.chance.slack import all_sure

    outcome = _telling(bought.without)
    reached = reached_words(outcome, target)
    if bought.refused:
        return f"{_refused(bought)} Without slack {reached}."
    if not all_sure(bought.without.replays.outcome, target):
        return f"No slack was bought: no plan with it was surer. Without slack {reached}."
    if all_sure(outcome, target):
        return f"No slack was needed: {reached}."
    return (
        f"No slack was looked for: in the replays that decide it every order has {100 * target:g} %. In "
        f"those that are told, {reached}."
    )


def _refused(bought: Bought) -> str:
    tried = ", ".join(share_words(share) for share in bought.refused)
    return f"No slack was bought: with {tried} orders would be later, and that comes first."


def reached_words(outcome: Outcome, target: float) -> str:
    """How many orders have the chance that is asked for."""
    from scheduler.chance.slack import sure_enough

    sure, orders = int(sure_enough(outcome, target).sum()), len(outcome.jobs)
    verb = "is" if sure == 1 else "are"
    what = "order" if orders == 1 else "orders"
    return f"{sure} of {orders} {what} {verb} on time in at least {100 * target:g} % of the replays"


def _telling(tried: Tried) -> Outcome:
    """The replays that a plan is told by."""
    from scheduler.chance.chances import Replays

    chosen = tried.replays
    return Replays(chosen.plan, chosen.spread, replays=chosen.replays, seed=TELLING).outcome


def _told(tried: Tried, target: float | None) -> str:
    from scheduler.domain.clock import number
    from scheduler.domain.figures import counted
    from scheduler.sheets.sure import AT_RISK, percent

    outcome = _telling(tried)
    minutes = tried.plan.instance.tick_s / 60
    day = percent(outcome.day_on_time / tried.replays.replays)
    risky = int((outcome.on_time.mean(axis=0) < AT_RISK).sum())
    overtime = tried.level("overtime")
    return (
        ("" if target is None else f"{reached_words(outcome, target)}, ")
        + f"all orders on time on {day} % of the days, {counted(risky, 'order')} at risk, "
        f"{number(tried.level('changeover') * minutes)} minutes of changeovers"
        + (f", {number(overtime * minutes)} minutes of overtime" if overtime else "")
    )
