"""The computer's clock: the one place at which commands read it, so that a test can set it."""

from __future__ import annotations

from datetime import date, datetime

clock = datetime.now
"""What is asked for the time, without a zone."""


def now() -> datetime:
    """The present moment."""
    return clock()


def this_minute() -> datetime:
    """The present moment, without its seconds: the finest that anyone writes on a sheet."""
    return clock().replace(second=0, microsecond=0)


def this_day() -> date:
    """Today's date."""
    return clock().date()
