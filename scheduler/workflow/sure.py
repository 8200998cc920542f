"""How sure a planned day is: its kept plan replayed many times."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from scheduler.chance.spread import Spread
    from scheduler.domain.chances import DayChance
    from scheduler.domain.faults import Fault
    from scheduler.domain.plan import Plan
    from scheduler.workflow.owner import Owner


@dataclass(frozen=True, slots=True, kw_only=True)
class HowSure:
    """The chances of a plan, and what is doubtful in the studies that they rest on."""

    plan: Plan
    chances: DayChance
    doubts: tuple[Fault, ...]


def replay(
    folder: Path,
    usual: Spread,
    *,
    studies: Sequence[Path],
    recorded: bool,
    scale: float,
    replays: int,
    seed: int,
    as_printed: bool,
    stay_min: float,
    minutes: float,
    owner: Owner,
) -> HowSure:
    """Replay the plan kept in a folder.

    Parameters
    ----------
    usual
        The spread as far as nothing better is known.
    studies
        Files of stopwatch studies; they go before recorded days.
    recorded
        Recorded days count.
    scale
        All spreads so many times as large.
    as_printed
        Nobody begins a run before its printed time.
    stay_min
        Minutes that people stay after their shift.
    minutes
        Won at a run: where they would help most.

    Raises
    ------
    BadInput
        When there is no plan, or a study or the day book can't be read.
    """
    from scheduler.chance.chances import Replays
    from scheduler.chance.spread import scaled
    from scheduler.plans.book import tidy
    from scheduler.plans.kept import read_kept
    from scheduler.workflow.spread import spread_of

    tidy(folder, tell=owner.tell)
    plan, where = read_kept(folder)
    drawn, doubts = spread_of(plan, where, usual, owner=owner, studies=studies, recorded=recorded)
    made = Replays(
        plan, scaled(drawn, scale), replays=replays, seed=seed, as_printed=as_printed, stay_min=stay_min
    )
    return HowSure(plan=plan, chances=made.told(minutes=minutes), doubts=doubts)
