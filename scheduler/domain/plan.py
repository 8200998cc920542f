"""The plan of a day in trade words: what sheets, summaries and files are made from.

Times are local wall-clock datetimes without a zone. Everything here passed the check.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime

from scheduler.domain.day_problem import NotPlanned, RunContent
from scheduler.domain.disruptions import NOTHING, Disruptions, PersonAway, PressDown, RunPart
from scheduler.domain.figures import counted
from scheduler.domain.instance import Instance
from scheduler.domain.orders import Order
from scheduler.domain.paper import PaperSheet
from scheduler.domain.schedule import LevelValue, Schedule
from scheduler.domain.shop import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """Something that would help a late order.

    Attributes
    ----------
    words
        What, as a clause: "30 minutes of overtime for Marta".
    late_minutes
        How late the order is then; 0: on time. None: not known.
    confirmed
        A plan with it was found and passed the check, with no order on time made late.
    """

    words: str
    late_minutes: float | None
    confirmed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedOrder:
    """How an order comes out.

    Attributes
    ----------
    finished
        When its last piece is packed; None when something of it is left over or missing.
    on_top_of
        The order under way that its pieces came on top of; else empty.
    late_minutes
        0 when on time.
    reason
        Why it is late or left over; empty when on time.
    cures
        What would help, cheapest first.
    because
        The press that is down or the person who is away, where that is the reason.
    made_way
        The reason is that it made way for something else, or for what took longer than planned.
    missing
        Its garments that lacked something when the day was planned again, spoiled or not done, which no run
        presses: until one does, it can't be packed.
    """

    id: str
    customer: str
    cut_off: datetime
    weight: int
    quantity: int
    finished: datetime | None
    late_minutes: float
    reason: str = ""
    cures: tuple[Cure, ...] = ()
    on_top_of: str = ""
    because: PressDown | PersonAway | None = None
    made_way: bool = False
    missing: int = 0

    @property
    def lacks(self) -> str:
        """What is missing, in words; empty when nothing is."""
        return f"{counted(self.missing, 'piece')} spoiled or missing, in no plan" if self.missing else ""

    @property
    def lacks_and_mend(self) -> str:
        """What is missing, and what puts it in a plan; empty when nothing is."""
        them = "it" if self.missing == 1 else "them"
        return f"{self.lacks}: pressday replan --press-again plans {them}" if self.missing else ""

    @property
    def why(self) -> str:
        """Why it can't be packed, and why it is late or left over; empty: neither."""
        return "; ".join(filter(None, (self.lacks_and_mend, self.reason)))


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedRun:
    """A run with its place in the day.

    Attributes
    ----------
    id
        The task's id.
    number
        Its number on the sheets: 1, 2, ... in order of start.
    start, pressing_start, end
        Hands-on set-up, first pressing, last garment off.
    pauses
        The operator's breaks inside it.
    mounts_platen
        The platen is mounted for this run.
    cycle_s
        Seconds a garment at the usual pace, without the allowance.
    second_press
        The press beside it, with a platen of the same kind, when one operator runs two; else empty.
    second_mounts
        The platen is mounted there for this run.
    """

    id: str
    number: int
    content: RunContent
    press: str
    platen: str
    operator: str
    start: datetime
    pressing_start: datetime
    end: datetime
    pauses: tuple[tuple[datetime, datetime], ...] = ()
    temp_c: int
    cycle_s: float
    mounts_platen: bool
    second_press: str = ""
    second_mounts: bool = False

    @property
    def presses(self) -> tuple[str, ...]:
        """The presses that it holds: one, or two side by side."""
        return (self.press, self.second_press) if self.second_press else (self.press,)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeoverPart:
    """One step of a changeover: "swap the platen", "set 160 °C".

    Attributes
    ----------
    heating_minutes
        Of the minutes, those in which a newly mounted platen comes to heat.
    taken_from
        The press that a platen comes off, where none lies on the shelf.
    went_to
        The press that has got the platen `before`, where it was taken off since the last run here.
    untold
        Nobody was told to set it when the run before ended: on the sheets in hand another one followed.
    """

    name: str
    minutes: float
    hands_off: bool
    before: str = ""
    after: str = ""
    heating_minutes: float = 0.0
    taken_from: str = ""
    went_to: str = ""
    untold: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedChangeover:
    """What happens at a press before a run.

    Attributes
    ----------
    before
        Id of the run that follows.
    start, end
        From the begin of its first part to the first pressing.
    hands_on_minutes
        Minutes right before the first pressing that its operator is bound for: work by hand, and waiting for
        a newly mounted platen to come to heat.
    """

    press: str
    before: str
    start: datetime
    end: datetime
    hands_on_minutes: float
    hands_off_minutes: float
    parts: tuple[ChangeoverPart, ...]

    @property
    def heating_minutes(self) -> float:
        """Of `hands_on_minutes`, those in which a newly mounted platen comes to heat."""
        return sum(min(part.heating_minutes, part.minutes) for part in self.parts if not part.hands_off)

    @property
    def by_hand_minutes(self) -> float:
        """Work by hand alone: what every sheet, table and file calls "by hand" or "hands-on"."""
        # Minutes are tenths; without the rounding 5.5 - 2.1 would print a tail.
        return round(self.hands_on_minutes - self.heating_minutes, 6)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedWarmUp:
    """When to switch a press on, and to what temperature.

    Attributes
    ----------
    by
        Who does it: present then and not in the middle of a run or break, where there is somebody.
    """

    press: str
    start: datetime
    ready: datetime
    temp_c: int
    circuit: str = ""
    watts: int = 0
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """How full a press or a person is on the planned day, in minutes.

    `changing` holds changeovers by hand; waiting for heat is not in it, as it isn't on the sheets. Absences
    and standstills are not in `available`.
    """

    name: str
    available: float
    pressing: float
    changing: float
    overtime: float = 0.0

    @property
    def full(self) -> float:
        """Work as a share of the available minutes; above 1 with overtime, 0 when there are none."""
        return (self.pressing + self.changing) / self.available if self.available else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOver:
    """A run that fits nowhere in the planned days, and why."""

    run: str
    order: str
    placements: tuple[str, ...]
    quantity: int
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Absence:
    """A break or the hours of a person on one date, for the sheets."""

    operator: str
    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressed:
    """How far a run was that was under way when the day was planned again.

    Attributes
    ----------
    good, spoiled
        Pieces off the press by then, as `pressday progress` has them: counted, or by the planned pace.
    """

    run: str
    good: int
    spoiled: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A checked plan.

    Attributes
    ----------
    version
        1 for the first plan of a day.
    fingerprint
        Short code of the plan's contents: the same plan has the same code.
    levels
        Cost by level with bounds, in the instance's units.
    as_they_come
        The same orders taken by cut-off through the same rules: cost by level.
    breaks
        The crew's breaks in the planned days.
    shifts
        The crew's presence in the planned days, overtime left out.
    given, parts, between
        The orders as they were read, parts of runs, and what came in between: to plan again.
    at
        The moment from which the day was planned again; None: it is planned from its start.
    pressed
        How far the runs were that were under way then.
    paper
        The sheets in people's hands once this version's new ones are handed out; empty: all of this version.
    not_planned
        Orders and rows that were handed in and left out.
    off
        Presses that were on before `at` and off then, by the sheets in hand.
    """

    day: date
    dates: tuple[date, ...]
    version: int
    fingerprint: str
    shop: Shop
    orders: tuple[PlannedOrder, ...]
    runs: tuple[PlannedRun, ...]
    changeovers: tuple[PlannedChangeover, ...]
    warm_ups: tuple[PlannedWarmUp, ...]
    levels: tuple[LevelValue, ...]
    as_they_come: tuple[LevelValue, ...]
    press_loads: tuple[Load, ...] = ()
    crew_loads: tuple[Load, ...] = ()
    left_over: tuple[LeftOver, ...] = ()
    breaks: tuple[Absence, ...] = ()
    shifts: tuple[Absence, ...] = ()
    status: str = ""
    effort: str = ""
    seed: int = 0
    moves: int = 0
    stopped_early: bool = False
    instance: Instance
    schedule: Schedule
    given: tuple[Order, ...] = ()
    parts: tuple[RunPart, ...] = ()
    between: Disruptions = NOTHING
    at: datetime | None = None
    pressed: tuple[Pressed, ...] = ()
    paper: tuple[PaperSheet, ...] = ()
    not_planned: tuple[NotPlanned, ...] = ()
    off: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default_factory=tuple)
