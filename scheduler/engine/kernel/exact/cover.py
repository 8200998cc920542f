"""What runs cost in changeovers at least, from wherever the machines stand: the tables of covers."""

from __future__ import annotations

from typing import Any

from ..jit import kernel
from .layout import (
    CLASS_FROM,
    CLASS_WAY,
    CLASSES,
    COVERS,
    LEAST,
    LEAST_AT,
    LEAST_SIZE,
    LOTS,
    SETUP_STATES,
    SETUPS,
    STRIDE,
)


@kernel
def fill_cover(day: Any, cover: Any) -> None:
    """Fill the three tables: what the classes of each set cost at least, from each setup of the machines.

    Without time, people or scarce platens: every class in turn goes to any machine that can do it.
    """
    states, classes = day[SETUP_STATES], day[CLASSES]
    for table in range(3):
        at = table * day[COVERS]
        for column in range(states):
            cover[at + column] = 0
        for chosen in range(1, 1 << classes):
            for column in range(states):
                cover[at + chosen * states + column] = LOTS
            for number in range(classes):
                if not chosen >> number & 1:
                    continue
                rest = at + (chosen & ~(1 << number)) * states
                for k in range(day[day[CLASS_FROM] + number], day[day[CLASS_FROM] + number + 1]):
                    machine = day[day[CLASS_WAY] + 2 * k]
                    setup = day[day[CLASS_WAY] + 2 * k + 1]
                    stride, setups = day[day[STRIDE] + machine], day[day[SETUPS] + machine]
                    least = day[LEAST] + table * day[LEAST_SIZE] + day[day[LEAST_AT] + machine]
                    for column in range(states):
                        before = column // stride % setups
                        cost = (
                            day[least + before * setups + setup]
                            + cover[rest + column + (setup - before) * stride]
                        )
                        if cost < cover[at + chosen * states + column]:
                            cover[at + chosen * states + column] = cost
