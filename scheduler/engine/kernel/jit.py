"""The decorator of every kernel function: nothing, or numba's compiler in the compiled copy."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

Function = TypeVar("Function", bound=Callable[..., Any])

COMPILED = __name__.split(".")[-2].endswith("_compiled")

if COMPILED:
    import numba

    def kernel(function: Function) -> Function:
        """Compile, keep the machine code on disk, and free the interpreter lock while running."""
        machine_code: Any = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
        return machine_code  # type: ignore[no-any-return]

    @kernel
    def copy(target: Any, at: int, source: Any, begin: int, size: int) -> None:
        """Copy `source[begin : begin + size]` to `target[at:]`; the parts don't overlap."""
        for k in range(size):
            target[at + k] = source[begin + k]

else:

    def kernel(function: Function) -> Function:
        """Leave the function as it is."""
        return function

    def copy(target: Any, at: int, source: Any, begin: int, size: int) -> None:
        """Copy `source[begin : begin + size]` to `target[at:]`; the parts don't overlap."""
        target[at : at + size] = source[begin : begin + size]
