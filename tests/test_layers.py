"""The layers hold: who may import what, what stays out of `--help`, and that no rule lacks a twin.

What may be imported is read from the table in DEVELOPERS.md, the rules from docs/model.md: the pages
and the code can't differ.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "scheduler"
MODULES = sorted(PACKAGE.rglob("*.py"))
PACKAGES = sorted(path.parent for path in PACKAGE.rglob("__init__.py"))


def dotted(path: Path, root: Path = ROOT) -> str:
    parts = list(path.relative_to(root).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def table(page: Path, first_heading: str) -> list[list[str]]:
    """Rows of the Markdown table whose first heading is the one given."""
    rows = []
    reading = False
    for line in page.read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if not line.lstrip().startswith("|"):
            reading = False
        elif cells[0] == first_heading:
            reading = True
        elif reading and not set(cells[0]) <= set("-: "):
            rows.append(cells)
    return rows


def words(cell: str) -> set[str]:
    return set(re.findall(r"`([\w./*]+)`", cell))


def _layers() -> dict[str, tuple[set[str], set[str]]]:
    layers = {}
    for package, _, inside, outside in table(ROOT / "DEVELOPERS.md", "package"):
        (name,) = words(package)
        own = {f"scheduler.{one}".replace("/", ".") for one in words(inside)}
        layers[name.replace("/", ".")] = (own, words(outside))
    for own, _ in layers.values():
        for below in [name for name in own if name.endswith(".*")]:
            own.remove(below)
            own.update(name for name in layers if name.startswith(below[:-1]))
    return layers


LAYERS = _layers()
"""By package: the packages of ours and the libraries that it may import."""

FOR_ALL = ("scheduler", "scheduler.exceptions", "scheduler.aside", "scheduler.safe_text")
"""Modules that all layers may import: the version, the errors, how files and texts in them are written."""

HEAVY = (
    "pandas",
    "ortools",
    "openpyxl",
    "numpy",
    "numba",
    "joblib",
    "typst",
    "matplotlib",
    "rich.live",
    "python_calamine",
)


def layer_of(module: str) -> str:
    """The innermost package of the table that holds a module; empty when none does."""
    return max((name for name in LAYERS if f"{module}.".startswith(f"{name}.")), key=len, default="")


def imports_of(path: Path, root: Path = ROOT) -> set[str]:
    """Every module named by an import anywhere in a file, functions and type checks included."""
    package = dotted(path.parent / "__init__.py", root).split(".")
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) + 1 - node.level] if node.level else []
            module = ".".join([*above, *filter(None, [node.module])])
            found.add(module)
            if module == "scheduler":
                found.update(f"scheduler.{alias.name}" for alias in node.names)
    return found


def forbidden(path: Path, root: Path = ROOT) -> list[str]:
    """What a module imports though its layer may not."""
    layer = layer_of(dotted(path, root))
    ours, libraries = LAYERS.get(layer, (set(), set()))
    wrong = []
    for name in sorted(imports_of(path, root)):
        top = name.split(".")[0]
        if top == "scheduler":
            if layer_of(name) not in ("", layer, *ours, *FOR_ALL):
                wrong.append(name)
        elif top not in sys.stdlib_module_names and top not in libraries:
            wrong.append(name)
    return wrong


def test_every_package_has_its_row_in_the_table_of_layers() -> None:
    there = {dotted(path / "__init__.py") for path in PACKAGES if path.parent == PACKAGE}
    assert there - set(LAYERS) == set()
    assert set(LAYERS) - {dotted(path) for path in MODULES} == set()


def test_one_module_of_the_engine_may_ask_the_check() -> None:
    asking = {
        dotted(path)
        for path in MODULES
        if layer_of(dotted(path)).startswith("scheduler.engine")
        and any(layer_of(name) == "scheduler.verify" for name in imports_of(path))
    }
    assert asking == {"scheduler.engine.judged"}


@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_a_module_imports_what_its_layer_may(path: Path) -> None:
    if layer_of(dotted(path)):
        assert forbidden(path) == []
    else:
        assert dotted(path) in (*FOR_ALL, "scheduler.__main__")


@pytest.mark.parametrize(
    ("package", "text", "wrong"),
    [
        ("verify", "import json\nfrom scheduler.domain.instance import Instance", []),
        ("verify", "def f():\n    from scheduler.engine.flat import flatten", ["scheduler.engine.flat"]),
        ("verify", "def f():\n    from ortools.sat.python import cp_model", ["ortools.sat.python"]),
        ("engine", "from scheduler.engine.cpsat.build import build\nimport numpy", []),
        ("engine", "import ortools", ["ortools"]),
        ("engine/cpsat", "import ortools", []),
        ("engine/cpsat", "from scheduler.engine.bounds import known_bounds", []),
        ("engine/cpsat", "from scheduler.engine.flat import flatten", ["scheduler.engine.flat"]),
        ("engine/cpsat", "from scheduler.engine import flat", ["scheduler.engine"]),
        ("engine", "from scheduler.verify.check import check", ["scheduler.verify.check"]),
        ("domain", "import numpy", ["numpy"]),
        ("daybook", "from scheduler.aside import written_aside", []),
        ("domain", "from scheduler.daybook import aside", ["scheduler.daybook"]),
        ("planning", "from scheduler import intake", ["scheduler.intake"]),
        ("planning", "from scheduler.now import now", ["scheduler.now"]),
        ("plans", "from scheduler.workflow.owner import Owner", ["scheduler.workflow.owner"]),
        ("workflow", "from scheduler.plans.book import open_day", []),
        ("workflow", "from scheduler.answers.plan import plan_lines", ["scheduler.answers.plan"]),
        (
            "workflow",
            "from scheduler.cli.terminal import say\nimport typer",
            ["scheduler.cli.terminal", "typer"],
        ),
        ("answers", "from scheduler.workflow.plan import Planned", []),
        ("answers", "import rich", ["rich"]),
        ("planning", "from scheduler.intake.cells.rows import Row", ["scheduler.intake.cells.rows"]),
        ("planning", "from .tasks import tasks_of", []),
        ("planning", "from ..intake import read_shop", ["scheduler.intake"]),
        ("cli", "from scheduler.intake.orders.tables.status import LeftOut", []),
        ("intake/orders", "from scheduler.intake.shop.words import ShopWords", []),
        ("intake/shop", "from scheduler.intake.orders.rows import Facts", ["scheduler.intake.orders.rows"]),
        ("intake/files", "from ..cells.rows import Row", ["scheduler.intake.cells.rows"]),
    ],
)
def test_a_forbidden_import_is_seen(package: str, text: str, wrong: list[str], tmp_path: Path) -> None:
    module = tmp_path / "scheduler" / package / "made_up.py"
    module.parent.mkdir(parents=True)
    module.write_text(text, encoding="utf-8")
    assert forbidden(module, tmp_path) == wrong


def test_every_library_that_is_imported_is_declared_and_the_other_way_round() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = [*project["dependencies"], *project["optional-dependencies"]["pictures"]]
    declared = {re.split(r"[<>=!~;\[ ]", line)[0].replace("-", "_") for line in lines}
    assert declared == set().union(*(libraries for _, libraries in LAYERS.values()))
    used = {name.split(".")[0] for path in MODULES for name in imports_of(path)}
    assert declared - used == set()


def test_every_package_says_what_it_is() -> None:
    silent = [
        dotted(package / "__init__.py")
        for package in PACKAGES
        if not ast.get_docstring(ast.parse((package / "__init__.py").read_text(encoding="utf-8")))
    ]
    assert silent == []


def test_every_folder_with_code_is_a_package() -> None:
    """A folder without `__init__.py` would be missing in what is installed."""
    assert {path.parent for path in MODULES} - set(PACKAGES) == set()


@pytest.mark.parametrize(
    "words_given",
    [
        [],
        *(
            [name]
            for name in (
                "new",
                "check",
                "plan",
                "sure",
                "promise",
                "rush",
                "replan",
                "sheets",
                "started",
                "done",
                "undo",
                "progress",
                "book",
                "savings",
                "compare",
                "times",
            )
        ),
    ],
    ids=lambda w: " ".join(w) or "-",
)
def test_help_loads_nothing_heavy(words_given: list[str]) -> None:
    code = (
        "import sys\n"
        "from scheduler.cli.main import run\n"
        "try:\n    run()\nexcept SystemExit as end:\n    code = end.code\n"
        f"heavy = [name for name in {HEAVY!r} if name in sys.modules]\n"
        "print(code, heavy, file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *words_given, "--help"],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
    )
    assert "Usage:" in done.stdout
    assert done.stderr.strip() == "0 []"


def modules_in(folder: str) -> set[str]:
    return {path.stem for path in (PACKAGE / folder).glob("*.py") if path.stem != "__init__"}


def functions_in(*files: Path) -> set[str]:
    return {
        node.name
        for path in files
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef)
    }


def test_no_rule_lacks_a_twin() -> None:
    """The model's page, the check, the constraint and the decoder's step have the same rules."""
    stated = set().union(*(words(row[0]) for row in table(ROOT / "docs" / "model.md", "rule")))
    assert len(stated) >= 10
    assert modules_in("verify/rules") == stated
    assert modules_in("engine/cpsat/rules") == stated
    steps = functions_in(*(PACKAGE / "engine").rglob("*.py"))
    assert {name.removeprefix("step_") for name in steps if name.startswith("step_")} == stated
    for rule in sorted(stated):
        assert f"check_{rule}" in functions_in(PACKAGE / "verify" / "rules" / f"{rule}.py")
        assert f"add_{rule}" in functions_in(PACKAGE / "engine" / "cpsat" / "rules" / f"{rule}.py")
