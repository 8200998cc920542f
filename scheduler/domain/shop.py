"""The shop as its owner describes it: presses, platens, recipes, people, hours, times.

All names are the shop's own words, already matched by intake. Units stand in the names.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, time
from enum import StrEnum

from scheduler.domain.faults import Source

NOWHERE = Source(file="")
"""The source of what was not read from a file."""


class Opening(StrEnum):
    """How a press opens."""

    CLAM = "clamshell"
    SWING = "swing-away"
    DRAWER = "drawer"


class Peel(StrEnum):
    """When the carrier comes off."""

    HOT = "hot"
    WARM = "warm"
    COLD = "cold"
    NONE = "none"


class Pressure(StrEnum):
    """Pressure in words, since the scales of presses differ; in rising order."""

    LIGHT = "light"
    MEDIUM = "medium"
    MEDIUM_FIRM = "medium-firm"
    FIRM = "firm"


class Setup(StrEnum):
    """How a press is set up for handling garments; element times depend on it."""

    PLAIN = "plain"
    COVER = "cover"
    STAND = "stand"
    COVER_AND_STAND = "cover and stand"


class Element(StrEnum):
    """The named parts of a cycle that the shop times by stopwatch; the recipe gives the rest."""

    LOAD = "load"
    PRE_PRESS = "close and open for pre-press"
    LAY = "lay a transfer"
    CLOSE = "close"
    OPEN = "open by hand"
    OPEN_SELF = "open by itself"
    PEEL = "peel a transfer"
    SECOND_PRESS = "cover, close and open for second press"
    UNLOAD = "unload"
    TURN = "turn inside out and back"


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """A heat press.

    Attributes
    ----------
    self_opening
        Opens by itself when the dwell is over.
    on_stand
        Stands free so that a garment threads over the platen.
    platen_cover
        Has a low-friction cover, so that garments slide.
    temp_min_c, temp_max_c
        Range in which it holds its temperature.
    heat_c_per_min, cool_c_per_min
        Rates while the press is hot.
    warm_up_min
        Minutes from cold to its working temperature; None: computed from the heating rate.
    platens
        Names of the platens that fit.
    mounted
        Platen left on it the evening before.
    skill
        What its operator must be able to do; None: anybody.
    """

    name: str
    opening: Opening = Opening.CLAM
    self_opening: bool = False
    on_stand: bool = False
    platen_cover: bool = False
    temp_min_c: int
    temp_max_c: int
    heat_c_per_min: float
    cool_c_per_min: float
    warm_up_min: float | None = None
    watts: int
    circuit: str | None = None
    platens: tuple[str, ...]
    mounted: str | None = None
    skill: str | None = None
    source: Source = NOWHERE

    @property
    def setup(self) -> Setup:
        """The column of the element times that holds for this press."""
        if self.platen_cover:
            return Setup.COVER_AND_STAND if self.on_stand else Setup.COVER
        return Setup.STAND if self.on_stand else Setup.PLAIN


@dataclass(frozen=True, slots=True, kw_only=True)
class PressPair:
    """Two self-opening presses that one operator may run side by side, garments alternating.

    Attributes
    ----------
    first, second
        Names of the presses.
    walk_s
        Seconds from one to the other.
    """

    first: str
    second: str
    walk_s: float = 0.0
    source: Source = NOWHERE

    @property
    def name(self) -> str:
        return f"{self.first} + {self.second}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Platen:
    """A kind of lower plate.

    Attributes
    ----------
    placements
        Placements that it serves, at its first (or only) place.
    second_placements, second_width_mm, second_height_mm
        The second place of a two-placement platen; empty and None on others.
    size_groups
        Garment size groups that go over it, such as adult or youth; empty: all.
    swap_min, pre_heat_min
        Hands-on minutes to mount it, and to bring it to heat.
    """

    name: str
    width_mm: int
    height_mm: int
    count: int
    placements: tuple[str, ...]
    second_placements: tuple[str, ...] = ()
    second_width_mm: int | None = None
    second_height_mm: int | None = None
    size_groups: tuple[str, ...] = ()
    swap_min: float
    pre_heat_min: float = 0.0
    source: Source = NOWHERE

    @property
    def takes_two(self) -> bool:
        return bool(self.second_placements)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """A place on the garment.

    Attributes
    ----------
    positions
        By size group ("" for all others): where to lay the transfer, in words and mm.
    width_mm, height_mm
        Usual size of the artwork, taken when an order gives none.
    inside
        On the inside: pressed by itself, it costs turning the garment.
    turnable
        The artwork may lie turned by 90 degrees on the platen.
    after
        Placements of the same garment that must be pressed before this one.
    pairs_with
        Placements that may be pressed together with this one in one closing.
    """

    name: str
    positions: dict[str, str] = field(default_factory=dict)
    width_mm: int
    height_mm: int
    inside: bool = False
    turnable: bool = True
    after: tuple[str, ...] = ()
    pairs_with: tuple[str, ...] = ()
    source: Source = NOWHERE

    def position(self, size_group: str) -> str:
        """Words for a size group, falling back on those for all sizes."""
        return self.positions.get(size_group, self.positions.get("", ""))


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """How a transfer type is pressed onto a fabric. Never padded.

    Attributes
    ----------
    pre_press_s
        0: none.
    cooling_s
        Seconds until a cold or warm peel may be done and the garment handled again.
    second_press_s
        0: no second press.
    """

    transfer: str
    fabric: str
    temp_c: int
    pressure: Pressure
    pre_press_s: int = 0
    dwell_s: int
    peel: Peel
    cooling_s: int = 0
    second_press_s: int = 0
    source: Source = NOWHERE


USUAL_WEEK = (0, 1, 2, 3, 4)
"""Weekdays of a person of whom nothing else is said: Monday to Friday."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatorHours:
    """The hours of a person on one weekday.

    Attributes
    ----------
    start, end
        Usual shift.
    overtime_end
        Latest hour this person agrees to; None: no overtime.
    breaks
        (from, to), sorted.
    """

    start: time
    end: time
    overtime_end: time | None = None
    breaks: tuple[tuple[time, time], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Operator:
    """A person.

    Attributes
    ----------
    hours
        By weekday (Monday = 0); a weekday that is missing is free.
    skills
        Skills asked for by presses.
    pace
        1.0 is the shop's standard; 1.1 is ten percent faster. For planning only.
    """

    name: str
    hours: dict[int, OperatorHours]
    skills: tuple[str, ...] = ()
    pace: float = 1.0
    source: Source = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """An electrical circuit; `continuous_share` is the part of its amps usable for long loads."""

    name: str
    volts: int
    amps: float
    continuous_share: float
    source: Source = NOWHERE

    @property
    def limit_w(self) -> int:
        """Watts that may be drawn for long, rounded down."""
        from scheduler.domain.times import exact

        return int(self.volts * exact(self.amps) * exact(self.continuous_share))


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenHours:
    """One weekday: opening, closing, and how long overtime may last (None: none)."""

    open: time
    close: time
    overtime_end: time | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Courier:
    """A collection: by weekday (Monday = 0), the hour by which parcels must stand ready."""

    name: str
    cut_offs: dict[int, time] = field(default_factory=dict)
    source: Source = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowances:
    """Times and shares that hold for the whole shop.

    Attributes
    ----------
    relaxation
        Added to the cycle, as a share OF BASIC TIME (0.11 means 11 percent), not of the shift.
    fetch_box_min, first_piece_min
        Fixed part of every run: fetching the box, and checking the first piece.
    pressure_min, line_up_min
        Changeover parts: setting the pressure, fetching and lining up new artwork.
    margin_mm
        Free rim that the artwork needs on each side of the platen.
    personal_piece_s
        Each transfer with a name or number of its own, on top of the cycle: finding it and lining it up.
    least_lot
        Fewest pieces worth a lot of their own.
    lot_above_min
        A run longer than this may be split in two.
    packing_min, packing_piece_s
        Checking and packing an order: a fixed part and a part per piece.
    room_c
        Temperature of a cold press.
    """

    relaxation: float = 0.11
    fetch_box_min: float = 1.0
    first_piece_min: float = 1.0
    pressure_min: float = 0.5
    line_up_min: float = 1.0
    personal_piece_s: float = 10.0
    margin_mm: int = 10
    least_lot: int = 12
    lot_above_min: float = 45.0
    packing_min: float = 5.0
    packing_piece_s: float = 10.0
    room_c: int = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """Everything that an evening's planning needs to know of the shop.

    Attributes
    ----------
    hours
        By weekday (Monday = 0); a weekday that is missing is closed.
    closed_days
        Dates on which nothing is pressed.
    couriers
        The first is taken for orders that name none.
    elements
        Stopwatch seconds by element and press set-up.
    size_groups
        By size label ("M", "Y-L"): its group ("adult", "youth").
    spoilage
        By transfer type: share of transfers to have spare (0.02 means 2 percent).
    fabrics
        Known fabric names.
    press_pairs
        Presses that one operator may run side by side.
    colours
        Garment colours by name, each with the other names it goes by; empty: any words will do.
    defaults
        Names of sections that still hold the program's own figures.
    """

    name: str
    presses: tuple[Press, ...]
    platens: tuple[Platen, ...]
    placements: tuple[Placement, ...]
    recipes: tuple[Recipe, ...]
    crew: tuple[Operator, ...]
    circuits: tuple[Circuit, ...] = ()
    hours: dict[int, OpenHours]
    closed_days: tuple[date, ...] = ()
    couriers: tuple[Courier, ...] = ()
    press_pairs: tuple[PressPair, ...] = ()
    elements: dict[tuple[Element, Setup], float]
    allowances: Allowances = field(default_factory=Allowances)
    size_groups: dict[str, str] = field(default_factory=dict)
    spoilage: dict[str, float] = field(default_factory=dict)
    fabrics: tuple[str, ...] = ()
    colours: dict[str, tuple[str, ...]] = field(default_factory=dict)
    defaults: tuple[str, ...] = ()

    def recipe(self, transfer: str, fabric: str) -> Recipe | None:
        """The recipe for a transfer on a fabric; None when the shop has none."""
        for recipe in self.recipes:
            if recipe.transfer == transfer and recipe.fabric == fabric:
                return recipe
        return None

    def placement(self, name: str) -> Placement:
        """The placement of that name.

        Raises
        ------
        KeyError
            When there is none.
        """
        for placement in self.placements:
            if placement.name == name:
                return placement
        raise KeyError(name)
