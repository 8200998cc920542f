"""The page of an answer and its pictures: what they say, that they are safe and the same each time."""

from __future__ import annotations

import re

import pytest

from scheduler.sheets.answer_page import Shown, Table, answer_page, words
from scheduler.sheets.drawn import (
    OTHERS,
    Bar,
    Dots,
    PaybackLine,
    ShareLine,
    mark_places,
    payback_reach,
    share_reach,
    shortened,
    stacked,
    with_others,
)
from scheduler.sheets.page_pictures import WIDTH, bars_svg, paybacks_svg, shares_svg, spread_svg, ticks
from tests.sheets.test_page import Reader

EVIL = '<script>alert("1")</script>'
BARS = [
    Bar(label="today", parts={"load": 13.0, EVIL: 12.0, "unload": 7.0}),
    Bar(label="then", parts={"load": 6.0, EVIL: 12.0, "unload": 3.0}),
]
PAID = [
    PaybackLine(label=EVIL, price=150.0, saved_a_day=6.0),
    PaybackLine(label="stand", price=900.0, saved_a_day=3.0),
]
ROWS = [
    Dots(label=f"load {EVIL}", usual=[12.0, 11.0, 12.0], far=[25.0], left_out=[60.0], mean=15.0),
    Dots(label="喫茶あおぞら", usual=[3.0], far=[], left_out=[], mean=3.0),
]


def whole_page() -> bytes:
    return answer_page(
        title=f"What {EVIL} would save",
        about="100 garments a day",
        lines=[f"{EVIL}: 11 s", "  one", "    deeper", "  two", "", "last"],
        tables=[Table(label=EVIL, head=("Element", "Today, s"), rows=((EVIL, "13"),))],
        pictures=[
            Shown(title="Bars", svg=bars_svg("bars", BARS), note="Seconds."),
            Shown(title="Payback", svg=paybacks_svg("payback", PAID)),
            Shown(title="Spread", svg=spread_svg("spread", ROWS)),
        ],
        cautions=["Platens burn."],
        details=("More", ["the rest"]),
    )


def read(page: bytes | str) -> Reader:
    reader = Reader()
    reader.feed(page.decode() if isinstance(page, bytes) else page)
    assert reader.open == []
    return reader


def numbers(svg: str, tag: str, name: str) -> list[float]:
    return [float(one) for one in re.findall(rf'<{tag} [^>]*?\b{name}="([-\d.]+)"', svg)]


def test_names_are_texts_and_nothing_runs_or_is_fetched() -> None:
    page = whole_page()
    reader = read(page)
    assert "script" not in {tag for tag, _ in reader.tags}
    assert any(EVIL in text for text in reader.texts)
    for tag, attributes in reader.tags:
        assert not {"src", "href", "onload", "xlink:href"} & set(attributes), tag
    assert b"default-src 'none'" in page
    assert re.findall(rb"url\(([^#)])", page) == []


def test_every_picture_has_a_role_a_title_and_words() -> None:
    reader = read(whole_page())
    ids = [str(attributes["id"]) for _, attributes in reader.tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    drawn = [attributes for tag, attributes in reader.tags if tag == "svg"]
    assert len(drawn) == 3
    for attributes in drawn:
        assert attributes["role"] == "img"
        assert set(str(attributes["aria-labelledby"]).split()) <= set(ids)
    said = " ".join(reader.texts)
    assert "today: 32 s (load 13" in said
    assert "stand: paid after 300 working days." in said
    assert "4 readings from 11 to 25 s, mean 15 s, 1 far from the others, 1 left out." in said


def test_the_same_figures_make_the_same_page() -> None:
    assert whole_page() == whole_page()


def test_lines_set_in_belong_to_the_line_above() -> None:
    assert words(["a", "  b", "    c", "  d", "", "  e", "f"]) == (
        "<p>a</p><ul><li>b<ul><li>c</li></ul></li><li>d</li></ul><ul><li>e</li></ul><p>f</p>"
    )
    assert words([]) == ""


def test_bars_are_as_long_as_their_seconds() -> None:
    bars = [Bar(label="today", parts={"x": 30.0, "y": 10.0}), Bar(label="then", parts={"x": 20.0})]
    boxes = re.findall(r'<rect [^>]*width="([\d.]+)" height="36.0" fill="url\(#a-\d', bars_svg("a", bars))
    wide = [float(one) for one in boxes]
    assert wide == pytest.approx([(WIDTH - 2) * share for share in (0.75, 0.25, 0.5)], abs=0.06)


def test_twelve_parts_have_twelve_hatches() -> None:
    svg = bars_svg("a", [Bar(label="x", parts={f"part {number}": 1.0 for number in range(12)})])
    tiles = re.findall(r'<pattern id="a-\d+"(.*?)</pattern>', svg)
    assert len(tiles) == len(set(tiles)) == 12


def test_a_payback_crosses_where_it_has_paid() -> None:
    """25 of 480 working days, 300 of 480: the picture goes on to 1.6 times the last of them."""
    reach = payback_reach(PAID)
    assert (reach.days, reach.low) == (480.0, -900.0)
    assert reach.high == 1080.0  # 1.2 x 900: the steeper line, at 480 x 6 - 150, leaves at the top
    assert payback_reach(PAID[1:]).high == 540.0  # 480 x 3 - 900
    svg = paybacks_svg("a", PAID[1:])
    left, right = 90.0, WIDTH - 12.0
    assert numbers(svg, "circle", "cx")[0] == pytest.approx(left + 300 / 480 * (right - left), abs=0.06)


def test_numbers_of_paybacks_close_together_stand_apart() -> None:
    close = [PaybackLine(label=str(days), price=float(days), saved_a_day=1.0) for days in (100, 101, 300)]
    assert mark_places(close) == [0, 1, 0]


def test_equal_readings_are_stacked() -> None:
    assert stacked([2.0, 1.0, 1.0, 1.1], 0.2) == [(1.0, 0), (1.0, 1), (1.1, -1), (2.0, 0)]
    assert stacked([], 1.0) == []


@pytest.mark.parametrize(
    ("low", "high", "found"),
    [
        (0, 40, [0, 5, 10, 15, 20, 25, 30, 35, 40]),
        (-900, 540, [-800, -600, -400, -200, 0, 200, 400]),
        (0, 0.7, [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7]),
    ],
)
def test_ticks_are_round(low: float, high: float, found: list[float]) -> None:
    assert ticks(low, high) == pytest.approx(found)


def test_more_parts_than_hatches_are_put_together() -> None:
    bars = [Bar(label=label, parts={f"part {at}": float(at + 1) for at in range(15)}) for label in "ab"]
    drawn = with_others(bars)
    assert [len(bar.parts) for bar in drawn] == [12, 12]
    assert drawn[0].parts[OTHERS] == 1 + 2 + 3 + 4
    assert [bar.whole for bar in drawn] == [bar.whole for bar in bars]
    assert with_others(drawn) == drawn
    svg = bars_svg("a", bars)
    assert OTHERS in svg
    assert "part 0 1, part 1 2" in svg  # every part stands in the words


@pytest.mark.parametrize(
    ("text", "most", "found"),
    [
        ("load", 4, "load"),
        ("loading", 4, "loa…"),
        ("喫茶あお", 8, "喫茶あお"),
        ("喫茶あおぞら", 8, "喫茶あ…"),
    ],
)
def test_a_long_name_is_cut_to_its_room(text: str, most: int, found: str) -> None:
    assert shortened(text, most) == found


def test_long_names_end_in_the_picture_but_not_in_its_words() -> None:
    name = "a very long name of an accessory " * 9
    svg = paybacks_svg("a", [PaybackLine(label=name, price=150.0, saved_a_day=6.0)])
    texts = re.findall(r"<text[^>]*>([^<]*)</text>", svg)
    assert max(map(len, texts)) < 100
    assert f'<desc id="a-words">{name}: paid after 25 working days.</desc>' in svg


def test_shares_stand_beside_1() -> None:
    rows = [ShareLine(label="press <b>", best=1.19, low=1.1, high=1.29)]
    assert share_reach(rows) == pytest.approx((0.95, 1.34))
    svg = shares_svg("a", rows)
    assert "press &lt;b&gt;: 1.19 (1.10 to 1.29)" in svg
    at = [10 + (share - 0.95) / 0.39 * (WIDTH - 30) for share in (1, 1.1)]
    assert numbers(svg, "line", "x1")[:2] == pytest.approx(at, abs=0.06)
