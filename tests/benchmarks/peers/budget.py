"""Processor time as the budget of a peer: the same on a busy machine and on an idle one."""

from __future__ import annotations

import time

WORKERS = 2
"""Threads of a constraint solver; the engine's chains run on as many."""


class Budget:
    """So many processor seconds, from now on, of all threads of this process."""

    def __init__(self, cpu_s: float) -> None:
        self.cpu_s = cpu_s
        self._begin = time.process_time()

    @property
    def used_s(self) -> float:
        return time.process_time() - self._begin

    @property
    def left_s(self) -> float:
        return max(0.0, self.cpu_s - self.used_s)

    def over(self) -> bool:
        return self.used_s >= self.cpu_s

    def part(self, share: float) -> Budget:
        """A share of what is left, from now on."""
        return Budget(share * self.left_s)
