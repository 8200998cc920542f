"""Several processes write at once: each entry and each version once, in one book."""

from __future__ import annotations

from pathlib import Path

from tests.daybook.writers import look_after, writers


def test_four_processes_at_once(tmp_path: Path) -> None:
    versions = writers(tmp_path, 4, plans=3, events=20)
    look_after(tmp_path, 4, versions, plans=3, events=20)
