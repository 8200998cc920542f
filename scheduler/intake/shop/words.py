"""The words of a shop, as its orders use them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, time

from scheduler.domain.shop import Shop
from scheduler.intake.cells.findings import propose, shown
from scheduler.intake.cells.known import Known
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.sizes import Sizes
from scheduler.intake.cells.values import text
from scheduler.intake.shop.defaults import default_shop, default_sizes
from scheduler.intake.shop.layout import COLOURS, COURIERS, FABRICS, PLACEMENTS, TRANSFERS
from scheduler.intake.shop.writer import known_fabrics, known_transfers
from scheduler.intake.words import name_key

INFANT_SIZES = ("NB", "3M", "6M", "12M", "18M", "24M", "2T", "3T", "4T", "5T", "6T")
"""Sizes of babies and toddlers, in months and years: understood without a shop workbook."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopWords:
    """The shop's names as orders use them.

    Attributes
    ----------
    shop
        None when its workbook has a fault: then only names are checked, as far as its sheets could be
        read, and nothing that depends on hours, couriers, recipes or usual sizes.
        None also when there is none and the trade's usual words serve, see `usual`.
    day
        The day that is planned.
    past_before
        Cut-offs before it are past.
    today
        What day names and dates without a year are read against.
    usual
        There is no shop workbook: nothing that depends on one is checked.
    colours
        Name key of a colour, as it may be written, to its name; empty: any words will do.
    """

    shop: Shop | None
    day: date = date.min
    past_before: date = date.min
    today: date | None = None
    usual: bool = False
    sizes: Sizes
    placements: Known
    transfers: Known
    fabrics: Known
    couriers: Known
    colours: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, shop: Shop) -> ShopWords:
        """The words of a sound shop."""
        return cls(
            shop=shop,
            sizes=Sizes(shop.size_groups),
            placements=Known("placement", PLACEMENTS.sheet, (one.name for one in shop.placements)),
            transfers=Known("transfer", TRANSFERS.sheet, known_transfers(shop)),
            fabrics=Known("fabric", FABRICS.sheet, known_fabrics(shop)),
            couriers=Known("courier", COURIERS.sheet, (one.name for one in shop.couriers)),
            colours={
                name_key(written): name
                for name, others in shop.colours.items()
                for written in (name, *others)
            },
        )

    @classmethod
    def unread(cls) -> ShopWords:
        """Those of a shop workbook of which nothing could be read: any word will do.

        What looks like a size is one, and the usual ones go by their usual names.
        """
        return cls(
            shop=None,
            sizes=Sizes((*INFANT_SIZES, *default_sizes()), unread=True),
            placements=Known("placement", PLACEMENTS.sheet, unread=True),
            transfers=Known("transfer", TRANSFERS.sheet, unread=True),
            fabrics=Known("fabric", FABRICS.sheet, unread=True),
            couriers=Known("courier", COURIERS.sheet, unread=True),
        )

    @classmethod
    def of_the_trade(cls) -> ShopWords:
        """The usual words of the trade, for orders without a shop workbook."""
        shop = default_shop()
        return cls(
            shop=None,
            usual=True,
            sizes=Sizes((*INFANT_SIZES, *default_sizes())),
            placements=Known("placement", "", (one.name for one in shop.placements)),
            transfers=Known("transfer", "", known_transfers(shop)),
            fabrics=Known("fabric", "", known_fabrics(shop)),
            couriers=Known("courier", "", unread=True),
        )

    def on(self, day: date, *, today: date | None = None, past_before: date | None = None) -> ShopWords:
        """The same words for a planned day; without the other two dates that day stands for them."""
        return replace(self, day=day, today=today or day, past_before=past_before or day)

    def colour(self, row: Row) -> str:
        """The colour of a row by the shop's own name; one that isn't on its list stays, with a doubt."""
        written = row.take("colour", text) or ""
        known = self.colours.get(name_key(written))
        if known is not None or not written or not self.colours:
            return known or written
        names = tuple(dict.fromkeys(self.colours.values()))
        mend = f"Printed as it stands. {propose(written, names, COLOURS.sheet)}"
        row.doubt(
            "unknown-colour",
            "colour",
            f"colour {shown(written)}",
            f"a colour from sheet {COLOURS.sheet}",
            mend,
        )
        return written

    def opening(self, on: date) -> time:
        """When the shop opens on a date; midnight on a closed day or when it isn't known."""
        if self.shop is None or on in self.shop.closed_days:
            return time(0)
        hours = self.shop.hours.get(on.weekday())
        return time(0) if hours is None else hours.open

    def usual_size(self, placement: str) -> tuple[int, int]:
        """Width and height in mm that a placement has when an order gives none; 0 when not known."""
        if self.shop is None:
            return 0, 0
        usual = self.shop.placement(placement)
        return usual.width_mm, usual.height_mm
