"""day.html, read by a parser that knows nothing of how it was made."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from datetime import date, datetime
from functools import cache
from html.parser import HTMLParser

import pytest

from scheduler.domain.chances import Chance, DayChance, LateCause, OrderChance, ShiftOver
from scheduler.sheets.busy import PERSON_PX
from scheduler.sheets.dayview import sheet_days
from scheduler.sheets.marks import Margin
from scheduler.sheets.page import day_page
from scheduler.sheets.strip import strip
from scheduler.sheets.sure import cause_words
from scheduler.sheets.typeset import template
from tests.sheets.sample_plan import LONG, sample_plan

VOID = {"meta", "input", "br", "link", "img", "hr"}


class Reader(HTMLParser):
    """Tags, attributes and text; raises when tags do not nest."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.texts: list[str] = []
        self.script = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] == "script":
            self.script += data
        elif not self.open or self.open[-1] != "style":
            self.texts.append(data)


CAUSE = LateCause(
    share=0.75,
    run="x",
    number=7,
    press="Press <1>",
    operator="Ana",
    shift_over=ShiftOver(
        operator="Ben", at=datetime(2026, 12, 3, 17, 30), after_hours=True, goes_on=datetime(2026, 12, 4, 8)
    ),
)
CHANCES = DayChance(
    replays=2000,
    seed=1,
    confidence=0.95,
    as_printed=False,
    stay_minutes=0.0,
    spread=("spread of <somebody>",),
    on_time=Chance(best=0.5, low=0.45, high=0.55),
    orders=tuple(
        OrderChance(
            id=name,
            customer="Salt & <Pepper>",
            weight=1,
            cut_off=datetime(2026, 12, 3, 17),
            planned=datetime(2026, 12, 3, 16),
            on_time=Chance(best=best, low=best - 0.01, high=min(1.0, best + 0.01)),
            late_minutes=3.25,
            usual=datetime(2026, 12, 3, 16),
            careful=None,
            cause=CAUSE if best < 0.95 else None,
        )
        for name, best in (("1042", 0.5), ("1043", 0.9), ("1044", 0.9996))
    ),
    late_minutes=4.0,
    work_more=0.04,
    finish_planned=datetime(2026, 12, 3, 16),
    finish_usual=datetime(2026, 12, 3, 16, 30),
    finish_careful=None,
    overtime_planned_minutes=0.0,
    overtime_minutes=5.0,
    unfinished=Chance(best=0.001, low=0.0, high=0.004),
)


def page() -> bytes:
    return day_page(sample_plan(), CHANCES)


@cache
def read() -> Reader:
    reader = Reader()
    reader.feed(page().decode())
    reader.close()
    assert reader.open == []
    return reader


def test_nothing_is_loaded_from_anywhere() -> None:
    text = page().decode()
    assert not re.search(r"https?://|//[a-z]|@import|url\((?!#)", re.sub(r"//[^\n]*\n", "", text))
    for tag, attributes in read().tags:
        assert tag not in {"link", "img", "iframe", "object", "embed", "base", "form"}
        for name in ("src", "srcset", "action", "style", "xlink:href"):
            assert name not in attributes
        assert (attributes.get("href") or "#").startswith("#")
        assert not [name for name in attributes if name.startswith("on")]
    policy = next(a["content"] or "" for tag, a in read().tags if "http-equiv" in a)
    digest = base64.b64encode(hashlib.sha256(read().script.encode()).digest()).decode()
    assert policy.startswith("default-src 'none'")
    assert f"'sha256-{digest}'" in policy


def test_names_are_text_not_markup() -> None:
    texts = "".join(read().texts)
    for name in (
        "<img src=x onerror=alert(1)> & Sons #panic()",
        '_crest_ *v2* #panic("x") $5 @all.pdf',
        LONG,
    ):
        assert name in texts
    for order in sample_plan().orders:
        assert order.customer in texts


def test_every_run_is_in_both_charts_and_leads_to_its_row() -> None:
    ids = [attributes["id"] for _, attributes in read().tags if attributes.get("id")]
    assert len(ids) == len(set(ids))
    links = [a["href"] for tag, a in read().tags if tag == "a" and "run" in (a.get("class") or "").split()]
    wanted = [f"#run-{run.number}" for run in sample_plan().runs]
    assert sorted(str(link) for link in links) == sorted(wanted * 2)
    for tag, attributes in read().tags:
        if tag == "a":
            assert str(attributes["href"])[1:] in ids
    assert sum(tag == "title" for tag, _ in read().tags) >= 2 * len(wanted)
    late = [a for tag, a in read().tags if "late" in (a.get("class") or "").split()]
    late_runs = sum(run.content.order in {"1049", "1051"} for run in sample_plan().runs)
    assert len(late) == 2 * late_runs


def test_page_is_usable_by_keyboard_reader_and_phone() -> None:
    tags = read().tags
    assert next(a for tag, a in tags if tag == "html")["lang"] == "en"
    viewport = next(a for tag, a in tags if a.get("name") == "viewport")
    assert viewport["content"] == "width=device-width, initial-scale=1"
    for tag, attributes in tags:
        if attributes.get("class") == "scroll":
            assert attributes["tabindex"] == "0"
            assert attributes["aria-label"]
        if tag == "svg":
            assert attributes.get("aria-hidden") == "true" or attributes.get("aria-label")
        if tag == "th":
            assert attributes["scope"] in ("col", "row")
    assert [tag for tag, _ in tags if tag in ("h1", "main", "nav", "header", "footer")].count("h1") == 1
    filters = [a for tag, a in tags if a.get("class") == "filter"]
    assert "hidden" in filters[0]  # only the script shows what only the script can do


def test_changeovers_breaks_and_warm_ups_are_drawn() -> None:
    drawn = [a.get("class") for tag, a in read().tags if tag == "rect"]
    plan = sample_plan()
    changing = sum(run.pressing_start > run.start for run in plan.runs)
    legend_and_loads = 1 + len(plan.press_loads) + len(plan.crew_loads)
    assert drawn.count("change") == 2 * changing + legend_and_loads
    assert drawn.count("warm") == len(plan.warm_ups) + 1
    assert drawn.count("bar") == 2 * len(plan.runs) + 1


def test_notes_and_who_switches_on_are_on_the_page() -> None:
    texts = "".join(read().texts)
    assert texts.count("Note: Fold with the crest up; Note: =no bags") == 2
    assert "Counts as" in texts
    assert "08:00" + "Zofia Wójcik" + "Cap press" in texts


def test_orders_at_risk_are_told_with_a_bar_each() -> None:
    texts = "".join(read().texts)
    assert "All orders on time: on 50 % (45 to 55) of the days like this one. 2 orders at risk." in texts
    assert texts.count("Salt & <Pepper>") == 2
    assert "not in the planned days" in texts and "spread of <somebody>" in texts
    assert "On less than 1 % of the days a shift ends" in texts
    assert [a.get("class") for tag, a in read().tags if tag == "line"].count("reach") == 2
    silent = day_page(sample_plan()).decode()
    assert "How sure" not in silent and 'href="#sure"' not in silent


def test_people_at_work_add_up_to_the_runs() -> None:
    """Columns of a half hour each: their heights are the minutes of all runs, breaks left out."""
    runs = [run for run in sample_plan().runs if run.operator]
    pauses = sum((last - first).total_seconds() for run in runs for first, last in run.pauses)
    drawn = [a for tag, a in read().tags if tag == "rect"]
    for kind, seconds in (
        ("pressing", sum((run.end - run.pressing_start).total_seconds() for run in runs) - pauses),
        ("changing", sum((run.pressing_start - run.start).total_seconds() for run in runs)),
    ):
        found = sum(float(a["height"] or 0) for a in drawn if a.get("class") == kind)
        assert found / PERSON_PX * 30 == pytest.approx(seconds / 60, abs=3)


def test_numbers_stand_beside_bars_that_are_too_short() -> None:
    margin = Margin(left=0.0, right=100.0, gap=1.0)
    assert margin.place(0.0, 10.0, 10.0) == ("in", 5.0)
    assert margin.place(10.0, 14.0, 6.0) == ("above", 12.0)
    assert margin.place(14.0, 18.0, 6.0) == ("below", 16.0)
    # Above is taken up to 15 and below up to 19: the next one moves right, but stays over its bar.
    assert margin.place(17.0, 20.0, 6.0) == ("above", 19.0)
    assert margin.place(20.0, 21.0, 6.0) == ("below", 23.0)
    assert margin.place(21.0, 22.0, 6.0) is None
    assert margin.place(99.0, 100.0, 6.0) == ("above", 97.0)


def test_each_half_of_a_run_cut_by_a_break_has_its_number() -> None:
    cut = next(run for run in sample_plan().runs if run.id == "1042-full back")
    day = page().decode()
    found = re.findall(rf'<a class="run" href="#run-{cut.number}".*?</a>', day)
    assert len(found) == 2  # by press and by person
    for drawn in found:
        assert len(re.findall(rf">{cut.number}( · 1042)?</text>", drawn)) == 2
    sheet = next(one for one in sheet_days(sample_plan(), "operator", cut.operator) if cut in one.runs)
    bars = [bar for row in strip(sample_plan(), sheet)["rows"] for bar in row["bars"]]  # type: ignore[attr-defined]
    assert [bar["kind"] for bar in bars if bar.get("text") == str(cut.number)] == ["mark", "mark"]


def luminance(colour: str) -> float:
    """Relative luminance by WCAG 2.2 (W3C), "relative luminance"."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


# WCAG 2.2: 1.4.3 asks 4.5:1 for text, 1.4.11 asks 3:1 for parts of a picture.
def test_contrast_in_light_and_dark() -> None:
    assert contrast("#ffffff", "#767676") == pytest.approx(4.54, abs=0.01)  # published example
    style = template("day.css")
    schemes = re.findall(r":root \{(.*?)\}", style, re.S)
    assert len(schemes) == 3  # light, dark, paper
    for scheme in schemes:
        colours = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6})", scheme))
        full = {k: v if len(v) == 7 else "#" + "".join(2 * c for c in v[1:]) for k, v in colours.items()}
        for ink in ("ink", "soft", "link"):
            for ground in ("paper", "shade"):
                assert contrast(full[ink], full[ground]) >= 4.5, (ink, ground)
        assert contrast(full["ink"], full["bar"]) >= 4.5
        for part in ("edge", "bar-edge", "late"):
            assert contrast(full[part], full["paper"]) >= 3, part


def test_same_plan_makes_the_same_bytes() -> None:
    assert page() == page()


def test_what_makes_an_order_late_is_said() -> None:
    day = date(2026, 12, 3)
    ends = "run 7 (Press <1>, Ana) ends it, on 75 % of those days"
    assert cause_words(replace(CAUSE, shift_over=None), day) == ends
    over = CAUSE.shift_over
    assert over is not None
    assert cause_words(CAUSE, day) == (
        f"{ends}: the shift of Ben ends (17:30, overtime included) before the sheet is done; the rest goes "
        "on Fri 4 Dec 08:00"
    )
    never = replace(over, after_hours=False, goes_on=None)
    assert cause_words(replace(CAUSE, operator="", shift_over=never), day) == (
        "run 7 (Press <1>) ends it, on 75 % of those days: the shift of Ben ends (17:30) before the sheet is "
        "done; the rest is not done in the planned days"
    )
    assert page().decode().count("run 7 (Press &lt;1&gt;, Ana) ends it") == 2  # of the two orders at risk


def test_the_line_of_a_day_planned_again_hides_no_number() -> None:
    day = day_page(replace(sample_plan(), at=datetime(2026, 12, 3, 10, 15))).decode()
    lanes = [lane for lane in re.findall(r"<g transform=.*?</g></svg>", day) if 'class="moment"' in lane]
    assert lanes
    for lane in lanes:
        assert lane.index('class="moment"') < lane.index('class="run')


def test_the_page_says_what_is_pressed_on_a_later_day() -> None:
    day = page().decode()
    assert "<h3>6 runs are pressed on a later day</h3>" in day
    assert "<li>due on Fri 4 Dec, so there is time: 1052" in day
