"""The kernel's machine code in one file: written once a machine, loaded in milliseconds.

Numba needs most of a second before the first function of its own cache runs: it imports itself, then
declares all that it could compile. None of that is needed to run what is compiled already. So the
process that compiles writes the functions that the engine calls, with all that they call, as objects of
the platform; from then on llvmlite alone maps them into memory.
"""

from __future__ import annotations

import contextlib
import ctypes
import hashlib
import importlib
import json
import os
import platform
from array import array
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

READ, VECTOR, NUMBER = "r", "v", "n"
"""Kinds of argument: a vector that is only read, one that is written, an integer."""

ENTRIES: dict[str, dict[str, str]] = {
    "search": {"run_moves": "rvvvn", "sample_rises": "rvvvvn", "settle": "rvvvnn", "keep_best": "v"},
    "dispatch": {"dispatch": "rvvvvvvvvvv", "dispatch_in_order": "rvvvvvvv"},
    "apart": {"settle_all": "rv", "run_apart": "rvn"},
    "exact": {"begin_exact": "rvv", "run_exact": "rvvvn"},
}
"""By module: the kernel functions that the engine calls, with the kinds of their arguments."""

OK = (0, -2)
"""Status words of numba's calling convention: returned a value, returned None."""

_loaded: list[Any] = []
"""What holds the loaded code; it stays until the process ends."""


class CodeError(RuntimeError):
    """Raised when machine code can't be written or loaded."""


def processor() -> str:
    """The processor that code is made for.

    Raises
    ------
    ImportError
        When llvmlite is missing.
    """
    import llvmlite.binding as llvm

    return f"{llvm.get_host_cpu_name()} {llvm.get_host_cpu_features().flatten()}"


def vector(values: Any) -> array[int]:
    """A copy of some integers, as the loaded functions take it."""
    return array("q", values)


def zeros(size: int) -> array[int]:
    """So many zeros, as the loaded functions take them."""
    return array("q", [0]) * size


def write(path: Path, parts: dict[str, Any]) -> None:
    """Compile the entries of numba's copy of the kernel, and leave them in a file.

    Parameters
    ----------
    parts
        By name: the modules of that copy.

    Raises
    ------
    CodeError
        When this version of numba can't be asked for objects.
    """
    try:
        functions, objects = zip(*_compiled(parts), strict=True)
    except Exception as error:  # the inside of numba may change with any version
        raise CodeError(f"no machine code from numba: {error}") from error
    body = b"".join(objects)
    head = {"functions": functions, "digest": hashlib.sha256(body).hexdigest()}
    beside = path.with_name(f"{path.name}.{os.getpid()}")
    beside.write_bytes(json.dumps(head).encode() + b"\n" + body)
    beside.replace(path)


def _compiled(parts: dict[str, Any]) -> Iterator[tuple[dict[str, Any], bytes]]:
    """Of every entry what it is called there, and its object."""
    from numba.core import types
    from numba.core.registry import cpu_target

    compiler: Any = importlib.import_module("numba.core.compiler")
    vectors = importlib.import_module(f"{parts['search'].__package__}.vector")
    kinds = {READ: vectors.FROZEN, VECTOR: vectors.VECTOR, NUMBER: types.int64}
    for part, entries in ENTRIES.items():
        for name, arguments in entries.items():
            flags = compiler.Flags()
            flags.no_cpython_wrapper = flags.no_cfunc_wrapper = True
            flags.error_model = "numpy"
            found = compiler.compile_extra(
                cpu_target.typing_context,
                cpu_target.target_context,
                getattr(parts[part], name).py_func,
                tuple(kinds[kind] for kind in arguments),
                None,
                flags,
                {},
            )
            made = found._asdict()["library"]
            code = made._codegen._tm.emit_object(made._final_module)
            function = {
                "part": part,
                "name": name,
                "symbol": found.fndesc.mangled_name,
                "returns": found.signature.return_type == types.int64,
                "size": len(code),
            }
            yield function, code


def load(path: Path) -> dict[str, SimpleNamespace]:
    """By module: the functions of a file, taking what `vector` makes and integers.

    They let other threads run while they do.

    Raises
    ------
    CodeError
        When the file is not there, damaged or not for this version.
    """
    with contextlib.ExitStack() as stack:
        try:
            stream = stack.enter_context(path.open("rb"))
            head, body = json.loads(stream.readline()), stream.read()
            functions, digest = head["functions"], head["digest"]
        except (OSError, ValueError, KeyError, TypeError) as error:
            raise CodeError(f"{path}: {error}") from error
    if hashlib.sha256(body).hexdigest() != digest:
        raise CodeError(f"{path} is damaged")
    engine = _engine()
    at = 0
    for function in functions:
        _add(engine, body[at : at + function["size"]])
        at += function["size"]
    engine.finalize_object()
    _loaded.append(engine)
    modules: dict[str, SimpleNamespace] = {part: SimpleNamespace() for part in ENTRIES}
    for function in functions:
        part, name = function["part"], function["name"]
        address = engine.get_function_address(function["symbol"])
        setattr(modules[part], name, _callable(address, ENTRIES[part][name], function["returns"]))
    return modules


def _engine() -> Any:
    """An empty place for machine code, as numba makes its own."""
    import llvmlite.binding as llvm

    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    triple = llvm.get_process_triple()
    if platform.system() == "Windows":
        triple += "-elf"
    empty = llvm.parse_assembly("")
    empty.triple = triple
    machine = llvm.Target.from_triple(triple).create_target_machine(jit=True)
    return llvm.create_mcjit_compiler(empty, machine)


def _add(engine: Any, code: bytes) -> None:
    import llvmlite.binding as llvm

    engine.add_object_file(llvm.ObjectFileRef.from_data(code))


def _callable(address: int, kinds: str, returns: bool) -> Callable[..., int | None]:
    """A function at an address, called the way numba's functions call each other.

    First comes where the result goes, then where an exception would.
    """
    numbers = [kind == NUMBER for kind in kinds]
    arguments = [ctypes.c_int64 if number else ctypes.c_void_p for number in numbers]
    prototype = ctypes.CFUNCTYPE(ctypes.c_int32, ctypes.c_void_p, ctypes.c_void_p, *arguments)
    function = prototype(address)

    def call(*given: Any) -> int | None:
        result, fault = ctypes.c_int64(), ctypes.c_void_p()
        words = [
            int(value) if number else value.buffer_info()[0]
            for value, number in zip(given, numbers, strict=True)
        ]
        status = function(ctypes.byref(result), ctypes.byref(fault), *words)
        if status not in OK:
            raise CodeError(f"machine code ended with {status}")
        return result.value if returns else None

    return call
