"""What a stranger with a fresh clone relies on: README commands, tested versions, licence, package data."""

from __future__ import annotations

import hashlib
import re
import subprocess
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.version import Version

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
TESTED = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()


def fenced_under(heading: str) -> list[str]:
    """The lines of all fenced blocks in the README's section."""
    section = (ROOT / "README.md").read_text(encoding="utf-8").split(f"\n{heading}\n")[1].split("\n## ")[0]
    assert section.count("```") == 2
    return section.split("```")[1].strip("\n").splitlines()


@pytest.mark.parametrize("heading", ["## Plan the example day", "## Run the tests"])
def test_each_readme_command_stands_alone_and_does_all_set_up(heading: str) -> None:
    (command,) = fenced_under(heading)
    assert command.startswith("python3 -m venv .venv && .venv/bin/pip install -q -c constraints.txt -e ")


def test_the_readme_plans_files_that_are_there() -> None:
    (command,) = fenced_under("## Plan the example day")
    files = [word for word in command.split() if word.endswith(".xlsx")]
    assert len(files) == 2
    assert [name for name in files if not (ROOT / name).is_file()] == []


def test_ci_runs_the_readme_command_and_nothing_it_made_up() -> None:
    text = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "pytest" not in text
    assert subprocess.run(["bash", "-n", str(ROOT / ".ci" / "run")], check=False).returncode == 0


def test_tested_versions_are_plain_and_within_what_is_declared() -> None:
    lines = [re.fullmatch(r'([\w.-]+)==([\w.]+)( ; sys_platform == "win32")?', line) for line in TESTED]
    assert None not in lines
    tested = {re.sub(r"[-_.]+", "-", line[1]).lower(): Version(line[2]) for line in lines if line}
    extras = PROJECT["project"]["optional-dependencies"].values()
    for text in [*PROJECT["project"]["dependencies"], *(one for extra in extras for one in extra)]:
        need = Requirement(text)
        assert need.specifier, f"{need.name} has no lowest version"
        assert tested[re.sub(r"[-_.]+", "-", need.name).lower()] in need.specifier, text


def test_the_licence_is_the_whole_plain_text() -> None:
    """SHA-256 of the Apache License 2.0 as apache.org publishes it."""
    found = hashlib.sha256((ROOT / "LICENSE").read_bytes()).hexdigest()
    assert found == "cfc7749b96f63bd31c3c42b5c471bf756814053e847c10f3eb003417bc523d30"


def test_every_file_in_the_package_is_shipped() -> None:
    """Python files apart, what stands in the package must match a pattern of the package data."""
    patterns = PROJECT["tool"]["setuptools"]["package-data"]["scheduler"]
    package = ROOT / "scheduler"
    here = {
        path
        for path in package.rglob("*")
        if path.is_file() and path.suffix not in (".py", ".pyc", ".nbi", ".nbc")
    }
    shipped = {path for pattern in patterns for path in package.glob(pattern)}
    assert here - shipped == set()


def test_no_page_names_a_file_that_is_not_there() -> None:
    """Links in Markdown pages point to something."""
    missing = []
    for page in [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]:
        for target in re.findall(r"\]\(([^)#]+?)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            if "://" not in target and not (page.parent / target).exists():
                missing.append(f"{page.relative_to(ROOT)}: {target}")
    assert missing == []
