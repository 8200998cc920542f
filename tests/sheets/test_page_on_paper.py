"""The page of a day printed from a browser: few sheets, black on white, nothing cut or printed over."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from scheduler.domain.clock import clock, short_date
from tests.sheets.reading import MM, bare, coloured, flow, outside, overlapping, pages, words_of
from tests.sheets.sample_plan import sample_plan
from tests.sheets.test_page import page

BROWSER = next((found for name in ("chromium", "chromium-browser") if (found := shutil.which(name))), None)
RIM = 9 * MM
"""The page asks for 10 mm."""


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    if BROWSER is None:
        pytest.skip("needs a browser that prints without a screen")
    folder: Path = tmp_path_factory.mktemp("paper")
    (folder / "day.html").write_bytes(page())
    options = ["--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"]
    profile = f"--user-data-dir={folder / 'profile'}"
    call = [BROWSER, *options, profile, f"--print-to-pdf={folder / 'day.pdf'}", f"file://{folder}/day.html"]
    subprocess.run(call, capture_output=True, timeout=120, check=True)
    return (folder / "day.pdf").read_bytes()


def test_a_day_takes_few_sheets(printed: bytes) -> None:
    """Two dates with both pictures of each, twelve orders and 24 runs."""
    assert len(pages(printed)) <= 5


def test_nothing_is_cut_or_printed_over(printed: bytes) -> None:
    for sheet in pages(printed):
        words = words_of(sheet)
        assert outside(sheet, words, RIM) == []
        # The pictures have numbers above their bars; tables and text have no two words in one place.
        assert [pair for pair in overlapping(words) if not any(word.isdigit() for word in pair)] == []
        assert coloured(sheet) == []


def test_every_run_is_on_paper_below_a_heading(printed: bytes) -> None:
    sheets = [bare(text) for text in flow(printed)]
    for run in sample_plan().runs:
        pressed = f"{clock(run.pressing_start)}–{clock(run.end)}"
        (on,) = [
            text for text in sheets if f"{short_date(run.start.date()).replace(' ', '')}{pressed}" in text
        ]
        assert "GarmentsandsizesRecipeNotes" in on
