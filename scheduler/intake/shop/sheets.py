"""Presses, platens, placements, recipes and circuits: from the rows of their sheets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.domain.figures import in_percent
from scheduler.domain.shop import Circuit, Opening, Peel, Placement, Platen, Press, Pressure, Recipe
from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.cells.known import Known
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.values import choice, names, number, share, text, whole, yes_no
from scheduler.intake.words import name_key

_MARKS = ",;+/"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopNames:
    """All names that the sheets of the shop lay down."""

    presses: Known
    platens: Known
    placements: Known
    circuits: Known
    transfers: Known
    fabrics: Known
    size_groups: Known
    skills: Known


def new_name(row: Row, seen: dict[str, str], what: str, key: str = "name") -> str | None:
    """A name that a row lays down: not blank, not there before, without marks that join names."""
    name = row.need(key, text)
    if name is None:
        return None
    first = seen.setdefault(name_key(name), row.source(key).cell)
    if first != row.source(key).cell:
        found = f"{what} {shown(name)} a second time"
        row.fault(
            "name-twice",
            key,
            found,
            "each name once",
            f"The first stands in {first}; rename one or delete it.",
        )
    if what in ("placement", "platen"):
        is_plain(row, key, what, name)
    return name


def is_plain(row: Row, key: str, what: str, name: str) -> bool:
    """True for a name without the marks that join names; otherwise a fault is noted."""
    if not any(mark in name for mark in _MARKS):
        return True
    expected = f"a name without {' '.join(_MARKS)}, which stand between names"
    mend = "Take the mark out of the name everywhere."
    row.fault("name-with-mark", key, f"{what} {shown(name)}", expected, mend)
    return False


def read_presses(rows: Iterator[Row], names: ShopNames) -> Iterator[tuple[Row, Press]]:
    """The presses whose rows are sound."""
    seen: dict[str, str] = {}
    for row in rows:
        name = new_name(row, seen, "press")
        opening = row.take("opening", choice("opening", what="opening"))
        self_opening = row.take("self_opening", yes_no, "opens by itself")
        on_stand = row.take("on_stand", yes_no)
        platen_cover = row.take("platen_cover", yes_no)
        low = row.need("temp_min_c", whole(20, 300, "°C"), "lowest °C")
        high = row.need("temp_max_c", whole(20, 300, "°C"), "highest °C")
        heat = row.need("heat_c_per_min", number(0, 100, "°C/min", above=True), "heating")
        cool = row.need("cool_c_per_min", number(0, 100, "°C/min", above=True), "cooling")
        warm_up = row.take("warm_up_min", number(0, 240, "min"), "warm-up")
        watts = row.need("watts", whole(50, 20_000, "W"))
        circuit = names.circuits.take(row, "circuit")
        platens = names.platens.take_all(row, "platens", needed=True)
        mounted = names.platens.take(row, "mounted")
        skill = names.skills.take(row, "skill")
        if low is not None and high is not None and low >= high:
            expected = f"more than the lowest, {low} °C"
            row.fault(
                "temperatures-backwards",
                "temp_max_c",
                f"highest {high} °C",
                expected,
                "Correct one of the two.",
            )
        if mounted and platens and mounted not in platens:
            mend = "Add it to the platens that fit, or name another."
            row.fault(
                "mounted-does-not-fit", "mounted", f"mounted {shown(mounted)}", "a platen that fits", mend
            )
        if (
            row.sound
            and name is not None
            and low is not None
            and high is not None
            and heat is not None
            and cool is not None
            and watts is not None
        ):
            yield (
                row,
                Press(
                    name=name,
                    opening=Opening(opening) if opening else Opening.CLAM,
                    self_opening=bool(self_opening),
                    on_stand=bool(on_stand),
                    platen_cover=bool(platen_cover),
                    temp_min_c=low,
                    temp_max_c=high,
                    heat_c_per_min=heat,
                    cool_c_per_min=cool,
                    warm_up_min=warm_up,
                    watts=watts,
                    circuit=circuit,
                    platens=platens,
                    mounted=mounted,
                    skill=skill,
                    source=row.source("name"),
                ),
            )


def read_platens(rows: Iterator[Row], names: ShopNames) -> Iterator[tuple[Row, Platen]]:
    """The platens whose rows are sound."""
    seen: dict[str, str] = {}
    side = whole(20, 2000, "mm")
    for row in rows:
        name = new_name(row, seen, "platen")
        width = row.need("width_mm", side)
        height = row.need("height_mm", side)
        count = row.need("count", whole(1, 100), "owned")
        placements = names.placements.take_all(row, "placements", needed=True)
        second = names.placements.take_all(row, "second_placements")
        second_width = row.take("second_width_mm", side)
        second_height = row.take("second_height_mm", side)
        groups = names.size_groups.take_all(row, "size_groups")
        swap = row.need("swap_min", number(0, 120, "min"), "swap")
        pre_heat = row.take("pre_heat_min", number(0, 120, "min"), "pre-heat")
        parts = ("second_placements", "second_width_mm", "second_height_mm")
        missing = [key for key in parts if not row.has(key)]
        if 0 < len(missing) < len(parts):
            expected = "placements, width and height of the second place, or none of them"
            row.fault(
                "second-place-incomplete", missing[0], "nothing", expected, "Fill in all three or clear them."
            )
        if (
            row.sound
            and name is not None
            and width is not None
            and height is not None
            and count is not None
            and swap is not None
        ):
            yield (
                row,
                Platen(
                    name=name,
                    width_mm=width,
                    height_mm=height,
                    count=count,
                    placements=placements,
                    second_placements=second,
                    second_width_mm=second_width,
                    second_height_mm=second_height,
                    size_groups=groups,
                    swap_min=swap,
                    pre_heat_min=pre_heat or 0.0,
                    source=row.source("name"),
                ),
            )


def read_placements(
    rows: Iterator[Row], names: ShopNames, positions: dict[str, str]
) -> Iterator[tuple[Row, Placement]]:
    """The placements whose rows are sound; `positions` leads from column key to size group ("" for all)."""
    seen: dict[str, str] = {}
    side = whole(5, 2000, "mm")
    for row in rows:
        name = new_name(row, seen, "placement")
        width = row.need("width_mm", side)
        height = row.need("height_mm", side)
        inside = row.take("inside", yes_no)
        turnable = row.take("turnable", yes_no, "may lie turned")
        after = names.placements.take_all(row, "after")
        pairs = names.placements.take_all(row, "pairs_with")
        words = {group: row.take(key, text) for key, group in positions.items()}
        if name and name in pairs:
            row.fault(
                "pairs-with-itself",
                "pairs_with",
                f"{shown(name)} itself",
                "other placements",
                "Take it out of the cell.",
            )
        if row.sound and name is not None and width is not None and height is not None:
            yield (
                row,
                Placement(
                    name=name,
                    positions={group: position for group, position in words.items() if position},
                    width_mm=width,
                    height_mm=height,
                    inside=bool(inside),
                    turnable=turnable is not False,
                    after=after,
                    pairs_with=pairs,
                    source=row.source("name"),
                ),
            )


def _recipe_twice(row: Row, transfer: str, fabric: str, first: str) -> None:
    """A recipe that is there already, in the words of its cells: another may be meant, and misspelt."""
    read = []
    for key, name in (("transfer", transfer), ("fabric", fabric)):
        written = text(row.value(key))
        same = name_key(written) == name_key(name)
        read.append(shown(name) if same else f"{shown(written)}, read as {shown(name)},")
    row.fault(
        "recipe-twice",
        "fabric",
        f"{read[0]} on {read[1]} a second time",
        "one recipe for each transfer on a fabric",
        f"The first stands in {first}. If another transfer or fabric is meant here, write that; "
        "else delete one.",
    )


def read_recipes(rows: Iterator[Row], names: ShopNames) -> Iterator[tuple[Row, Recipe]]:
    """The recipes whose rows are sound."""
    seen: dict[tuple[str, str], str] = {}
    for row in rows:
        transfer = names.transfers.take(row, "transfer", needed=True)
        fabric = names.fabrics.take(row, "fabric", needed=True)
        temp = row.need("temp_c", whole(90, 230, "°C", what="temperature"), "temperature")
        pressure = row.need("pressure", choice("pressure", what="pressure"))
        pre_press = row.take("pre_press_s", whole(0, 60, "s"), "pre-press")
        dwell = row.need("dwell_s", whole(1, 180, "s", what="dwell"), "dwell")
        peel = row.need("peel", choice("peel", what="peel"))
        cooling = row.take("cooling_s", whole(0, 3600, "s"), "cooling")
        second = row.take("second_press_s", whole(0, 180, "s"), "second press")
        if transfer and fabric:
            cell = row.source("transfer").cell
            first = seen.setdefault((transfer, fabric), cell)
            if first != cell:
                _recipe_twice(row, transfer, fabric, first)
        if peel == Peel.COLD and not cooling and row.sound:
            mend = "Fill in the seconds; until then it is planned without cooling."
            row.doubt(
                "cold-peel-without-cooling",
                "cooling_s",
                "no cooling",
                "seconds of cooling for a cold peel",
                mend,
            )
        if (
            row.sound
            and transfer is not None
            and fabric is not None
            and temp is not None
            and pressure is not None
            and dwell is not None
            and peel is not None
        ):
            yield (
                row,
                Recipe(
                    transfer=transfer,
                    fabric=fabric,
                    temp_c=temp,
                    pressure=Pressure(pressure),
                    pre_press_s=pre_press or 0,
                    dwell_s=dwell,
                    peel=Peel(peel),
                    cooling_s=cooling or 0,
                    second_press_s=second or 0,
                    source=row.source("transfer"),
                ),
            )


def read_circuits(rows: Iterator[Row]) -> Iterator[tuple[Row, Circuit]]:
    """The circuits whose rows are sound."""
    seen: dict[str, str] = {}
    for row in rows:
        name = new_name(row, seen, "circuit")
        volts = row.need("volts", whole(100, 480, "V"))
        amps = row.need("amps", number(0, 400, "A", above=True))
        part = row.need("continuous_share", share(one_is=1.0), "share for long loads")
        if part == 0:
            row.fault("share-out-of-range", "continuous_share", "share 0", "above 0", "Write it as 80 %.")
        if row.sound and name is not None and volts is not None and amps is not None and part is not None:
            yield (
                row,
                Circuit(name=name, volts=volts, amps=amps, continuous_share=part, source=row.source("name")),
            )


def read_names(rows: Iterator[Row], what: str, key: str = "name") -> Iterator[tuple[Row, str]]:
    """The names in a column, each once."""
    seen: dict[str, str] = {}
    for row in rows:
        name = new_name(row, seen, what, key)
        if name is not None and row.sound:
            yield row, name


def read_colours(rows: Iterator[Row]) -> dict[str, tuple[str, ...]]:
    """Colours with the other names they go by; a name that stands for two is a fault."""
    found: dict[str, tuple[str, ...]] = {}
    meant: dict[str, str] = {}
    for row, name in read_names(rows, "colour"):
        others = row.take("others", names) or ()
        for other in (name, *others):
            first = meant.setdefault(name_key(other), name)
            if first != name:
                mend = f"Take it out of {shown(first)} or of {shown(name)}."
                found_text = f"{shown(other)}, which stands for {shown(first)} already"
                row.fault("colour-twice", "others", found_text, "each name for one colour", mend)
        found[name] = others
    return found


def read_spoilage(row: Row, findings: Findings) -> float:
    """The share of transfers to have spare; 0 when blank."""
    part = row.take("spoilage", share(one_is=0.01)) or 0.0
    if part > 0.2:
        source = row.source("spoilage")
        mend = "If half a percent was meant, write 0.5 %."
        findings.doubt(
            "spoilage-large", source, f"spoilage of {in_percent(part)}", "at most 20 % as a rule", mend
        )
    return part
