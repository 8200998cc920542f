"""Functions for other processes to call: these look for them here, where no test runner has to be loaded."""

from __future__ import annotations

import os
import signal
import time

LONG_S = 600.0


def squared(number: int) -> int:
    if number < 0:
        raise ValueError(f"{number} is below 0")
    return number * number


def killed_at_three(number: int) -> int:
    if number == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def asleep_after_the_first(number: int) -> int:
    if number:
        time.sleep(LONG_S)
    return os.getpid()


def told_to_stop(number: int) -> int:
    """Ctrl-C as the terminal sends it, to this process alone."""
    signal.raise_signal(signal.SIGINT)
    return number
