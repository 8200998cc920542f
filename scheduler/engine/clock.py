"""When a search has to end."""

from __future__ import annotations

import time
from collections.abc import Callable


class Clock:
    """Wall time, the safety stop, and the user's stop."""

    def __init__(self, seconds: float, stop: Callable[[], bool] | None, search_share: float) -> None:
        self._begin = time.perf_counter()
        self._seconds = seconds
        self._stop = stop
        self._search_share = search_share
        self._told = False
        self.stopped = False

    @property
    def elapsed_s(self) -> float:
        return time.perf_counter() - self._begin

    def left_s(self, share: float = 1.0) -> float:
        """Seconds until that share of the time is over; at least 0."""
        return max(0.0, share * self._seconds - self.elapsed_s)

    def gone(self) -> float:
        """Share of the seconds that is over."""
        return self.elapsed_s / self._seconds if self._seconds > 0 else 1.0

    @property
    def search_s(self) -> float:
        """Seconds that there are to search in all."""
        return self._search_share * self._seconds

    def search_left_s(self) -> float:
        """Seconds that are left to search; at least 0."""
        return self.left_s(self._search_share)

    @property
    def limit_s(self) -> float | None:
        """The seconds that it has, when they ended something and the user didn't; else None."""
        return self._seconds if self.stopped and not self._told else None

    def over(self, share: float = 1.0) -> bool:
        """Whether to stop now, because of the user or when that share of the time is over.

        That it said so is remembered in `stopped`.
        """
        if not self._told and self._stop is not None and self._stop():
            self._told = True
        over = self._told or self.elapsed_s >= share * self._seconds
        self.stopped = self.stopped or over
        return over

    def search_over(self) -> bool:
        """Whether to stop searching, with time left for bounds."""
        return self.over(self._search_share)

    def will_stop(self) -> None:
        """Note that the time is going to end the search: the plan hangs on it from now on."""
        self.stopped = True
