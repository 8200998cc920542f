"""Pictures of times and savings: what is drawn, that it is the same each time, and what is refused."""

from __future__ import annotations

import re
import struct
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

from scheduler.exceptions import BadInput
from scheduler.sheets import canvas, picture_fonts
from scheduler.sheets.canvas import Picture, check_kind, kind_of
from scheduler.sheets.drawn import Bar, Dots, PaybackLine
from scheduler.sheets.one_file import check_name, write_one
from scheduler.sheets.pictures import (
    saving_picture,
    spread_picture,
)

BARS = [
    Bar(label="today", parts={"load": 13.0, "dwell": 12.0, "unload": 7.0}),
    Bar(label="then", parts={"load": 6.0, "dwell": 12.0, "unload": 3.0}),
]
PAID = [PaybackLine(label="cover $5 and $6", price=150.0, saved_a_day=6.0)]
ROWS = [
    Dots(label="load, plain", usual=[12.0, 11.0, 12.0], far=[25.0], left_out=[60.0], mean=15.0),
    Dots(label="喫茶あおぞら", usual=[3.0], far=[], left_out=[], mean=3.0),
]
DRAW: dict[str, Callable[[str], Picture]] = {
    "saving": lambda kind: saving_picture(BARS, PAID, kind),
    "bars alone": lambda kind: saving_picture(BARS, [], kind),
    "payback alone": lambda kind: saving_picture([], PAID, kind),
    "spread": lambda kind: spread_picture(ROWS, kind),
}


def texts(drawn: Picture) -> list[str]:
    """What stands in an SVG as text."""
    return [text.strip() for text in re.findall(r"<text[^>]*>([^<]*)</text>", drawn.content.decode())]


needs_library = pytest.mark.skipif(
    find_spec("matplotlib") is None, reason="the extra for pictures is not installed"
)


@needs_library
def test_a_cycle_by_element_today_and_then() -> None:
    said = texts(saving_picture(BARS, [], "svg"))
    for word in ("today", "then", "load", "dwell", "unload", "13", "6", "32 s", "21 s"):
        assert word in said, word


@needs_library
def test_no_text_is_spaced_off_by_blanks_which_an_svg_drops() -> None:
    svg = saving_picture(BARS, [], "svg").content.decode()
    assert re.findall(r"<text[^>]*>(\s[^<]*)</text>", svg) == []


@needs_library
def test_a_payback_says_after_how_many_days_and_takes_names_as_they_are() -> None:
    assert "1  cover $5 and $6: paid after 25 working days" in texts(saving_picture([], PAID, "svg"))


@needs_library
def test_a_payback_that_is_missing_has_a_reason() -> None:
    assert "stand has no price $5" in texts(saving_picture([], PAID, "svg", note="stand has no price $5"))


@needs_library
def test_readings_stand_in_their_rows_with_every_letter() -> None:
    svg = spread_picture(ROWS, "svg")
    assert {"load, plain", "喫茶あおぞら"} <= set(texts(svg))


@needs_library
@pytest.mark.parametrize("kind", canvas.KINDS)
@pytest.mark.parametrize("draw", DRAW.values(), ids=DRAW)
def test_the_same_figures_make_the_same_file(draw: Callable[[str], Picture], kind: str) -> None:
    made = draw(kind)
    assert made == draw(kind)
    assert b"<dc:date>" not in made.content


@needs_library
def test_a_png_is_one() -> None:
    made = spread_picture(ROWS, "png").content
    assert made.startswith(b"\x89PNG")
    width, height = struct.unpack(">II", made[16:24])
    assert width > 1000 > height > 200


@needs_library
@pytest.mark.parametrize("kind", canvas.KINDS)
def test_long_names_and_many_parts_fit(kind: str) -> None:
    """Warnings are errors in tests: one would say that there is no room left to draw in."""
    name = "a very long name of an accessory " * 9
    bars = [Bar(label="today", parts={f"{at} {name}": float(at + 1) for at in range(15)})]
    paid = [PaybackLine(label=f"{at} {name}", price=99.0 * (at + 1), saved_a_day=1.0) for at in range(12)]
    assert len(saving_picture(bars, paid, kind).content) > 1000
    dots = [Dots(label=name, usual=[1.0] * 40, far=[2.0], left_out=[3.0], mean=1.1)]
    assert len(spread_picture(dots, kind).content) > 1000


@needs_library
def test_nothing_to_draw_is_refused() -> None:
    with pytest.raises(ValueError, match="neither bars nor paybacks"):
        saving_picture([], [], "svg")
    with pytest.raises(ValueError, match="no readings"):
        spread_picture([], "svg")


@needs_library
@pytest.mark.parametrize("name", ["a.png", "a.SVG"])
def test_a_name_tells_the_kind(name: str) -> None:
    check_kind(Path(name))
    assert kind_of(Path(name)) in canvas.KINDS


@pytest.mark.parametrize("name", ["a.gif", "a", "png"])
def test_another_kind_is_refused(name: str) -> None:
    with pytest.raises(BadInput, match=r"expected a name with \.png or \.svg"):
        check_kind(Path(name))


def test_without_the_library_it_is_said_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(canvas, "find_spec", lambda name: None)
    with pytest.raises(BadInput, match=r"Install it: .*\[pictures\]"):
        check_kind(Path("a.png"))


def test_a_picture_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    write_one(path, b"one")
    write_one(path, b"two")
    assert path.read_bytes() == b"two"
    with pytest.raises(BadInput, match="it can't be written"):
        write_one(tmp_path / "none" / "a.png", b"one")
    assert [one.name for one in tmp_path.iterdir()] == ["a.png"]


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("no/a.png", 'there is no folder ".*no"; expected a folder'),
        ("a.png", "a folder of that name"),
    ],
)
def test_a_place_that_cannot_be_is_refused_before_any_work(name: str, found: str, tmp_path: Path) -> None:
    check_name(tmp_path / "b.png", ("png",), "a picture")
    (tmp_path / "a.png").mkdir()
    with pytest.raises(BadInput, match=found):
        check_name(tmp_path / name, ("png",), "a picture")


@pytest.mark.parametrize(
    ("shut", "found"), [("", "its folder is protected"), ("a.png", "it is protected against writing")]
)
def test_a_protected_place_is_refused(
    shut: str, found: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_one(tmp_path / "a.png", b"one")
    monkeypatch.setattr("os.access", lambda path, mode: Path(path) != tmp_path / shut)
    with pytest.raises(BadInput, match=found):
        check_name(tmp_path / "a.png", ("png",), "a picture")
    check_name(tmp_path.parent / "b.png", ("png",), "a picture")


@needs_library
def test_plain_names_open_no_further_font(monkeypatch: pytest.MonkeyPatch) -> None:
    def never() -> Iterator[str]:
        raise AssertionError("no font is needed")
        yield ""

    monkeypatch.setattr(picture_fonts, "_installed", never)
    assert picture_fonts.picture_fonts(["cover", "Łódź Ελλάδα Жёлтый"]).families == (picture_fonts.OWN,)


@needs_library
def test_only_fonts_that_have_missing_letters_are_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    known = {picture_fonts.OWN: "é", "Latin": "é", "Kana": "あ", "All": "あ喫", "Later": "あ喫"}
    monkeypatch.setattr(picture_fonts, "_installed", lambda: iter([*known][1:]))
    monkeypatch.setattr(picture_fonts, "_known", lambda family, letters: letters & set(known[family]))
    found = picture_fonts.picture_fonts(["é あ", "喫"])
    assert found == picture_fonts.PictureFonts((picture_fonts.OWN, "Kana", "All"))
    assert found.missing == ()


@needs_library
@pytest.mark.parametrize("kind", canvas.KINDS)
def test_a_script_without_a_font_is_said_once(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(picture_fonts, "_installed", lambda: iter(()))
    (note,) = spread_picture(ROWS, kind).notes
    assert note.startswith("No font for Chinese and Japanese found: such names come out as empty squares.")
    assert note.endswith("and print or draw again.")
    assert spread_picture(ROWS[:1], kind).notes == ()


@needs_library
def test_installed_fonts_are_drawn_with() -> None:
    found = picture_fonts.picture_fonts(["喫茶あおぞら"])
    if found.missing:
        pytest.skip("no font for Japanese on this machine")
    assert len(found.families) > 1
    svg = spread_picture(ROWS, "svg").content.decode()
    assert all(family in svg for family in found.families)


@needs_library
def test_a_font_of_boxes_is_none(caplog: pytest.LogCaptureFixture) -> None:
    found = picture_fonts.picture_fonts(["喫茶 😀 हिन्दी ไทย \U000323b0"])
    assert not [name for name in found.families if name.startswith("Last Resort")]
    assert not [one for one in picture_fonts._installed() if one.startswith("Last Resort")]
    spread_picture(ROWS, "png")
    assert caplog.records == []
