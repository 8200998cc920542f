"""That a search was stopped early: the same words after every command that searches."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scheduler.workflow.stopped import Stopped


def stopped_line(
    stopped: Stopped | None, *, what: str = "The search was", same: str = "the same plan"
) -> str:
    """The sentence that says so.

    Parameters
    ----------
    stopped
        None: it isn't known any more why.
    what, same
        What was stopped, with its verb, and what another run need not give.
    """
    why = "" if stopped is None else f": {stopped.why}"
    return f"{what} stopped early{why}; another run need not give {same}."
