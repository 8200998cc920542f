"""From spreadsheets to the domain: reading shops and orders, and writing their workbooks.

Reading never stops at the first fault: everything wrong is reported at once, each with its cell.
"""

from scheduler.intake.files.reader import open_book
from scheduler.intake.orders.headings.kept import KEPT_NAME, Kept, Kind, read_kept, write_kept
from scheduler.intake.orders.reader import (
    KeptBack,
    OrdersRead,
    look_at_orders,
    open_orders,
    read_orders,
    scan_orders,
    written_cut_offs,
)
from scheduler.intake.orders.writer import write_orders
from scheduler.intake.shop.changed import scan_changed_shop
from scheduler.intake.shop.changes_reader import scan_changes, write_changes_form
from scheduler.intake.shop.crew import NOBODY_THEN
from scheduler.intake.shop.defaults import default_shop
from scheduler.intake.shop.reader import read_shop, scan_shop, scan_shop_words
from scheduler.intake.shop.untimed import untimed_elements
from scheduler.intake.shop.words import ShopWords
from scheduler.intake.shop.writer import write_shop
from scheduler.intake.shop_folder import write_shop_folder

__all__ = [
    "KEPT_NAME",
    "NOBODY_THEN",
    "Kept",
    "KeptBack",
    "Kind",
    "OrdersRead",
    "ShopWords",
    "default_shop",
    "look_at_orders",
    "open_book",
    "open_orders",
    "read_kept",
    "read_orders",
    "read_shop",
    "scan_changed_shop",
    "scan_changes",
    "scan_orders",
    "scan_shop",
    "scan_shop_words",
    "untimed_elements",
    "write_changes_form",
    "write_kept",
    "write_orders",
    "write_shop",
    "write_shop_folder",
    "written_cut_offs",
]
