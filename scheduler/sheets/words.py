"""What a plan reached, in words: the same lines on the terminal, the page and the paper."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from fractions import Fraction

from scheduler.domain.clock import HOURS_FROM_MIN, clock_up, how_late, in_hours, number, short_date
from scheduler.domain.figures import nearest
from scheduler.domain.instance import Level
from scheduler.domain.plan import Cure, Plan, PlannedOrder
from scheduler.domain.schedule import LevelValue

COME_NOTE = (
    "As they come: by cut-off, then by order number, each at the press and person that can finish it first; "
    "same rules, same check."
)
BOUND_NOTE = (
    "The lines stand in the order of what counts most. “Cannot be better” and “at least” hold for these runs "
    "and lots, with the lines above kept as they are"
)
HOURS_NOTE = ", and with later days and overtime only where paid hours don't hold everything in time"
"""In which hours a day is planned that hasn't begun; the rest of one is planned by what is printed."""

WAITING_NOTE = (
    "Changeover minutes count waiting for heat, too; that is why they are more than the minutes by hand "
    "of each person."
)
"""Printed once where changeovers and loads stand together."""

BY_PLANNING = "by planning"
"""Heads the column in which a plan is less or more, earlier or later than the orders taken as they come."""

FAR_MIN = 60
"""A bound on the end of the day that is earlier than the plan by more than this tells nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One line of the plan beside the same orders taken as they come.

    Attributes
    ----------
    planned, as_they_come, by_planning
        Texts ready to print; `by_planning` is how much less or more, earlier or later it is with the plan.
    bound
        What is known of the best possible.
    """

    title: str
    planned: str
    bound: str
    as_they_come: str
    by_planning: str


def moment(plan: Plan, tick: int) -> datetime:
    """The wall-clock time of a tick; tick 0 is midnight of the planned day."""
    return datetime.combine(plan.day, time()) + timedelta(seconds=tick * plan.instance.tick_s)


def compared(plan: Plan) -> list[Compared]:
    """The plan beside the same orders taken as they come, level by level."""
    others = {level.name: level for level in plan.as_they_come}
    lines = []
    for level in shown_levels(plan):
        other = others.get(level.name)
        lines.append(
            Compared(
                title=title(plan, level.name),
                planned=said(plan, level),
                bound=bound(plan, level),
                as_they_come=said(plan, other, plan.as_they_come) if other else "not known",
                by_planning=saving(plan, level, other) if other else "",
            )
        )
    return lines


def bound_note(plan: Plan) -> str:
    """Said once below a table of levels, wherever one is."""
    return f"{BOUND_NOTE}{HOURS_NOTE if plan.at is None else ''}."


def level_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Level, plan, best possible; then the orders taken as they come, and what planning does to them.

    The last two are left out of a day that was planned again: orders taken as they come from the morning on
    would not have known what came in between.
    """
    rows = [(one.title, one.planned, one.bound, one.as_they_come, one.by_planning) for one in compared(plan)]
    return [row[:3] for row in rows] if plan.at is not None else list(rows)


def shown_levels(plan: Plan) -> list[LevelValue]:
    """The levels that get a line of their own."""
    both = {"changeover", "changeovers"} <= {level.name for level in plan.levels}
    return [level for level in plan.levels if not (both and level.name == "changeovers")]


def title(plan: Plan, name: Level) -> str:
    """The level's name on paper."""
    if name == "lateness" and _weighted(plan):
        return "Late minutes, rush orders counted more"
    return {
        "left_over": "Left over",
        "lateness": "Late",
        "moved": "Moved on the sheets",
        "changeover": "Changeovers",
        "changeovers": "Number of changeovers",
        "overtime": "Overtime",
        "finish": "All packed by",
    }[name]


def said(plan: Plan, level: LevelValue, all_levels: tuple[LevelValue, ...] | None = None) -> str:
    """A level's value with its unit."""
    text = amount(plan, level.name, level.value)
    if level.name == "changeover":
        for other in all_levels or plan.levels:
            if other.name == "changeovers":
                return f"{text} in {other.value}"
    return text


def bound(plan: Plan, level: LevelValue) -> str:
    """What is known of the best possible at a level; `bound_note` says what it holds for."""
    if level.proven or level.value <= level.bound:
        return "cannot be better"
    far = level.name == "finish" and level.value - level.bound > FAR_MIN * 60 / plan.instance.tick_s
    if level.bound == 0 or far:
        return "best possible not known"
    best = amount(plan, level.name, level.bound)
    return f"not before {best} in any plan" if level.name == "finish" else f"at least {best} in any plan"


def saving(plan: Plan, level: LevelValue, other: LevelValue) -> str:
    """What the plan saves against the orders taken as they come; says it plainly when it is worse."""
    less = other.value - level.value
    if less == 0:
        return "the same"
    if level.name == "finish":
        return f"{long_time(plan, abs(less))} {'earlier' if less > 0 else 'later'}"
    return f"{amount(plan, level.name, abs(less))} {'less' if less > 0 else 'more'}"


def amount(plan: Plan, name: Level, value: int) -> str:
    """A value in its level's own unit, as text."""
    if name == "left_over":
        if value == 0:
            return "nothing"
        return "1 piece × placement" if value == 1 else f"{value} pieces × placements"
    if name == "moved":
        return f"{value} point{'' if value == 1 else 's'}"
    if name == "changeovers":
        return str(value)
    if name == "finish":
        when = moment(plan, value)
        return clock_up(when) if len(plan.dates) < 2 else f"{short_date(when.date())}, {clock_up(when)}"
    if name == "lateness" and _weighted(plan):
        # Minutes times weights are no minutes; the title says what is counted.
        return number(value * plan.instance.tick_s / 60)
    return lasting(plan, value)


def _weighted(plan: Plan) -> bool:
    return any(order.weight != 1 for order in plan.orders)


def lasting(plan: Plan, ticks: int) -> str:
    """A number of ticks in minutes, as text."""
    text = number(ticks * plan.instance.tick_s / 60)
    return f"{text} minute{'' if text == '1' else 's'}"


def long_time(plan: Plan, ticks: int) -> str:
    """A number of ticks as text: minutes, or hours and minutes from two hours on."""
    minutes_long = nearest(Fraction(ticks * plan.instance.tick_s, 60))
    return lasting(plan, ticks) if minutes_long < HOURS_FROM_MIN else in_hours(minutes_long)


def cure_words(cure: Cure) -> str:
    """A cure and what it is worth: "30 minutes of overtime for Marta: on time"."""
    if not cure.confirmed:
        return f"{cure.words}: not confirmed by a search"
    if cure.late_minutes is None:
        return f"{cure.words}: still not done whole"
    if cure.late_minutes == 0:
        return f"{cure.words}: on time"
    return f"{cure.words}: {how_late(cure.late_minutes)} late"


def why_words(order: PlannedOrder) -> str:
    """Why an order is late or not done whole, and what would help."""
    words = [order.why]
    would = [cure_words(cure) for cure in order.cures if cure.confirmed]
    might = [cure.words for cure in order.cures if not cure.confirmed]
    if would:
        words.append(f"Would help: {'; '.join(would)}")
    if might:
        words.append(f"Might help, no search has confirmed it: {'; '.join(might)}")
    return ". ".join(words)
