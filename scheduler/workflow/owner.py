"""Who a command works for: told what is going on, and shown how far a search is, wherever they sit."""

from __future__ import annotations

from contextlib import nullcontext
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterable
    from contextlib import AbstractContextManager

    from scheduler.domain.faults import Fault
    from scheduler.domain.instance import Instance
    from scheduler.engine.solve import Progress


LINE_S = 5.0
"""Seconds after which the next line says how far a work is, when there is news."""

QUIET_S = 30.0
"""Seconds after which a line is said without any news: a wait without a word looks like a stop."""


class Show(Protocol):
    """Something that shows how far the search is."""

    def draw(self, state: Progress | None, stopping: bool) -> None: ...


class Owner(Protocol):
    """Who is told and shown what happens while a command works; its answer comes at the end."""

    def tell(self, words: str) -> None:
        """Say a line."""

    def tell_faults(self, findings: Iterable[Fault]) -> None:
        """Say faults or doubts."""

    def watch(
        self, instance: Instance, *, effort: str, seconds: float | None
    ) -> AbstractContextManager[Show]:
        """Show a search of some effort, which ends after so many seconds at the latest."""


class Unshown:
    """Shows nothing."""

    def draw(self, state: Progress | None, stopping: bool) -> None:
        """Draw nothing."""


class Nobody:
    """Nobody listens: for programs and tests that only want the answer."""

    def tell(self, words: str) -> None:
        """Say nothing."""

    def tell_faults(self, findings: Iterable[Fault]) -> None:
        """Say nothing."""

    def watch(
        self, instance: Instance, *, effort: str, seconds: float | None
    ) -> AbstractContextManager[Show]:
        """Show nothing."""
        return nullcontext(Unshown())
