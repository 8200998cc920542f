"""How sure a planned day is: what many replays of its plan came to. Times are local wall-clock datetimes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """A share of replays, and where the true chance may lie because there are only so many of them."""

    best: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftOver:
    """The end of a shift that came before its sheet was done, so that the rest went on at the next.

    Attributes
    ----------
    operator
        Whose shift it is.
    at
        When it ends, overtime and a stay included.
    after_hours
        Whether paid hours end before that.
    goes_on
        When the next shift begins; None: not within the planned days.
    """

    operator: str
    at: datetime
    after_hours: bool
    goes_on: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LateCause:
    """What makes an order late most often.

    Attributes
    ----------
    share
        Of the replays in which the order is late, those with this cause.
    run, number, press, operator
        The run that ends the order in them.
    shift_over
        The end of a shift that this run, or one that it waited for, was not done at; None: there was none.
    """

    share: float
    run: str
    number: int
    press: str
    operator: str
    shift_over: ShiftOver | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderChance:
    """How sure an order is.

    Attributes
    ----------
    planned
        When it is packed by the plan; None when something of it is left over or missing.
    on_time
        That it is packed by its cut-off; left over, or while something is missing, never. Where the cut-off
        comes after the planned days, that it is not late as far as they reach.
    late_minutes
        On average over all replays, 0 in those in which it is on time. What is not done within the planned
        days counts as late until their end.
    beyond
        In what share of the replays it is not done within the planned days.
    due_later
        Its cut-off comes after the planned days, and nothing of it is left over: what is not done within them
        need not be late.
    usual, careful
        When it is packed in half of the replays, and by when in nine of ten; None: not within the planned
        days.
    cause
        Of most of the replays in which it is late; None: it never is, or something of it is left over
        or missing.
    missing
        Its garments that lack something, spoiled or not done, which no run presses.
    """

    id: str
    customer: str
    weight: int
    cut_off: datetime
    planned: datetime | None
    on_time: Chance
    late_minutes: float
    usual: datetime | None
    careful: datetime | None
    beyond: float = 0.0
    due_later: bool = False
    cause: LateCause | None = None
    missing: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class MinutesWon:
    """What it would be worth to have a run over some minutes sooner.

    Attributes
    ----------
    orders_gained
        How many more orders would be on time, on average over the replays.
    weight_gained
        The same, each order counted by its weight: what the best runs are named by.
    late_minutes_saved
        Of all orders, by weight, on average.
    day_gain
        By how much the chance that the whole day is on time would rise.
    """

    run: str
    number: int
    order: str
    press: str
    operator: str
    minutes: float
    orders_gained: float
    weight_gained: float
    late_minutes_saved: float
    day_gain: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DayChance:
    """How sure a day is.

    Attributes
    ----------
    confidence
        Of every `Chance`.
    as_printed
        Nobody began before the printed time; otherwise people went on with the next run when it was ready.
    stay_minutes
        How long people stayed after their shift, overtime included, when their sheet was not done.
    spread
        What the times were drawn from, in words.
    on_time
        That all orders are.
    never_on_time
        Ids of the orders that are late in every replay, which alone make `on_time` 0.
    others_on_time
        That all other orders are; None: `never_on_time` has none, or there are no others.
    orders
        Those with the least chance first.
    late_minutes
        Of all orders, by weight, on average.
    work_more
        How much longer all work took than planned, on average, as a share.
    finish_planned, finish_usual, finish_careful
        When all is packed: by plan, in half of the replays, in nine of ten; None: not within the planned
        days.
    overtime_planned_minutes, overtime_minutes
        Of all people together: by plan, and on average.
    unfinished
        That some run is not over when its person goes home, overtime included, and goes on the next day.
    won
        Where minutes won would help most, best first.
    """

    replays: int
    seed: int
    confidence: float
    as_printed: bool
    stay_minutes: float
    spread: tuple[str, ...]
    on_time: Chance
    orders: tuple[OrderChance, ...]
    late_minutes: float
    work_more: float
    finish_planned: datetime | None
    finish_usual: datetime | None
    finish_careful: datetime | None
    overtime_planned_minutes: float
    overtime_minutes: float
    unfinished: Chance
    never_on_time: tuple[str, ...] = ()
    others_on_time: Chance | None = None
    won: tuple[MinutesWon, ...] = ()
