"""The compiled kernel for tests; compiling takes half a minute, once a machine."""

from __future__ import annotations

import pytest

from scheduler.engine import backend as backends


def compiled_copy() -> backends.Backend:
    """The compiled copy as commands get it; skips the test where there is no numba."""
    try:
        if not backends.cached():
            backends.warm()
        return backends.compiled()
    except ImportError as why:
        pytest.skip(f"no compiled kernel here: {why}")
