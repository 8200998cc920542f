"""Write the example workbooks: the shop, the day's orders, a rush, a small day and a busy week.

Run it as `python -m example_orders.make_examples [FOLDER]` or by its path; without a folder the
workbooks beside it are written anew. The scenario stands in `shop_data.py`, `day_data.py` and
`peak_data.py`.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

HERE = Path(__file__).resolve().parent
if __name__ == "__main__":
    sys.path.insert(0, str(HERE.parent))

from example_orders.booking import Booked, book  # noqa: E402
from example_orders.day_data import ORDERS, RUSH, SMALL  # noqa: E402
from example_orders.owner_sheet import write_owner_sheet  # noqa: E402
from example_orders.peak_data import peak_text  # noqa: E402
from example_orders.shop_data import example_shop  # noqa: E402
from scheduler.domain.orders import Order  # noqa: E402
from scheduler.intake import write_orders, write_shop  # noqa: E402

_WRITTEN = (2027, 3, 8, 18, 0, 0)
_MOMENT = re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*(</dcterms:)")


def scenarios() -> dict[str, tuple[Booked, ...]]:
    """The orders of each workbook, by file name."""
    return {
        "orders.xlsx": book(ORDERS),
        "rush.xlsx": book(RUSH),
        "small.xlsx": book(SMALL),
        "peak.xlsx": book(peak_text()),
    }


def orders_in(name: str) -> tuple[Order, ...]:
    """The orders that a workbook holds."""
    return tuple(booked.order for booked in scenarios()[name])


def make(folder: Path) -> tuple[Path, ...]:
    """Write all workbooks into a folder and answer their paths.

    Raises
    ------
    OSError
        When the folder can't be written.
    """
    shop = example_shop()
    paths = [folder / "shop.xlsx"]
    write_shop(shop, paths[0])
    for name, orders in scenarios().items():
        paths.append(folder / name)
        if name == "orders.xlsx":
            write_owner_sheet(orders, paths[-1])
        else:
            write_orders([booked.order for booked in orders], paths[-1], shop)
    for path in paths:
        settle(path)
    return tuple(paths)


def settle(path: Path) -> None:
    """Take the hour of writing out of a workbook, so that the same content gives the same file."""
    with ZipFile(path) as given:
        parts = [(name, given.read(name)) for name in given.namelist()]
    moment = "{}-{:02}-{:02}T{:02}:{:02}:{:02}Z".format(*_WRITTEN).encode()
    with ZipFile(path, "w") as settled:
        for name, content in parts:
            info = ZipInfo(name, date_time=_WRITTEN)
            info.compress_type = ZIP_DEFLATED
            if name == "docProps/core.xml":
                content = _MOMENT.sub(rb"\g<1>" + moment + rb"\g<3>", content)
            settled.writestr(info, content)


if __name__ == "__main__":
    made_in = Path(sys.argv[1]) if len(sys.argv) > 1 else HERE
    for written in make(made_in):
        print(written)
