"""The vectors of the compiled kernel: arrays of int64, handed to its functions as bare pointers.

Numba hands an array over as seven words, reckons with indices from the end at every access, and counts
who holds it. Between functions as small as the decoder's steps that took most of the time. Only the
compiled copy loads this.
"""

from __future__ import annotations

import operator
from typing import Any

import numba.core.datamodel.models
import numba.core.types
import numba.extending
import numpy

types: Any = numba.core.types
models: Any = numba.core.datamodel.models
extending: Any = numba.extending


class Vector(numpy.ndarray[Any, numpy.dtype[numpy.int64]]):
    """Integers that the kernel reads and writes."""

    __numba_array_subtype_dispatch__ = True


class Frozen(Vector):
    """Integers that the kernel only reads, so that it need not read them twice."""


class VectorType(types.CPointer):  # type: ignore[misc]
    """What numba knows of a Vector."""

    def __init__(self) -> None:
        super().__init__(types.int64)
        self.name = type(self).__name__


class FrozenType(VectorType):
    """What numba knows of a Frozen."""


VECTOR, FROZEN = VectorType(), FrozenType()


def _typeof(value: Any, _context: Any) -> VectorType:
    return FROZEN if isinstance(value, Frozen) else VECTOR


def _unbox(kind: Any, value: Any, c: Any) -> Any:
    """The address of the array's data; the caller keeps the array alive."""
    ctypes = c.pyapi.object_getattr_string(value, "ctypes")
    address = c.pyapi.object_getattr_string(ctypes, "data")
    number = c.pyapi.long_as_longlong(address)
    c.pyapi.decref(address)
    c.pyapi.decref(ctypes)
    return extending.NativeValue(c.builder.inttoptr(number, c.context.get_value_type(kind)))


def _read_frozen(_context: Any, builder: Any, _signature: Any, args: Any) -> Any:
    """One integer, which stays the same however often it is read."""
    pointer, index = args
    value = builder.load(builder.gep(pointer, [index], inbounds=True))
    value.set_metadata("invariant.load", builder.module.add_metadata([]))
    return value


for _kind in (VectorType, FrozenType):
    extending.register_model(_kind)(models.PointerModel)
extending.typeof_impl.register(Vector)(_typeof)
extending.unbox(VectorType)(_unbox)
extending.lower_builtin(operator.getitem, FrozenType, types.Integer)(_read_frozen)


def vector(values: Any) -> Vector:
    """A copy of some integers that the kernel may write."""
    return numpy.array(values, dtype=numpy.int64).view(Vector)


def zeros(size: int) -> Vector:
    """So many zeros that the kernel may write."""
    return numpy.zeros(size, dtype=numpy.int64).view(Vector)


def frozen(values: Any) -> Frozen:
    """A copy of some integers that the kernel only reads."""
    return numpy.array(values, dtype=numpy.int64).view(Frozen)
