"""A plan with slack: searched beside the plan without it, kept when it is surer and nothing is later."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING

from scheduler.exceptions import NoPlan
from scheduler.workflow.search import Answer, passed, plan_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from scheduler.chance.chances import Replays
    from scheduler.chance.spread import Spread
    from scheduler.domain.day_problem import DayProblem
    from scheduler.domain.instance import Instance
    from scheduler.domain.plan import Plan
    from scheduler.domain.schedule import Schedule, Verdict
    from scheduler.workflow.owner import Owner

TRIES = 3
"""Plans with slack that are looked for when a chance is asked for."""

CHOOSING, TELLING = 2, 1
"""Seeds of the replays by which a plan is chosen, and of those by which it is told: its luck in the
first must not be counted as its merit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What slack is asked for: one of the two.

    Attributes
    ----------
    share
        Of all work.
    target
        Chance that every order shall have to be on time.
    """

    share: Fraction | None = None
    target: float | None = None

    @property
    def searches(self) -> int:
        """How many searches it takes at most, that without slack included."""
        return 2 if self.share is not None else 1 + TRIES


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A plan with some slack and its replays; slack 0: the plan that is best otherwise."""

    share: Fraction
    answer: Answer
    plan: Plan
    replays: Replays

    def level(self, name: str) -> int:
        """Its value at a level, by the true cut-offs."""
        return next((one.value for one in self.answer.result.levels if one.name == name), 0)

    @property
    def late(self) -> tuple[int, int]:
        """What is left over, and late."""
        return self.level("left_over"), self.level("lateness")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """The plan to be kept, and that without slack.

    Attributes
    ----------
    refused
        Slacks that were tried and would have made orders later.
    """

    kept: Tried
    without: Tried
    wish: Wish
    refused: tuple[Fraction, ...]


def buy_slack(
    problem: DayProblem,
    plain: Answer,
    wish: Wish,
    folder: Path,
    *,
    effort: str,
    seconds: float | None,
    seed: int,
    owner: Owner,
) -> Bought:
    """Look for a plan with slack. It is never bought with lateness: that stays the first aim.

    Parameters
    ----------
    plain
        The plan without slack.
    folder
        Of plans; its day book says how times are spread.
    seconds
        For each search.

    Raises
    ------
    NoPlan, BrokenPlan
        As `search`.
    """
    from scheduler.chance.own_times import usual_words
    from scheduler.chance.slack import all_sure
    from scheduler.chance.spread import Spread
    from scheduler.workflow.spread import spread_of

    usual = replace(Spread(), words=usual_words(Spread()))
    spread, _ = spread_of(plan_of(problem, plain, version=1), folder, usual, owner=owner)
    without = _tried(problem, Fraction(0), plain, spread)
    best, refused, last = without, [], without
    for share in _shares(without, wish):
        if seconds is None and last.answer.result.stopped_early:
            break  # told to stop
        if wish.target is not None and all_sure(best.replays.outcome, wish.target):
            break
        last = found = _planned(
            problem, plain, share, spread, effort=effort, seconds=seconds, seed=seed, owner=owner
        )
        if found.late > without.late:
            refused.append(share)
        elif wish.target is None or _rank(found, wish.target) > _rank(best, wish.target):
            best = found
    return Bought(kept=best, without=without, wish=wish, refused=tuple(refused))


def _shares(without: Tried, wish: Wish) -> Iterator[Fraction]:
    from scheduler.chance.slack import LADDER, LEAST, share_for

    if wish.share is not None:
        yield wish.share
    if wish.target is not None:
        asked = share_for(without.replays, wish.target)
        for part in LADDER[:TRIES]:
            yield max(LEAST, Fraction(round(1000 * asked * part), 1000))


def _rank(tried: Tried, target: float) -> tuple[float, int]:
    """More of the chance that is asked for comes first, then less changeover."""
    from scheduler.chance.slack import score

    return round(score(tried.replays.outcome, target), 9), -tried.level("changeover")


def _planned(
    problem: DayProblem,
    plain: Answer,
    share: Fraction,
    spread: Spread,
    *,
    effort: str,
    seconds: float | None,
    seed: int,
    owner: Owner,
) -> Tried:
    """A plan for longer work, carried out with the true times."""
    from scheduler.chance.slack import honest_levels, longer
    from scheduler.domain.schedule import status_of
    from scheduler.engine.paid_hours import solve_day
    from scheduler.engine.solve import solve
    from scheduler.workflow.watched import watched

    owner.tell(f"Looking for a plan with {share_words(share)} of slack.")
    instance = problem.instance
    slow = longer(instance, share)
    with owner.watch(slow, effort=effort, seconds=seconds) as show:
        found = watched(partial(solve_day, slow, effort=effort, seconds=seconds, seed=seed), show)
    if found.schedule is None:
        raise NoPlan("The search for slack ended without a plan; nothing was written.")
    passed(slow, found.schedule, "the plan with slack")
    true = solve(instance, effort="quick", seed=seed, near=found.schedule, stop=lambda: True)
    assert true.schedule is not None  # a schedule to begin with is never lost
    verdict = passed(instance, true.schedule, "the plan with slack, in its true times")
    known = plain.result.levels
    if _in_more_hours(instance, verdict, true.schedule, plain):
        # Bounds behind lateness hold among plans in the hours that were searched.
        known = tuple(level for level in known if level.name in ("left_over", "lateness"))
    levels = honest_levels(instance.levels, verdict.values, known)
    status = status_of(levels)
    result = replace(found, schedule=true.schedule, status=status, levels=levels)
    answer = Answer(result=result, verdict=verdict, as_they_come=plain.as_they_come)
    return _tried(problem, share, answer, spread)


def _in_more_hours(instance: Instance, verdict: Verdict, schedule: Schedule, plain: Answer) -> bool:
    """Whether a plan uses overtime, or a day, that the plan without slack does not."""
    other = plain.result.schedule
    assert other is not None

    def days(made: Schedule) -> int:
        last = max((done.setup_start for done in made.tasks), default=0)
        return sum(day.start <= last for day in instance.working_days)

    if verdict.values["overtime"] > plain.verdict.values["overtime"]:
        return True
    return days(schedule) > days(other)


def _tried(problem: DayProblem, share: Fraction, answer: Answer, spread: Spread) -> Tried:
    from scheduler.chance.chances import Replays

    plan = plan_of(problem, answer, version=1)
    return Tried(share=share, answer=answer, plan=plan, replays=Replays(plan, spread, seed=CHOOSING))


def share_words(share: Fraction) -> str:
    """A share in percent: 8 %, 4.8 %."""
    return f"{100 * float(share):g} %"
