"""What holds for all tests: fixed examples, Ctrl-C is heard, and the engine reports no error unheard."""

from __future__ import annotations

import logging
import signal
import threading
from collections.abc import Iterator

import pytest
from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None)
settings.load_profile("fixed")

if (
    threading.current_thread() is threading.main_thread()
    and signal.getsignal(signal.SIGINT) is signal.SIG_IGN
):
    # Tests started behind an "&" ignore it, and so would the programs that they start and interrupt.
    signal.signal(signal.SIGINT, signal.default_int_handler)


class _Heard(logging.Handler):
    def __init__(self, errors: list[str]) -> None:
        super().__init__(logging.ERROR)
        self.errors = errors

    def emit(self, record: logging.LogRecord) -> None:
        self.errors.append(record.getMessage())


@pytest.fixture(autouse=True)
def engine_errors() -> Iterator[list[str]]:
    """What the engine reports as an error is a defect, and the test in which it does fails.

    A test that makes it report one takes this list and clears it.
    """
    errors: list[str] = []
    handler, logger = _Heard(errors), logging.getLogger("scheduler.engine")
    logger.addHandler(handler)
    yield errors
    logger.removeHandler(handler)
    assert errors == []
