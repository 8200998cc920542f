"""The sheets and columns of the shop workbook."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.domain.shop import Setup
from scheduler.intake.layout import DEFAULT, FIGURES, OURS, Column, Table

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
"""Days of the week as they are written, Monday first."""


def _figures() -> Column:
    explain = f'"{DEFAULT}": replace them; "{OURS}": checked by you'
    return Column("figures", FIGURES, explain, choices="figures", width=16)


PRESSES = Table(
    key="presses",
    sheet="Presses",
    explain="One row for each heat press.",
    columns=(
        Column("name", "Press", "Its name in your shop", needed=True, width=16),
        Column("opening", "Opening", "How it opens", choices="opening", width=13),
        Column("self_opening", "Opens by itself", "yes: opens when the dwell is over", choices="yes_no"),
        Column("on_stand", "On stand", "yes: a garment threads over the platen", choices="yes_no"),
        Column("platen_cover", "Platen cover", "yes: low-friction cover, garments slide", choices="yes_no"),
        Column("temp_min_c", "Lowest °C", "Coolest setting it holds", needed=True, kind="whole"),
        Column("temp_max_c", "Highest °C", "Hottest setting it holds", needed=True, kind="whole"),
        Column("heat_c_per_min", "Heating °C/min", "How fast it heats while hot", needed=True, kind="number"),
        Column("cool_c_per_min", "Cooling °C/min", "How fast it cools while hot", needed=True, kind="number"),
        Column("warm_up_min", "Warm-up min", "From cold to hot; blank: from the heating rate", kind="number"),
        Column("watts", "Watts", "From its nameplate", needed=True, kind="whole"),
        Column("circuit", "Circuit", "Sheet Circuits; blank: no limit known", choices="circuits", width=14),
        Column(
            "platens",
            "Platens that fit",
            "Names from sheet Platens, with commas between",
            needed=True,
            width=40,
        ),
        Column(
            "mounted", "Mounted at day start", "Platen left on it in the evening", choices="platens", width=20
        ),
        Column("skill", "Skill needed", "Blank: anybody may run it", width=14),
        _figures(),
    ),
)

PLATENS = Table(
    key="platens",
    sheet="Platens",
    explain="One row for each kind of lower plate.",
    columns=(
        Column("name", "Platen", "Its name in your shop", needed=True, width=20),
        Column("width_mm", "Width mm", "Of its (first) place", needed=True, kind="whole"),
        Column("height_mm", "Height mm", "Of its (first) place", needed=True, kind="whole"),
        Column("count", "Owned", "How many you have", needed=True, kind="whole"),
        Column(
            "placements", "Placements", "What is pressed on it; with commas between", needed=True, width=40
        ),
        Column(
            "second_placements",
            "Second place: placements",
            "Only for a platen that takes two placements at once",
            width=26,
        ),
        Column("second_width_mm", "Second width mm", "Of the second place", kind="whole"),
        Column("second_height_mm", "Second height mm", "Of the second place", kind="whole"),
        Column("size_groups", "Size groups", "Sheet Sizes; blank: all sizes go over it", width=20),
        Column("swap_min", "Swap min", "Hands-on, to mount it", needed=True, kind="number"),
        Column("pre_heat_min", "Pre-heat min", "To bring it to heat", kind="number"),
        _figures(),
    ),
)

PLACEMENTS = Table(
    key="placements",
    sheet="Placements",
    explain="One row for each place on a garment that gets a transfer.",
    columns=(
        Column("name", "Placement", "Its name in orders", needed=True, width=18),
        Column("width_mm", "Width mm", "Usual, when an order gives none", needed=True, kind="whole"),
        Column("height_mm", "Height mm", "Usual, when an order gives none", needed=True, kind="whole"),
        Column("inside", "Inside", "yes: on the inside of the garment", choices="yes_no"),
        Column(
            "turnable",
            "May lie turned",
            "no: never turned by 90 degrees on the platen; blank: yes",
            choices="yes_no",
        ),
        Column("after", "Comes after", "Placements that must be pressed first", width=20),
        Column("pairs_with", "May pair with", "Placements that may be pressed in the same closing", width=26),
        Column("position", "Position", "Where to lay it, for all sizes", width=52),
        _figures(),
    ),
)
POSITION_FOR = "Position"
"""Heading of a further position column: followed by the size group ("Position youth")."""

RECIPES = Table(
    key="recipes",
    sheet="Recipes",
    explain="One row for each transfer type on a fabric. The transfer maker's sheet wins over these figures.",
    columns=(
        Column("transfer", "Transfer", "Sheet Transfers", needed=True, choices="transfers", width=28),
        Column("fabric", "Fabric", "Sheet Fabrics", needed=True, choices="fabrics", width=24),
        Column("temp_c", "°C", "90 to 230", needed=True, kind="whole"),
        Column("pressure", "Pressure", "In words", needed=True, choices="pressure", width=14),
        Column("pre_press_s", "Pre-press s", "Blank: none", kind="whole"),
        Column("dwell_s", "Dwell s", "1 to 180", needed=True, kind="whole"),
        Column("peel", "Peel", "When the carrier comes off", needed=True, choices="peel"),
        Column("cooling_s", "Cooling s", "Until it may be peeled or handled; blank: none", kind="whole"),
        Column("second_press_s", "Second press s", "Blank: no second press", kind="whole"),
        _figures(),
    ),
)

CREW = Table(
    key="crew",
    sheet="Crew",
    explain="One row for each person who runs a press, and one more for weekdays with other hours.",
    columns=(
        Column("name", "Name", "As it stands on the sheets", needed=True, width=16),
        Column("start", "From", "Start of the usual shift", needed=True, kind="time"),
        Column("end", "To", "End of the usual shift", needed=True, kind="time"),
        Column("overtime_end", "Overtime until", "Agreed with that person; blank: none", kind="time"),
        Column("breaks", "Breaks", "Such as 10:00-10:15, 12:30-13:00", width=30),
        Column("skills", "Skills", "As presses ask for them, with commas between", width=20),
        Column("pace", "Pace", "100 %: the shop's standard; for planning only", kind="share"),
        Column("weekdays", "Weekdays", "Such as Mon-Fri or Mon, Wed; blank: Mon-Fri", width=20),
    ),
)

PRESS_PAIRS = Table(
    key="press_pairs",
    sheet="Side by side",
    explain="Two presses that open by themselves and that one person may run together, garments alternating. "
    "Leave it empty if nobody does.",
    columns=(
        Column(
            "first", "Press", "Sheet Presses; must open by itself", needed=True, choices="presses", width=16
        ),
        Column(
            "second",
            "Press beside it",
            "Sheet Presses; must open by itself, and stay in sight from the first",
            needed=True,
            choices="presses",
            width=18,
        ),
        Column("walk_s", "Walk s", "Seconds from one to the other; blank: none", kind="number"),
    ),
    needed=False,
)

CIRCUITS = Table(
    key="circuits",
    sheet="Circuits",
    explain="One row for each electrical circuit that presses hang on. Ask a licensed electrician.",
    columns=(
        Column("name", "Circuit", "Its name in your shop", needed=True, width=16),
        Column("volts", "Volts", "100 to 480", needed=True, kind="whole"),
        Column("amps", "Amps", "Of its breaker", needed=True, kind="number"),
        Column(
            "continuous_share",
            "Share for long loads",
            "Part of the amps that may be drawn for hours",
            needed=True,
            kind="share",
            width=20,
        ),
        _figures(),
    ),
    needed=False,
)

HOURS = Table(
    key="hours",
    sheet="Hours",
    explain="When the shop is open. A weekday without hours is closed.",
    columns=(
        Column("weekday", "Weekday", "One row each", needed=True, choices="weekdays"),
        Column("open", "Open", "Blank: closed", needed=True, kind="time"),
        Column("close", "Close", "Blank: closed", needed=True, kind="time"),
        Column("overtime_end", "Overtime until", "Blank: none", kind="time"),
    ),
)

COURIERS = Table(
    key="couriers",
    sheet="Couriers",
    explain="The hour by which parcels must stand ready. The first is taken for orders that name none.",
    columns=(
        Column("name", "Courier", "Its name in orders", needed=True, width=18),
        *(
            Column(f"day_{number}", label, "Blank: does not come", kind="time")
            for number, label in enumerate(DAYS)
        ),
    ),
    needed=False,
)

CLOSED_DAYS = Table(
    key="closed_days",
    sheet="Closed days",
    explain="Dates on which nothing is pressed.",
    columns=(
        Column("date", "Date", "Such as 2026-12-25", needed=True, kind="date", width=14),
        Column("why", "Why", "For you; not read", width=30),
    ),
    needed=False,
)

ELEMENT_TIMES = Table(
    key="element_times",
    sheet="Element times",
    explain="Seconds of hands-on work for one garment, by stopwatch, for each way a press is set up.",
    columns=(
        Column("element", "Element", "Keep these names", needed=True, width=40),
        Column("plain", "Plain", "No platen cover, not on a stand", needed=True, kind="number", width=14),
        Column("cover", "Cover", "With platen cover", needed=True, kind="number", width=14),
        Column("stand", "Stand", "On a stand", needed=True, kind="number", width=14),
        Column(
            "cover_and_stand",
            "Cover and stand",
            "With platen cover, on a stand",
            needed=True,
            kind="number",
            width=16,
        ),
        _figures(),
    ),
)

SETUP_COLUMNS: dict[str, Setup] = {
    "plain": Setup.PLAIN,
    "cover": Setup.COVER,
    "stand": Setup.STAND,
    "cover_and_stand": Setup.COVER_AND_STAND,
}
"""Column of the element times to press set-up."""

ALLOWANCES = Table(
    key="allowances",
    sheet="Allowances",
    explain="Times and shares that hold for the whole shop.",
    columns=(
        Column("what", "What", "Keep these names", needed=True, width=30),
        Column("value", "Value", "Yours", needed=True),
        Column("unit", "Unit", "For you; not read"),
        Column("meaning", "Meaning", "For you; not read", width=70),
        _figures(),
    ),
)

SIZES = Table(
    key="sizes",
    sheet="Sizes",
    explain="Garment sizes in the order in which they are printed, and the group that each belongs to.",
    columns=(
        Column("size", "Size", "As in orders", needed=True),
        Column("group", "Size group", "Such as adult or youth", needed=True, width=16),
    ),
)

TRANSFERS = Table(
    key="transfers",
    sheet="Transfers",
    explain="Types of transfer.",
    columns=(
        Column("name", "Transfer", "Its name in orders and recipes", needed=True, width=28),
        Column("spoilage", "Spoilage", "Share of transfers to have spare, such as 2 %", kind="share"),
        _figures(),
    ),
)

FABRICS = Table(
    key="fabrics",
    sheet="Fabrics",
    explain="Fabrics, as orders and recipes name them.",
    columns=(Column("name", "Fabric", "Its name in orders and recipes", needed=True, width=24),),
)

COLOURS = Table(
    key="colours",
    sheet="Colours",
    explain="Garment colours, as they are to stand on the sheets. Leave it empty if any words will do.",
    columns=(
        Column("name", "Colour", "As on the box", needed=True, width=20),
        Column("others", "Also called", "Other names in orders, with commas between", width=40),
    ),
    needed=False,
)

SHOP = Table(
    key="shop",
    sheet="Shop",
    explain="The shop itself.",
    columns=(
        Column("what", "What", "Keep these names", needed=True, width=18),
        Column("value", "Value", "Yours", needed=True, width=40),
    ),
    needed=False,
)

SHOP_TABLES: tuple[Table, ...] = (
    SHOP,
    PRESSES,
    PLATENS,
    PLACEMENTS,
    RECIPES,
    CREW,
    PRESS_PAIRS,
    CIRCUITS,
    HOURS,
    COURIERS,
    CLOSED_DAYS,
    ELEMENT_TIMES,
    ALLOWANCES,
    SIZES,
    TRANSFERS,
    FABRICS,
    COLOURS,
)
"""The sheets of the shop workbook, in their order."""


@dataclass(frozen=True, slots=True)
class AllowanceRow:
    """A row of the sheet of allowances: the field it fills, how it is named, its unit and range."""

    field: str
    label: str
    unit: str
    meaning: str
    most: float
    whole: bool = False
    least: float = 0


ALLOWANCE_ROWS: tuple[AllowanceRow, ...] = (
    AllowanceRow(
        "relaxation",
        "Relaxation",
        "%",
        "Added to every cycle for rest and personal needs: a share of the cycle itself, not of the shift",
        most=1.0,
    ),
    AllowanceRow("fetch_box_min", "Fetch box", "min", "Once a run: fetching the box", most=120),
    AllowanceRow("first_piece_min", "First piece", "min", "Once a run: checking the first piece", most=120),
    AllowanceRow("pressure_min", "Set pressure", "min", "Changeover: setting another pressure", most=120),
    AllowanceRow(
        "line_up_min", "Line up artwork", "min", "Changeover: fetching new artwork and lining it up", most=120
    ),
    AllowanceRow(
        "personal_piece_s",
        "Personal piece",
        "s",
        "Each transfer with a name or number of its own: finding it and lining it up",
        most=600,
    ),
    AllowanceRow(
        "margin_mm",
        "Margin",
        "mm",
        "Free rim that the artwork needs on each side of the platen",
        most=100,
        whole=True,
    ),
    AllowanceRow(
        "least_lot",
        "Least lot",
        "pieces",
        "Fewest pieces worth a lot of their own when a large run is split",
        most=10_000,
        whole=True,
        least=1,
    ),
    AllowanceRow(
        "lot_above_min",
        "Split above",
        "min",
        "A run longer than this may be split into lots",
        most=1440,
        least=1,
    ),
    AllowanceRow("packing_min", "Packing", "min", "Once an order: checking and packing", most=480),
    AllowanceRow("packing_piece_s", "Packing a piece", "s", "Each piece: checking and packing", most=3600),
    AllowanceRow(
        "room_c", "Room temperature", "°C", "Temperature of a cold press", most=45, whole=True, least=-10
    ),
)
"""All fields of the allowances, in the order of their rows."""
