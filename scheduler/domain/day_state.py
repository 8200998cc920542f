"""How a planned day stands at a moment: what is pressed, what is under way, where everybody is.

Times are local wall-clock datetimes without a zone, as in the plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from scheduler.domain.figures import rounded
from scheduler.domain.pieces import Pieces
from scheduler.domain.plan import Pressed
from scheduler.domain.progress import Event


class RunStatus(StrEnum):
    """How far a run is."""

    NOT_STARTED = "not started"
    UNDER_WAY = "under way"
    FINISHED = "finished"


@dataclass(frozen=True, slots=True, kw_only=True)
class RunState:
    """One run of the plan at the moment.

    Attributes
    ----------
    run, number, order
        Id of the run (of its task in the instance), its number on the sheets, its order.
    assumed
        Nobody said that it is finished or under way: it is taken as gone to plan. Never True for a run
        that is not started.
    press, platen, operator
        Where and by whom it is or was really done; the planned ones where nobody said otherwise.
    second_press
        The press beside it, where one operator runs both; else empty.
    mode
        Id of the task's way that is that press, with the planned platen if it can be; empty when the task
        has no way there.
    good, spoiled
        Pieces off the press so far. Of a run under way, good ones since the last count are estimated by
        the planned pace.
    spoiled_of
        The spoiled ones of which somebody said which they are.
    lost
        Good pieces of a finished run whose garments another one spoiled, at another placement: a later one,
        or an earlier one where the run is only assumed to have pressed them.
    lost_of
        Those of which it is known which they are.
    gone
        Pieces that a finished run didn't do, and whose garments were spoiled before it at another placement.
    gone_of
        Those of which it is known which they are.
    counted_at
        When its pieces were counted last; None: nobody did.
    unwanted
        Of its pieces those that nobody wants any more, since its order has fewer now: they are never missing.
    taken_over
        Of its pieces those that it didn't press but that aren't missing: its rest gets them in the next plan,
        or the run that it is the rest of has pressed them.
    remaining
        Pieces that this run still presses; 0 when it is finished.
    start
        When it was begun, changing over included, or will be as things stand.
    end
        When it ended, or will as things stand.
    planned_start, planned_end
        The same by the plan.
    """

    run: str
    number: int
    order: str
    status: RunStatus
    assumed: bool
    press: str
    platen: str
    operator: str
    mode: str
    quantity: int
    good: int
    spoiled: int
    remaining: int
    start: datetime
    end: datetime
    planned_start: datetime
    planned_end: datetime
    second_press: str = ""
    spoiled_of: tuple[Pieces, ...] = ()
    lost: int = 0
    lost_of: tuple[Pieces, ...] = ()
    gone: int = 0
    gone_of: tuple[Pieces, ...] = ()
    counted_at: datetime | None = None
    unwanted: int = 0
    taken_over: int = 0

    @property
    def presses(self) -> tuple[str, ...]:
        """The presses that it holds: one, or two side by side."""
        return (self.press, self.second_press) if self.second_press else (self.press,)

    @property
    def owed(self) -> int:
        """Pieces of a finished run to press again: spoiled, missing in the count, or lost later."""
        return self.unpressed + min(self.lost, self.quantity - self.unpressed)

    @property
    def spoiled_owed(self) -> int:
        """Those of `owed` whose garments are spoiled, by whatever run; those of the others are there."""
        return min(self.spoiled + self.gone, self.unpressed) + self.owed - self.unpressed

    @property
    def spoiled_elsewhere(self) -> int:
        """Those of `spoiled_owed` that another run spoiled, at another placement."""
        return self.spoiled_owed - min(self.spoiled, self.unpressed)

    @property
    def owed_of(self) -> tuple[Pieces, ...]:
        """Those of `owed` of which it is known which they are."""
        return (*self.spoiled_of, *self.lost_of, *self.gone_of)

    @property
    def unpressed(self) -> int:
        """Pieces of a finished run that it didn't press well: spoiled, or missing in the count."""
        wanted = self.quantity - self.unwanted - self.taken_over
        return max(0, wanted - self.good) if self.status is RunStatus.FINISHED else 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PressState:
    """A press at the moment.

    Attributes
    ----------
    running
        Id of the run under way there; empty when there is none.
    last
        Id of the run that was begun there last, of whatever day; empty when none was.
    free_from
        The end of the run under way as things stand; the moment itself when there is none.
    platen
        What is mounted: that of the run begun last, unless it was needed at another press since; empty: none.
    state
        For each setup part of the instance the value that the press holds, as `Machine.initial`; a part that
        goes with the platen is None when the platen is gone.
    temp_c
        The platen's temperature as far as the plan's heating and cooling rates tell.
    set_to_c
        What it is set to: by the sheet, as soon as a run ends it is set for the next one there that day.
        None: off.
    hot
        It has gone through its warm-up and is not switched off: a run needs no further warm-up.
    hot_from
        When the warm-up that is going on will be done; None when none is.
    """

    press: str
    running: str
    last: str
    free_from: datetime
    platen: str
    state: tuple[int | None, ...]
    temp_c: int
    set_to_c: int | None
    hot: bool
    hot_from: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonState:
    """A person at the moment.

    Attributes
    ----------
    running
        Id of the run that the person is at; empty when at none.
    free_from
        The end of that run as things stand; the moment itself when there is none. Hours and breaks are not
        in it.
    due_minutes, done_minutes
        Working minutes of the runs on this person's sheet that the plan has up to the moment, and that are
        done, counted in planned minutes, whoever did them.
    """

    person: str
    running: str
    free_from: datetime
    due_minutes: float
    done_minutes: float

    @property
    def behind_minutes(self) -> float:
        """Minutes behind the plan; negative: ahead of it."""
        return rounded(self.due_minutes - self.done_minutes)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderState:
    """An order at the moment.

    Attributes
    ----------
    finished
        When it is packed as things stand; None when some of it is left over or missing.
    behind_minutes
        Minutes later than planned; negative: earlier. 0 when it was not planned whole.
    late_minutes
        Minutes after its cut-off as things stand. Both without what is missing.
    runs_done, runs
        Finished runs and all that are planned.
    owed
        Pieces of finished runs that must be pressed again, at each run: spoiled, missing, or lost later.
    missing
        Garments for which something of that is pressed again by no run of the plan: until one does, it can't
        be packed. One that was spoiled counts once, at however many placements it is owed.
    """

    order: str
    customer: str
    cut_off: datetime
    planned: datetime | None
    finished: datetime | None
    behind_minutes: float
    late_minutes: float
    runs_done: int
    runs: int
    owed: int
    missing: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class DayState:
    """A planned day at a moment.

    Attributes
    ----------
    runs
        In order of their numbers.
    presses, people
        In the order of the instance.
    news
        The entries that hold, without what was corrected or taken back, or happened after the moment.
    """

    at: datetime
    version: int
    runs: tuple[RunState, ...]
    presses: tuple[PressState, ...]
    people: tuple[PersonState, ...]
    orders: tuple[OrderState, ...]
    news: tuple[Event, ...]

    @property
    def pressed(self) -> tuple[Pressed, ...]:
        """How far the runs are that are under way."""
        return tuple(
            Pressed(run=run.run, good=run.good, spoiled=run.spoiled)
            for run in self.runs
            if run.status is RunStatus.UNDER_WAY
        )

    def of_run(self, run: str) -> RunState:
        """The state of a run.

        Raises
        ------
        KeyError
            When the plan has no such run.
        """
        for one in self.runs:
            if one.run == run:
                return one
        raise KeyError(run)

    @property
    def assumed(self) -> tuple[RunState, ...]:
        """Runs that are taken as gone to plan because nobody said anything."""
        return tuple(run for run in self.runs if run.assumed)
