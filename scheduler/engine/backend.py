"""The two copies of the kernel: plain Python now, compiled as soon as machine code is on disk.

Compiling takes half a minute of one core, once a machine. It is done by a process of its own, so that
the first plan never waits for it; until then, and where numba can't work at all, the plain copy runs.
Which copy runs changes how far a second goes, never what a number of moves gives.

The compiled copy comes from one file (`machine_code.py`), or, where that can't be had, out of numba's
own cache, which takes most of a second longer to wake up.
"""

from __future__ import annotations

import atexit
import importlib
import importlib.util
import logging
import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scheduler.engine import kernel as plain_kernel
from scheduler.engine import machine_code

log = logging.getLogger(__name__)

PLAIN = "scheduler.engine.kernel"
COMPILED = "scheduler.engine.kernel_compiled"
PARTS = {"search": "search", "dispatch": "dispatch", "apart": "apart", "exact": "exact.search"}
"""By name in `Backend`: the modules of the kernel that the engine calls."""

PATIENCE_S = 300
"""Seconds after which a compilation that left no result counts as dead."""

SWITCH = "PRESSDAY_COMPILE"
"""Environment: "0" never compiles, "now" waits for it, anything else compiles aside."""


@dataclass(frozen=True, slots=True)
class Backend:
    """One copy of the kernel.

    Attributes
    ----------
    vector, frozen
        Turn a list of integers into what this copy works on, or only reads.
    zeros
        So many zeros to work on.
    """

    name: str
    vector: Callable[[Any], Any]
    frozen: Callable[[Any], Any]
    zeros: Callable[[int], Any]
    search: Any
    dispatch: Any
    apart: Any
    exact: Any


def plain() -> Backend:
    """The interpreted copy."""
    return _backend("plain", PLAIN, list, lambda values: values, lambda size: [0] * size)


def compiled() -> Backend:
    """The compiled copy; compiles at its first use when no machine code is on disk.

    Raises
    ------
    ImportError, RuntimeError
        When numba is missing or finds no folder for its files.
    """
    if not _loaded and cached():
        try:
            _loaded.append(from_file(code_file()))
        except machine_code.CodeError as error:
            log.info("no machine code from a file: %s", error)
    return _loaded[0] if _loaded else by_numba()


_loaded: list[Backend] = []
"""The copy of this process, once it came from a file."""


def from_file(path: Path) -> Backend:
    """The compiled copy out of a file.

    Raises
    ------
    CodeError
        When it can't be had.
    """
    vector = machine_code.vector
    return Backend("compiled", vector, vector, machine_code.zeros, **machine_code.load(path))


def by_numba() -> Backend:
    """The copy of numba's own cache; see `compiled`."""
    if COMPILED not in sys.modules:
        folder = Path(plain_kernel.__file__).parent
        spec = importlib.util.spec_from_file_location(
            COMPILED, folder / "__init__.py", submodule_search_locations=[str(folder)]
        )
        if spec is None or spec.loader is None:
            raise ImportError(COMPILED)
        import numba

        # Numba looks at the age of a function's own file only; constants come from other files too.
        settings: Any = numba.config
        settings.CACHE_DIR = str(code_folder())
        module = importlib.util.module_from_spec(spec)
        sys.modules[COMPILED] = module
        try:
            spec.loader.exec_module(module)
            _backend("numba", COMPILED, list, list, list)
        except BaseException:
            for name in [name for name in sys.modules if name.startswith(COMPILED)]:
                del sys.modules[name]
            raise
    vectors = importlib.import_module(f"{COMPILED}.vector")
    return _backend("numba", COMPILED, vectors.vector, vectors.frozen, vectors.zeros)


def _backend(name: str, package: str, *vectors: Callable[[Any], Any]) -> Backend:
    parts: dict[str, Any] = {
        part: importlib.import_module(f"{package}.{module}") for part, module in PARTS.items()
    }
    return Backend(name, *vectors, **parts)


class Compiler:
    """Compiles aside, and says when the compiled copy can be had at once."""

    def __init__(self) -> None:
        self._wish = os.environ.get(SWITCH, "")
        self._given_up = self._wish == "0"
        self._ready: Backend | None = None

    @property
    def hopeless(self) -> bool:
        """Whether the plain copy is all there will be."""
        return self._given_up

    def backend(self) -> Backend | None:
        """The compiled copy when its machine code is there; else None, and the work goes on aside."""
        if self._given_up or self._ready:
            return self._ready
        if not cached() and self._wish != "now":
            self._given_up = not _compile_aside()
            return None
        try:
            if not cached():
                warm()
            self._ready = compiled()
        except Exception as error:  # numba can fail in many ways; the plain copy always works
            log.info("no compiled search: %s", error)
            self._given_up = True
        return self._ready


_aside: list[subprocess.Popen[bytes]] = []
"""The compiling process of this one, kept so that it outlives the search that started it."""


def _compile_aside() -> bool:
    """Have a process compile, unless one of this machine does already; False when there is no hope."""
    if _aside:
        return _aside[0].poll() in (None, 0)
    lock = code_folder() / "compiling"
    try:
        lock.parent.mkdir(parents=True, exist_ok=True)
        if lock.exists() and time.time() - lock.stat().st_mtime < PATIENCE_S:
            return True
        lock.touch()
        _aside.append(
            subprocess.Popen(
                [sys.executable, "-m", "scheduler.engine.warm"],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                start_new_session=True,  # Ctrl-C ends the search, not the compiling
                env=_same_paths(),
            )
        )
        atexit.register(_let_go)
    except OSError as error:
        log.info("can't compile aside: %s", error)
        return False
    return True


def _same_paths() -> dict[str, str]:
    """An environment in which another process finds the same modules."""
    return {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))}


def _let_go() -> None:
    """Leave a running compilation to itself: it serves the next command."""
    for process in _aside:
        if process.poll() is None:
            process.returncode = 0


def stamp() -> str:
    """What the machine code on disk depends on: this source, its place, the processor, numba and Python."""
    import hashlib
    from importlib.metadata import PackageNotFoundError, version

    digest = hashlib.sha256(sys.version.encode())
    try:
        for name in ("numba", "llvmlite", "numpy"):
            digest.update(version(name).encode())
        digest.update(machine_code.processor().encode())
    except (PackageNotFoundError, ImportError):
        return "none"
    digest.update(Path(machine_code.__file__).read_bytes())
    # numba looks its own files up by the source's place.
    digest.update(str(Path(plain_kernel.__file__).resolve()).encode())
    for path in sorted(Path(plain_kernel.__file__).parent.rglob("*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:24]


def code_folder() -> Path:
    """Where machine code for this very source lies."""
    own = os.environ.get("XDG_CACHE_HOME")
    base = Path(own) if own else Path.home() / ".cache"
    return base / "pressday" / f"code-{stamp()}"


def marker() -> Path:
    """The file that says that the machine code is complete."""
    return code_folder() / "complete"


def cached() -> bool:
    """Whether machine code for this source is on disk."""
    try:
        return marker().exists()
    except (OSError, RuntimeError):
        return False


def code_file() -> Path:
    """The file of machine code."""
    return code_folder() / "kernel.code"


def warm() -> None:
    """Compile everything that a search calls, and leave the marker."""
    from scheduler.engine.exercise import exercise  # which asks for most of the engine

    backend = by_numba()
    try:
        _write_file(backend)
    except (machine_code.CodeError, OSError) as error:
        log.info("no file of machine code: %s", error)
        exercise(backend)  # which fills numba's cache
    try:
        marker().parent.mkdir(parents=True, exist_ok=True)
        marker().touch()
    except OSError as error:
        log.info("no marker for the compiled search: %s", error)


def _write_file(backend: Backend) -> None:
    """Leave the file of machine code once a process of its own has run it: a bad one may end the process."""
    code_folder().mkdir(parents=True, exist_ok=True)
    untried = code_file().with_suffix(f".{os.getpid()}")
    parts = {part: getattr(backend, part) for part in PARTS}
    try:
        machine_code.write(untried, parts)
        trial = [sys.executable, "-m", "scheduler.engine.warm", str(untried)]
        ended = subprocess.run(trial, capture_output=True, env=_same_paths(), check=False)
        if ended.returncode != 0:
            raise machine_code.CodeError(f"the trial of {untried} ended with {ended.returncode}")
        untried.replace(code_file())
    finally:
        untried.unlink(missing_ok=True)
