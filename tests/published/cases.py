"""All small problems with known best values, for the check, the enumerator and the engine."""

from __future__ import annotations

from tests.published.changeovers import BREAKS, CHANGEOVERS
from tests.published.one_machine import ONE_MACHINE
from tests.published.parallel import PARALLEL
from tests.published.state import Case

__all__ = ["CASES", "Case"]

CASES: tuple[Case, ...] = (*ONE_MACHINE, *CHANGEOVERS, *BREAKS, *PARALLEL)
