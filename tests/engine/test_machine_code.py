"""The file of machine code: it does what the source does, and a bad one is never used."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from types import SimpleNamespace

import pytest

from scheduler.engine import backend as backends
from scheduler.engine import machine_code
from scheduler.engine.dispatching import first_lines
from scheduler.engine.exercise import exercise
from scheduler.engine.flat import flatten
from scheduler.engine.local_search import Chain
from tests.support.kernels import compiled_copy
from tests.support.random_days import random_day


@pytest.fixture
def file():
    compiled_copy()
    return backends.code_file()


def test_the_file_does_what_the_source_does(file):
    assert exercise(backends.from_file(file)) == exercise(backends.plain())


def test_commands_use_the_file_when_it_is_there(file):
    assert backends.compiled().vector is machine_code.vector


def test_the_copy_of_numba_gives_the_same_course(file):
    """It is what is left where the file can't be written."""
    flattened = flatten(random_day(8, tasks=12))
    courses = []
    for copy in (backends.by_numba(), backends.from_file(file)):
        start = first_lines(flattened, copy)[0]
        chain = Chain(flattened, start, seed=3, backend=copy)
        chain.run(1500)
        courses.append((start, chain.best, chain.cost))
    assert courses[0] == courses[1]


@pytest.mark.parametrize(
    "harm", [lambda code: code[:-1], lambda code: code[:-1] + b"?", lambda code: b"{}\n"]
)
def test_a_damaged_file_is_refused(file, tmp_path, harm):
    bad, good = tmp_path / "bad", tmp_path / "good"
    good.write_bytes(file.read_bytes())
    assert machine_code.load(good)["search"].run_moves
    bad.write_bytes(harm(file.read_bytes()))
    with pytest.raises(machine_code.CodeError, match="bad"):
        machine_code.load(bad)
    with pytest.raises(machine_code.CodeError, match="missing"):
        machine_code.load(tmp_path / "missing")


def test_other_processors_don_t_get_this_one_s_code(monkeypatch):
    own = backends.stamp()
    monkeypatch.setattr(machine_code, "processor", lambda: "another")
    assert backends.stamp() not in (own, "none")


def test_a_change_of_any_file_of_the_kernel_is_a_change_of_its_code(monkeypatch, tmp_path):
    copied = tmp_path / "kernel"
    shutil.copytree(Path(backends.plain_kernel.__file__).parent, copied)
    monkeypatch.setattr(backends.plain_kernel, "__file__", str(copied / "__init__.py"))
    files = sorted(copied.rglob("*.py"))
    assert copied / "exact" / "search.py" in files
    stamps = [backends.stamp()]
    for path in files:
        path.write_bytes(path.read_bytes() + b"#")
        stamps.append(backends.stamp())
    assert len(set(stamps)) == len(files) + 1


@pytest.mark.parametrize("code", [0, 1, -11])
def test_code_that_fails_its_trial_is_not_kept(monkeypatch, tmp_path, code):
    """-11: the process ended by a fault of memory."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setattr(machine_code, "write", lambda path, parts: path.write_bytes(b"code"))
    monkeypatch.setattr(subprocess, "run", lambda *words, **options: SimpleNamespace(returncode=code))
    if code == 0:
        backends._write_file(backends.plain())
        assert backends.code_file().read_bytes() == b"code"
    else:
        with pytest.raises(machine_code.CodeError, match=f"ended with {code}"):
            backends._write_file(backends.plain())
    assert [path.name for path in backends.code_folder().iterdir()] == ["kernel.code"] * (code == 0)


def test_a_version_of_numba_that_gives_no_objects_is_a_code_error(tmp_path):
    with pytest.raises(machine_code.CodeError, match="no machine code from numba"):
        machine_code.write(tmp_path / "code", {"search": SimpleNamespace(__package__="nowhere")})
    assert not list(tmp_path.iterdir())
