"""Web pages in a browser, where there is one: what stands where on paper, and what fits a narrow window."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pypdf
import pytest

from scheduler.sheets.answer_page import Shown, Table, answer_page
from scheduler.sheets.drawn import Dots
from scheduler.sheets.page import day_page
from scheduler.sheets.page_pictures import spread_svg
from scheduler.sheets.sure import SURE_HEAD
from scheduler.sheets.typeset import template
from tests.sheets.sample_plan import sample_plan

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
ROWS = [
    Dots(label=f"element {number}", usual=[12.0, 11.0, 12.0], far=[], left_out=[], mean=11.7)
    for number in range(10)
]

needs_browser = pytest.mark.skipif(BROWSER is None, reason="no browser is installed")


def browse(folder: Path, page: bytes, *options: str) -> str:
    """Have the browser open a page; what it writes to standard output."""
    path = folder / "page.html"
    path.write_bytes(page)
    command = [str(BROWSER), "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder}/own"]
    ran = subprocess.run(
        [*command, *options, path.as_uri()], check=True, capture_output=True, timeout=60, encoding="utf-8"
    )
    return ran.stdout


def printed(folder: Path, page: bytes) -> list[str]:
    """The text of each page on paper."""
    path = folder / "page.pdf"
    browse(folder, page, f"--print-to-pdf={path}", "--no-pdf-header-footer")
    return [one.extract_text() for one in pypdf.PdfReader(path).pages]


@needs_browser
def test_a_picture_follows_its_words_and_no_heading_stands_alone(tmp_path: Path) -> None:
    details = [
        line for number in range(60) for line in (f"head {number}", f"  belongs to {number}", "  more")
    ]
    pages = printed(
        tmp_path,
        answer_page(
            title="Times by stopwatch",
            about="a study",
            lines=[f"line {number}" for number in range(9)],
            pictures=[Shown(title="Spread of the readings", svg=spread_svg("spread", ROWS))],
            tables=[Table(label="Elements", head=("Element", "Mean, s"), rows=(("load", "12"),) * 30)],
            details=("Element by element", details),
        ),
    )
    assert "Spread of the readings" in pages[0]
    assert "element 9" in pages[0]
    assert len(pages) > 2
    lines = [page.splitlines() for page in pages]
    for number in range(60):
        together = [page for page in lines if f"head {number}" in page]
        assert [f"belongs to {number}" in page for page in together] == [True], number


@needs_browser
def test_the_table_of_orders_at_risk_fits_a_window_of_1000_pixels(tmp_path: Path) -> None:
    cells = ("1042", "A customer", "60 % (58 to 62)", "", "14:00", "13:15", "not in the planned days")
    late = "672.8 min, counted to the end of the planned days"
    why = "run 23 (Press 2, Cleo) ends it, on 98 % of those days: the shift of Cleo ends before it is done"
    row = "".join(
        f"<td>{cell}</td>" for cell in (*cells[1:3], '<svg width="162"></svg>', *cells[4:], late, why)
    )
    head = "".join(f"<th>{name}</th>" for name in SURE_HEAD)
    page = (
        f'<!doctype html><style>{template("day.css")}</style><body><section id="sure"><div class="scroll">'
        f"<table><thead><tr>{head}</tr></thead><tbody><tr><th>1042</th>{row}</tr></tbody></table></div></section>"
        "<script>const s = document.querySelector('.scroll');"
        "document.title = `${s.scrollWidth} of ${s.clientWidth}`;</script>"
    )
    shown = browse(tmp_path, page.encode(), "--window-size=1000,700", "--dump-dom")
    found = re.search(r"<title>(\d+) of (\d+)</title>", shown)
    assert found is not None
    assert int(found[1]) <= int(found[2])


@needs_browser
def test_the_page_of_a_day_prints_in_few_pages(tmp_path: Path) -> None:
    """Two days with long names: ten pages before the runs had columns as wide as what stands in them."""
    pages = printed(tmp_path, day_page(sample_plan()))
    assert len(pages) <= 8
    # The recipe is not broken after every word.
    assert sum(page.count("°C, ") for page in pages) == len(sample_plan().runs)
