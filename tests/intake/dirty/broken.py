"""Files whose bytes are damaged: flipped, cut off, spliced; reading them ends in orders or in faults."""

from __future__ import annotations

import random
import tempfile
import time
import traceback
from collections import Counter
from functools import cache
from pathlib import Path

from scheduler.intake import scan_orders
from tests.intake.dirty.files import as_bytes
from tests.intake.dirty.judge import SHOP
from tests.intake.dirty.sheet import DAY, sound
from tests.intake.files.made_files import xls_bytes

LONGEST_S = 60
"""No file may take longer; far above what any takes, since the machine may be busy."""


@cache
def _whole(kind: str) -> bytes:
    dirty = sound(random.Random(7), SHOP)
    if kind == "xls":
        return xls_bytes([[cell.value for cell in line.cells] for line in dirty.all_lines()])
    return as_bytes(dirty, kind, random.Random(7))


def broken(seed: int) -> tuple[str, bytes]:
    """Kind and bytes of a damaged file; the same for the same seed."""
    dice = random.Random(seed)
    kind = dice.choice(["xlsx", "ods", "xls", "csv"])
    data = bytearray(_whole(kind))
    how = dice.choice(["flip", "flip", "cut", "splice", "repeat", "zero"])
    at, size = dice.randrange(len(data)), dice.randint(1, 200)
    if how == "flip":
        for _ in range(dice.randint(1, 20)):
            data[dice.randrange(len(data))] = dice.randrange(256)
    elif how == "cut":
        del data[at:]
    elif how == "splice":
        other = _whole(dice.choice(["xlsx", "ods", "xls", "csv"]))
        data[at:] = other[dice.randrange(len(other)) :]
    elif how == "repeat":
        data[at:at] = data[at : at + size]
    else:
        data[at : at + size] = bytes(len(data[at : at + size]))
    return kind, bytes(data)


def judged_bytes(seed: int, outcomes: Counter[str] | None = None) -> list[str]:
    """What is wrong with how one damaged file was read; empty when nothing is."""
    kind, data = broken(seed)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"orders.{kind}"
        path.write_bytes(data)
        start = time.monotonic()
        try:
            orders, found = scan_orders([path], SHOP, DAY)
        except Exception:
            return [f"seed {seed}, {kind}: {traceback.format_exc(limit=-4)}"]
        took = time.monotonic() - start
    if outcomes is not None:
        outcomes[f"{kind}: {found[0].code if found else 'read' if orders else 'NOTHING'}"] += 1
    if not orders and not found:
        return [f"seed {seed}, {kind}: neither orders nor findings"]
    return [f"seed {seed}, {kind}: took {took:.0f} s"] if took > LONGEST_S else []
