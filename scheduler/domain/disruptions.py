"""What came in between on a day, and what became of runs that were cut off."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from scheduler.domain.orders import Order, OrderLine
from scheduler.domain.pieces import Pieces


@dataclass(frozen=True, slots=True, kw_only=True)
class PressDown:
    """A press that is down; until None: till the day is over; since None: it is not known from when on."""

    press: str
    until: datetime | None = None
    since: datetime | None = None

    def goes_on(self, before: PressDown) -> PressDown:
        """The same, since the first of both where the one said before had not ended when this was said."""
        if before.since is None or self.since is None or (before.until and before.until < self.since):
            return self
        return replace(self, since=min(before.since, self.since))


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonAway:
    """A person who is not there over [start, end); end None: till the day is over."""

    person: str
    start: datetime
    end: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxLate:
    """An order whose garments are expected at `at` now."""

    order: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderCame:
    """An order that came in when the day was under way."""

    order: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderChange:
    """An order that has fewer pieces now, of which something was begun when that was said.

    Attributes
    ----------
    order
        With the pieces that are pressed of it now.
    begun
        Its runs that were done or under way by then: they keep their pieces.
    unwanted
        Of its pieces those with a name that nobody wants any more, but that was begun by then.
    """

    order: Order
    begun: tuple[str, ...]
    unwanted: tuple[OrderLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Disruptions:
    """What came in between.

    Attributes
    ----------
    down
        Presses that are down now.
    cancelled
        Orders of which nothing more is pressed.
    press_again
        Whether pieces that are spoiled or missing in finished runs are pressed again.
    fewer
        Orders under way that have fewer pieces now, in the order in which that was said.
    came
        Orders that came in during the day.
    morning
        Orders of the morning that were changed since, as they were then.
    """

    down: tuple[PressDown, ...] = ()
    away: tuple[PersonAway, ...] = ()
    late_boxes: tuple[BoxLate, ...] = ()
    cancelled: tuple[str, ...] = ()
    press_again: bool = False
    fewer: tuple[OrderChange, ...] = ()
    came: tuple[OrderCame, ...] = ()
    morning: tuple[Order, ...] = ()

    def and_then(self, later: Disruptions) -> Disruptions:
        """Both: what is said later of a press or an order counts instead of what was said before."""
        down = {one.press: one for one in self.down}
        for one in later.down:
            down[one.press] = one.goes_on(down[one.press]) if one.press in down else one
        boxes = {one.order: one for one in (*self.late_boxes, *later.late_boxes)}
        morning = {one.id: one for one in (*later.morning, *self.morning)}
        return Disruptions(
            down=tuple(down.values()),
            away=tuple(dict.fromkeys((*self.away, *later.away))),
            late_boxes=tuple(boxes.values()),
            cancelled=tuple(dict.fromkeys((*self.cancelled, *later.cancelled))),
            press_again=later.press_again,
            fewer=(*self.fewer, *later.fewer),
            came=(*self.came, *later.came),
            morning=tuple(morning.values()),
        )


NOTHING = Disruptions()


def cancelled_of(orders: Iterable[Order], between: Disruptions) -> frozenset[str]:
    """Ids of those orders of which nothing more is pressed: cancelled ones, and what came on top of them."""
    said = set(between.cancelled)
    return frozenset(
        order.id for order in orders if order.id in said or (order.on_top_of and order.on_top_of in said)
    )


class PartKind(StrEnum):
    """Why pieces of a run are a task of their own; the value is put behind the run's id."""

    REST = "rest"
    """The run was cut off before them."""

    AGAIN = "again"
    """They are spoiled or missing in it, and pressed again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPart:
    """Pieces of a run that are a task of their own.

    Attributes
    ----------
    done
        Pieces that stay with the run itself.
    from_tick
        Not pressed earlier.
    known
        Of pieces that are pressed again: those of which somebody said which they are.
    assumed
        Nobody counted when the run was stopped: how many it did is told by the planned pace.
    guess
        Of a rest whose run was counted since: the pieces that it was taken to have done before, to go back to
        when the count is taken back. None: it was always counted, or never.
    spoiled
        Of pieces that are pressed again: those whose garments are spoiled. The others were not done, and
        their garments are there.
    elsewhere
        Of the spoiled ones those that another run spoiled, at another placement.
    asked
        From which moment on sheets and lists have asked for new garments in place of the spoiled ones; None:
        not known, or none are spoiled.
    number
        1; of pieces more of a run, entered when its others were being pressed again already: 2, 3, ...
    """

    run: str
    done: int
    pieces: int
    name: PartKind
    from_tick: int
    known: tuple[Pieces, ...] = ()
    assumed: bool = False
    guess: int | None = None
    spoiled: int = 0
    number: int = 1
    asked: datetime | None = None
    elsewhere: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.spoiled <= self.pieces:
            raise ValueError(f"part {self.task}: {self.spoiled} spoiled of {self.pieces} pieces")

    @property
    def task(self) -> str:
        """Id of the part's task."""
        return f"{self.run} {self.name}" + (f" {self.number}" if self.number > 1 else "")


def more_again(old: Iterable[RunPart], new: Iterable[RunPart]) -> tuple[tuple[RunPart, int], ...]:
    """The parts of a later plan that press more pieces again than those of an earlier one, with how many."""
    before = {part.task: part.pieces for part in old}
    return tuple(
        (part, more)
        for part in new
        if part.name is PartKind.AGAIN and (more := part.pieces - before.get(part.task, 0)) > 0
    )
