"""Several artworks in one cell, beside several placements: taken apart where that is surely meant."""

from __future__ import annotations

import pytest

from tests.intake.orders.test_owner_sheets import HEAD, doubts, found, other, read


@pytest.mark.parametrize(
    ("placements", "artwork", "parts", "doubt"),
    [
        ("LC + FB", "crest + name", ["crest", "name"], False),
        ("LC / FB", "AC/DC logo + crest", ["AC/DC logo", "crest"], False),
        ("LC\nFB", "crest\nname", ["crest", "name"], False),
        ("left\nchest + FB", "crest + name", ["crest", "name"], False),
        ("LC + FB", "crest", ["crest", "crest"], False),
        ("LC / FB", "AC/DC logo", ["AC", "DC logo"], True),
        ("FF/FB", "24/7 gym", ["24", "7 gym"], True),
        ("LC, FB", "Smith, Jones", ["Smith, Jones"] * 2, True),
        ("LC", "AC/DC + friends", ["AC/DC + friends"], False),
        ("LC + FB + RS", "crest + name", None, False),
        ("LC + FB", "a + b + c", None, False),
    ],
)
def test_artworks_of_several_placements(
    placements: str, artwork: str, parts: list[str] | None, doubt: bool
) -> None:
    looked = read([HEAD, other("007", Placement=placements, Artwork=artwork)])
    assert doubts(looked) == ([("artwork-unclear", "H2")] if doubt else [])
    if parts is None:
        assert found(looked) == [("artworks-differ", "H2")] and looked.orders == ()
    else:
        assert found(looked) == []
        assert [one.artwork for one in looked.orders[0].lines[0].prints] == parts
