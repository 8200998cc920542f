"""The shop workbook as a Shop, with everything that is wrong with it by cell."""

from __future__ import annotations

from pathlib import Path

from scheduler.domain.faults import Fault, Source
from scheduler.domain.shop import Allowances, Element, Setup, Shop
from scheduler.exceptions import BadInput
from scheduler.intake.cells.findings import Findings
from scheduler.intake.cells.known import Known
from scheduler.intake.cells.rows import Row, rows_under
from scheduler.intake.cells.sizes import Sizes
from scheduler.intake.cells.values import names, text
from scheduler.intake.files.grid import Book
from scheduler.intake.files.guard import Refused
from scheduler.intake.files.labels import printable
from scheduler.intake.files.reader import open_book
from scheduler.intake.shop import checks as shop_checks
from scheduler.intake.shop import crew as shop_crew
from scheduler.intake.shop import layout, press_pairs
from scheduler.intake.shop import sheets as shop_sheets
from scheduler.intake.shop import times as shop_times
from scheduler.intake.shop.book import ShopSheets
from scheduler.intake.shop.words import ShopWords
from scheduler.intake.words import heading_key, name_key, words


def read_shop(path: Path | str) -> Shop:
    """Read a shop workbook.

    Raises
    ------
    scheduler.exceptions.BadInput
        With every fault and doubt found, by cell, when there is at least one fault.
    """
    shop, found = scan_shop(path)
    if shop is None:
        raise BadInput(found)
    return shop


def scan_shop(path: Path | str) -> tuple[Shop | None, tuple[Fault, ...]]:
    """Read a shop workbook; the shop (None when there is a fault) and all faults and doubts."""
    words, found = scan_shop_words(path)
    return words.shop, found


def scan_shop_words(path: Path | str) -> tuple[ShopWords, tuple[Fault, ...]]:
    """The same, with the words that its orders may use even when there is a fault.

    With them the orders can be read, so that a mistake in the shop doesn't hide those in the orders.
    """
    try:
        book = open_book(path)
    except Refused as refused:
        return ShopWords.unread(), (refused.fault,)
    return scan_shop_book(book, Path(path).stem)


def scan_shop_book(book: Book, name: str) -> tuple[ShopWords, tuple[Fault, ...]]:
    """The same for a workbook that is read already; `name` is the shop's when the workbook gives none."""
    findings = Findings()
    stranger = _no_shop_workbook(book)
    if stranger is not None:
        return ShopWords.unread(), (stranger,)
    findings.extend(book.doubts)
    sheets = _ShopReading(book, findings)
    shop = sheets.read(printable(name))
    return (sheets.words() if findings.faults else ShopWords.of(shop)), findings.all


def _no_shop_workbook(book: Book) -> Fault | None:
    """The one fault of a file none of whose sheets is a shop's, instead of one for each missing sheet."""
    tables = {words().sheets.get(heading_key(grid.sheet)) for grid in book.grids}
    if tables & {table.key for table in layout.SHOP_TABLES}:
        return None
    first = ", ".join(f'"{table.sheet}"' for table in layout.SHOP_TABLES[1:5])
    return Fault(
        code="not-a-shop-workbook",
        source=Source(file=book.file),
        found="this is a workbook with orders"
        if "orders" in tables
        else "a file without any sheet of a shop",
        expected=f"a shop workbook, with sheets {first} and so on",
        mend="Name the shop workbook; a new shop folder has one to fill in.",
    )


class _ShopReading(ShopSheets):
    """From the sheets of one workbook to a Shop."""

    def read(self, stem: str) -> Shop:
        """The whole shop, as far as its sheets are sound."""
        name = self._name() or stem
        all_names = self._names()
        circuits = list(shop_sheets.read_circuits(self.rows(layout.CIRCUITS)))
        presses = list(shop_sheets.read_presses(self.rows(layout.PRESSES), all_names))
        platens = list(shop_sheets.read_platens(self.rows(layout.PLATENS), all_names))
        placements = list(
            shop_sheets.read_placements(self.rows(layout.PLACEMENTS), all_names, self._positions(all_names))
        )
        recipes = list(shop_sheets.read_recipes(self.rows(layout.RECIPES), all_names))
        crew_rows, crew = shop_crew.read_crew(self.rows(layout.CREW))
        pairs = list(
            press_pairs.read_pairs(
                self.rows(layout.PRESS_PAIRS), all_names.presses, [press for _, press in presses]
            )
        )
        told = self.findings.fault_count
        hours = shop_times.read_hours(self.rows(layout.HOURS))
        known_hours = bool(hours) and self.findings.fault_count == told
        couriers = tuple(shop_times.read_couriers(self.rows(layout.COURIERS), hours, hours_known=known_hours))
        closed = shop_times.read_closed_days(self.rows(layout.CLOSED_DAYS))
        elements = self._elements()
        allowances = self._allowances()
        sizes = self._sizes()
        transfers = []
        spoilage = {}
        for row, transfer in shop_sheets.read_names(self.rows(layout.TRANSFERS), "transfer"):
            transfers.append((row, transfer))
            spoilage[transfer] = shop_sheets.read_spoilage(row, self.findings)
        fabrics = list(shop_sheets.read_names(self.rows(layout.FABRICS), "fabric"))
        colours = shop_sheets.read_colours(self.rows(layout.COLOURS))
        for table, count, code, what in (
            (layout.PRESSES, len(presses), "no-press", "press"),
            (layout.PLATENS, len(platens), "no-platen", "platen"),
            (layout.PLACEMENTS, len(placements), "no-placement", "placement"),
            (layout.RECIPES, len(recipes), "no-recipe", "recipe"),
            (layout.CREW, len(crew), "no-crew", "person"),
            (layout.HOURS, len(hours), "no-hours", "open day"),
            (layout.SIZES, len(sizes), "no-size", "size"),
        ):
            self.at_least_one(table, count, code, what)
        shop = Shop(
            name=name,
            presses=tuple(press for _, press in presses),
            platens=tuple(platen for _, platen in platens),
            placements=tuple(placement for _, placement in placements),
            recipes=tuple(recipe for _, recipe in recipes),
            crew=crew,
            circuits=tuple(circuit for _, circuit in circuits),
            hours=hours,
            closed_days=closed,
            couriers=couriers,
            press_pairs=tuple(pair for _, pair in pairs),
            elements=elements,
            allowances=allowances,
            size_groups=sizes,
            spoilage=spoilage,
            fabrics=tuple(fabric for _, fabric in fabrics),
            colours=colours,
            defaults=tuple(table.sheet for table in layout.SHOP_TABLES if table.sheet in self.defaults),
        )
        shop_checks.check_presses(presses, shop.platens, shop.circuits, allowances.room_c)
        if self.whole(layout.PRESSES):
            shop_checks.check_platens_fit(platens, shop.presses)
            shop_checks.check_recipes(recipes, shop.presses)
        if self.whole(layout.PLACEMENTS):
            shop_checks.check_second_places(platens, shop.placements)
        if all(self.whole(table) for table in (layout.PRESSES, layout.PLATENS, layout.CREW)):
            press_pairs.check_use(pairs, shop)
        shop_checks.check_circles(placements)
        if self.whole(layout.PLATENS):
            shop_checks.check_placements_served(placements, shop.platens)
        if known_hours:
            shop_crew.check_crew(crew_rows, shop)
            if self.whole(layout.CREW):
                shop_crew.check_opening(crew_rows, shop)
                shop_crew.check_shifts(crew_rows, shop)
        if self.whole(layout.RECIPES):
            shop_checks.check_use(shop, transfers, fabrics)
        return shop

    def words(self) -> ShopWords:
        """The names that orders may use, as far as the sheets could be read."""
        names = self._names()
        sizes = self.known("size", layout.SIZES, "size")
        return ShopWords(
            shop=None,
            sizes=Sizes(sizes.names, unread=sizes.unread),
            placements=names.placements,
            transfers=names.transfers,
            fabrics=names.fabrics,
            couriers=self.known("courier", layout.COURIERS),
        )

    def _name(self) -> str:
        for row in self.rows(layout.SHOP):
            if name_key(row.take("what", text) or "") == "name":
                return row.take("value", text) or ""
        return ""

    def _names(self) -> shop_sheets.ShopNames:
        skills: list[str] = []
        if layout.CREW.key in self.found:
            grid, headings = self.found[layout.CREW.key]
            for row in rows_under(grid, headings, Findings()):
                skills.extend(row.take("skills", names) or ())
        return shop_sheets.ShopNames(
            presses=self.known("press", layout.PRESSES),
            platens=self.known("platen", layout.PLATENS),
            placements=self.known("placement", layout.PLACEMENTS),
            circuits=self.known("circuit", layout.CIRCUITS),
            transfers=self.known("transfer", layout.TRANSFERS),
            fabrics=self.known("fabric", layout.FABRICS),
            size_groups=self.known("size group", layout.SIZES, "group"),
            skills=Known("skill", layout.CREW.sheet, skills, unread=not self.known("", layout.CREW).names),
        )

    def _positions(self, all_names: shop_sheets.ShopNames) -> dict[str, str]:
        """Position columns by size group; a heading with a group that is none is a fault."""
        if layout.PLACEMENTS.key not in self.found:
            return {}
        grid, headings = self.found[layout.PLACEMENTS.key]
        heading = Row(grid, headings.row, headings, self.findings)
        positions: dict[str, str] = {}
        for key in headings.columns:
            if key == "position":
                positions[key] = ""
            elif key.startswith("position "):
                group = all_names.size_groups.match(heading, key, key.removeprefix("position "))
                if group:
                    positions[key] = group
        return positions

    def _elements(self) -> dict[tuple[Element, Setup], float]:
        found: dict[Element, dict[Setup, float]] = {}
        for _, element, times in shop_times.read_elements(self.rows(layout.ELEMENT_TIMES)):
            found.setdefault(element, times)
        if layout.ELEMENT_TIMES.key in self.found:
            grid, headings = self.found[layout.ELEMENT_TIMES.key]
            for element in shop_times.missing_elements(found):
                source = grid.source(headings.row, headings.columns.get("element", 0))
                mend = "Add a row for it."
                self.findings.fault(
                    "element-missing", source, f'no row "{element.value}"', "every element", mend
                )
        return {(element, setup): seconds for element in found for setup, seconds in found[element].items()}

    def _allowances(self) -> Allowances:
        allowances, missing = shop_times.read_allowances(self.rows(layout.ALLOWANCES))
        if layout.ALLOWANCES.key in self.found:
            grid, headings = self.found[layout.ALLOWANCES.key]
            for label in missing:
                source = grid.source(headings.row, headings.columns.get("what", 0))
                mend = "Add a row for it; until then the program's own figure holds."
                self.findings.doubt("allowance-missing", source, f'no row "{label}"', "every allowance", mend)
        return allowances

    def _sizes(self) -> dict[str, str]:
        sizes: dict[str, str] = {}
        groups: dict[str, str] = {}
        for row, size in shop_sheets.read_names(self.rows(layout.SIZES), "size", "size"):
            group = row.need("group", text, "size group")
            if group and not shop_sheets.is_plain(row, "group", "size group", group):
                continue
            if group:
                sizes[size] = groups.setdefault(name_key(group), group)
        return sizes


__all__ = ["read_shop", "scan_shop", "scan_shop_book", "scan_shop_words"]
