"""What happened on the day: entries of the day book, in trade words."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from scheduler.domain.faults import Source
from scheduler.domain.pieces import Pieces


class EventKind(StrEnum):
    """What an entry says."""

    STARTED = "started"
    PIECES = "pieces"
    FINISHED = "finished"
    TAKEN_BACK = "taken back"
    PRESS_DOWN = "press down"
    PERSON_AWAY = "person away"
    BOX_LATE = "box late"
    ORDER_NEW = "order new"
    ORDER_CHANGED = "order changed"
    ORDER_CANCELLED = "order cancelled"
    PRESS_AGAIN = "press again"


OF_A_RUN = (EventKind.STARTED, EventKind.PIECES, EventKind.FINISHED)
"""Kinds that tell how far a run is."""

IN_BETWEEN = (
    EventKind.PRESS_DOWN,
    EventKind.PERSON_AWAY,
    EventKind.BOX_LATE,
    EventKind.ORDER_NEW,
    EventKind.ORDER_CHANGED,
    EventKind.ORDER_CANCELLED,
    EventKind.PRESS_AGAIN,
)
"""Kinds that tell what a day was planned again for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One entry. Entries are never changed; a later one corrects an earlier one.

    Attributes
    ----------
    id
        Made by whoever enters it; an entry whose id is in the book already counts once.
    day, version
        The plan that it was entered for.
    run
        Id of a run of that plan; empty for what concerns no run.
    who
        The person who did it; empty: the one whom the plan names.
    at
        When it happened; None: not noted, so as planned.
    pieces
        Good pieces off the press so far, not only since the last entry; None: not counted.
    spoiled
        Spoiled pieces so far; None: not counted.
    reason
        Why they were spoiled, or a note.
    press
        The press that was really used, empty: the planned one; of "press down" the press that is down.
    until
        Until when a press is down or a person away; when a late box is expected. None: not known.
    subject
        Order that is late, new, changed or cancelled.
    data
        What else belongs to it, as JSON: an order, or which pieces are spoiled; empty: nothing.
    led_to
        Of what came in between: the version that the day was planned again as because of it; None: none.
    corrects
        Id of the entry that no longer holds because of this one.
    entered
        When it was written down, by the clock of that computer.
    number
        Its place in the book, given by the book: what is entered later has a greater one, whatever the
        clock says. 0 before it is in the book.
    """

    id: str
    day: date
    version: int
    kind: EventKind
    run: str = ""
    who: str = ""
    at: datetime | None = None
    pieces: int | None = None
    spoiled: int | None = None
    reason: str = ""
    press: str = ""
    until: datetime | None = None
    subject: str = ""
    data: str = ""
    led_to: int | None = None
    corrects: str = ""
    entered: datetime
    number: int = 0

    def __post_init__(self) -> None:
        if not self.id:
            raise ValueError("an entry needs an id")
        if self.version < 1:
            raise ValueError(f"entry {self.id}: version {self.version} is less than 1")
        if (self.pieces or 0) < 0 or (self.spoiled or 0) < 0:
            raise ValueError(f"entry {self.id}: a number of pieces is negative")
        if self.kind in OF_A_RUN and not self.run:
            raise ValueError(f"entry {self.id}: {self.kind} needs a run")
        if self.kind is EventKind.PIECES and self.pieces is None and self.spoiled is None:
            raise ValueError(f"entry {self.id}: pieces without a number")
        if self.at is not None and self.until is not None and self.until <= self.at:
            raise ValueError(f"entry {self.id}: until {self.until} is not after {self.at}")
        if self.kind is EventKind.TAKEN_BACK and not self.corrects:
            raise ValueError(f"entry {self.id}: taken back, but not what")


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLine:
    """What stands in the boxes of one run, as typed in a command or a filled-in table.

    Attributes
    ----------
    run
        The run's id.
    ended
        It says that the run is over, whatever the count: somebody typed that it is done.
    began
        It says that the run was begun, with or without a time.
    started, finished
        When the first piece was pressed and the last one off; None: nothing typed.
    pieces, spoiled
        Good and spoiled pieces; None: nothing typed.
    spoiled_of
        Which are spoiled; empty when only their number was typed.
    press, who
        The press and the person, where they are not the planned ones.
    source
        Where it was typed.
    places
        The same for single boxes, by field name.
    """

    run: str
    ended: bool = False
    began: bool = False
    started: datetime | None = None
    finished: datetime | None = None
    pieces: int | None = None
    spoiled: int | None = None
    spoiled_of: tuple[Pieces, ...] = ()
    reason: str = ""
    press: str = ""
    who: str = ""
    source: Source
    places: dict[str, Source] = field(default_factory=dict)

    def place(self, box: str) -> Source:
        """Where a box stands; the line's own place when it has none."""
        return self.places.get(box, self.source)
