"""The errors that Pressday raises on purpose.

One base class; the command line turns each child into one exit code.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.domain.faults import Fault


class PressdayError(Exception):
    """Base of all errors that Pressday raises on purpose."""


class BadInput(PressdayError):
    """Raised when files or settings can't be planned from; carries every fault found.

    Parameters
    ----------
    faults
        All faults, in reading order; at least one.
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        if not self.faults:
            raise ValueError("BadInput needs at least one fault")
        super().__init__("\n".join(str(fault) for fault in self.faults))


class WrongUsage(PressdayError):
    """Raised when what was asked for can't be, whatever the files say.

    Parameters
    ----------
    option
        What asked for it, as it is typed; empty: several together.
    """

    def __init__(self, why: str, option: str = "") -> None:
        self.option = option
        super().__init__(why)


class NoPlan(PressdayError):
    """Raised when the search ended without any plan that passes the independent check."""


class BrokenPlan(PressdayError):
    """Raised when the independent check refuses a plan: always a defect of the program."""
