"""The words of a shop, as its orders use them."""

from __future__ import annotations

from datetime import date, time

from scheduler.domain.shop import Shop
from scheduler.intake.known import Known
from scheduler.intake.order_headings import Sizes
from scheduler.intake.shop_layout import COURIERS, FABRICS, PLACEMENTS, TRANSFERS
from scheduler.intake.shop_writer import known_fabrics, known_transfers


class ShopWords:
    """The shop's names as orders use them."""

    def __init__(self, shop: Shop, planned: date) -> None:
        self.shop = shop
        self.day = planned
        self.sizes = Sizes(shop.size_groups)
        self.placements = Known("placement", PLACEMENTS.sheet, (one.name for one in shop.placements))
        self.transfers = Known("transfer", TRANSFERS.sheet, known_transfers(shop))
        self.fabrics = Known("fabric", FABRICS.sheet, known_fabrics(shop))
        self.couriers = Known("courier", COURIERS.sheet, (one.name for one in shop.couriers))

    def opening(self, on: date) -> time:
        """When the shop opens on a date; midnight on a closed day."""
        hours = self.shop.hours.get(on.weekday())
        return time(0) if hours is None or on in self.shop.closed_days else hours.open
