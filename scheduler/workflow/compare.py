"""All versions planned side by side and held against today's."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.domain.figures import counted
from scheduler.exceptions import NoPlan
from scheduler.workflow.owner import LINE_S
from scheduler.workflow.stopped import TOLD_TO
from scheduler.workflow.watched import interrupts

if TYPE_CHECKING:
    from scheduler.scenarios.changes import Compared, Together
    from scheduler.scenarios.exchange import Offer
    from scheduler.scenarios.money import Rates
    from scheduler.scenarios.plan_day import Outcome
    from scheduler.scenarios.side import Side
    from scheduler.workflow.owner import Owner
    from scheduler.workflow.scenario_days import Scenarios


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """How each plan is looked for, and how many at a time; None: one for each core."""

    effort: str
    seconds: float | None
    seeds: tuple[int, ...]
    workers: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """What the owner says of money, and working days a year; None: not given."""

    wage: Fraction | None
    overtime_wage: Fraction | None
    late_order: Fraction
    days: Fraction

    @property
    def rates(self) -> Rates | None:
        """The rates; None when neither a wage nor what a late order costs is given."""
        from scheduler.scenarios.money import Rates

        if self.wage is None and not self.late_order and self.overtime_wage is None:
            return None
        wage = self.wage or Fraction(0)
        return Rates(wage=wage, overtime_wage=self.overtime_wage or wage, late_order=self.late_order)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What was found out.

    Attributes
    ----------
    versions
        Beside today's, ranked.
    together
        Of changes made together, in the order of `versions`: do they add up?
    exchanged
        Plans found for one version were tried in the others.
    unfinished
        Names of versions of which not all was planned, since the end was asked for.
    broken
        By name of a version: why there is no checked plan of it.
    """

    scenarios: Scenarios
    search: Search
    money: Money
    today: Side
    versions: tuple[Compared, ...]
    together: tuple[Together, ...]
    exchanged: bool
    unfinished: tuple[str, ...]
    broken: dict[str, str]


def compared(scenarios: Scenarios, search: Search, money: Money, *, owner: Owner) -> Answer:
    """Plan every version and compare it with today's.

    Raises
    ------
    NoPlan
        When today's plans are not all there.
    """
    from scheduler.scenarios.changes import added_up, compare, ranked
    from scheduler.scenarios.comparison import Asked
    from scheduler.scenarios.crew_days import share_of_days
    from scheduler.scenarios.run import run_tasks

    asked = Asked(
        problems=scenarios.problems, seeds=search.seeds, effort=search.effort, seconds=search.seconds
    )
    with interrupts():
        outcomes = run_tasks(asked.tasks(), workers=search.workers, done=_Lines(owner).done)
        stopped = None in outcomes
        taken = () if stopped else _exchanged(asked.offers(outcomes), search.workers, owner)
    exchanged = not stopped and None not in taken
    today, *others = asked.sides(outcomes, taken if exchanged else ())
    if today is None:
        raise NoPlan(f"It was {TOLD_TO} before today's shop was planned; there is nothing to compare with.")
    if isinstance(today, str):
        raise NoPlan(f"No plan of today's shop: {today}")
    found: list[Compared] = []
    unfinished, broken = [], {}
    versions_ = zip(scenarios.versions[1:], scenarios.problems[1:], others, strict=True)
    for version, problems, side in versions_:
        if side is None:
            unfinished.append(version.name)
        elif isinstance(side, str):
            broken[version.name] = side
        else:
            share = share_of_days(scenarios.problems[0], problems)
            one = compare(version, today, side, money.rates, share=share)
            # A plan that was only luckier would pay back what saves nothing.
            found.append(one if exchanged else replace(one, payback=None, payback_proven=None))
    versions = ranked(found)
    alone = {one.version.name: one for one in found}
    together = [
        added_up(one, [alone[name] for name in one.version.parts])
        for one in versions
        if len(one.version.parts) > 1 and all(name in alone for name in one.version.parts)
    ]
    return Answer(
        scenarios=scenarios,
        search=search,
        money=money,
        today=today,
        versions=versions,
        together=tuple(together),
        exchanged=exchanged,
        unfinished=tuple(unfinished),
        broken=broken,
    )


def _exchanged(offers: tuple[Offer, ...], workers: int | None, owner: Owner) -> tuple[Outcome | None, ...]:
    from scheduler.scenarios.run import run_offers

    if offers:
        owner.tell("Trying in each shop what was found for the others.")
    return run_offers(offers, workers=workers)


class _Lines:
    """Says now and then how many plans are made."""

    def __init__(self, owner: Owner) -> None:
        self._owner = owner
        self._said = 0.0

    def done(self, made: int, of: int) -> None:
        """Say it when the last line is some seconds old, and at both ends."""
        now = time.monotonic()
        if made == 0:
            self._owner.tell(f"{counted(of, 'plan')} to make; Ctrl-C keeps what is finished.")
        elif made == of or now - self._said >= LINE_S:
            self._owner.tell(f"  {made} of {of} made")
        else:
            return
        self._said = now
