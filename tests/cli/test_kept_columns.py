"""What the owner has said about a kind of file is kept, holds tomorrow, and can be undone."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.intake.books import sheets_book
from tests.support.commands import Run

EXPORT = """Reference;Customer;Wanted;Garment;Colour;Fabric;Placement;Transfer;Artwork;M;Shelf
007;Zoë;02/03/2026;tee;navy;cotton;LC;film hot peel;badge;3;B4
008;Ada;Fri;tee;navy;cotton;LC;film hot peel;badge;4;B5
"""
TODAY = ("--today", "2026-02-02", "--json")
SAID = ("--column", "Reference=Order", "--column", "Wanted=Due date", "--column", "Shelf=not needed")


def document(run: Run, *words: object) -> tuple[int, dict[str, list[dict[str, str]]]]:
    result = run("check", *words, *TODAY)
    return result.exit_code, json.loads(result.stdout)


def test_what_is_said_once_holds_for_the_same_export_tomorrow(run: Run, tmp_path: Path) -> None:
    first, second = tmp_path / "monday.csv", tmp_path / "tuesday.csv"
    first.write_text(EXPORT, encoding="utf-8")
    code, before = document(run, first)
    assert code == 1 and before["faults"][0]["code"] == "column-missing"
    code, said = document(run, first, *SAID, "--dates", "day-first", "--weekdays", "next")
    assert (code, said["faults"]) == (0, [])
    assert [order["due"][:10] for order in said["orders"]] == ["2026-03-02", "2026-02-06"]
    # another day's export of the same kind
    second.write_text(EXPORT.replace("02/03/2026", "03/02/2026"), encoding="utf-8")
    code, again = document(run, second)
    assert (code, again["faults"]) == (0, [])
    assert again["orders"][0]["due"][:10] == "2026-02-03"
    how = {one["heading"]: (one["how"], one["read_as"]) for one in again["columns"]}
    assert how["Reference"] == ("confirmed", "Order") and how["Wanted"] == ("confirmed", "Cut-off date")
    assert how["Shelf"] == ("not needed", "")
    # another kind of file is not touched by it
    second.write_text(EXPORT.replace("Shelf", "Rack"), encoding="utf-8")
    assert document(run, second)[0] == 1


def test_the_kept_file_can_be_read_and_undone_by_its_lines(run: Run, tmp_path: Path) -> None:
    file, kept = tmp_path / "a.csv", tmp_path / "columns.toml"
    file.write_text(EXPORT, encoding="utf-8")
    document(run, file, *SAID, "--dates", "day-first", "--weekdays", "next")
    lines = kept.read_text(encoding="utf-8").splitlines()
    assert '"Reference" = "Order"' in lines and 'dates = "day-first"' in lines
    kept.write_text("\n".join(line for line in lines if not line.startswith("dates")), encoding="utf-8")
    code, asked = document(run, file)
    assert code == 1 and [(one["code"], one["cell"]) for one in asked["faults"]] == [("date-ambiguous", "C2")]
    # what is said again counts before what is kept
    assert document(run, file, "--dates", "month-first")[1]["orders"][0]["due"][:10] == "2026-02-03"
    kept.unlink()
    assert "column-missing" in [one["code"] for one in document(run, file)[1]["faults"]]


@pytest.mark.parametrize(
    ("line", "place", "found"),
    [
        ("dates = 3 3", "line 4", ""),
        ('dates = "year-first"', "line 4", "year-first"),
        ('order = "day-first"', "line 4", "order"),
        ('encoding = "klingon"', "line 4", "klingon"),
        ('columns = { "Wanted" = "Wunsch" }', "line 4", "Wunsch"),
    ],
)
def test_a_bad_line_is_a_fault_by_its_line(
    run: Run, tmp_path: Path, line: str, place: str, found: str
) -> None:
    file = tmp_path / "a.csv"
    file.write_text(EXPORT, encoding="utf-8")
    good = '# mine\n[[file]]\nheadings = ["Reference", "Customer"]\n'
    (tmp_path / "columns.toml").write_text(f"{good}{line}\n", encoding="utf-8")
    _, asked = document(run, file)
    bad = [one for one in asked["faults"] if one["file"] == "columns.toml"]
    assert [(one["code"], one["cell"]) for one in bad] == [("columns-file", place)]
    assert found in bad[0]["found"]
    before = (tmp_path / "columns.toml").read_bytes()
    document(run, file, *SAID)
    assert (tmp_path / "columns.toml").read_bytes() == before
    (tmp_path / "columns.toml").write_text(f'{good}dates = "day-first"\n', encoding="utf-8")
    assert [one for one in document(run, file)[1]["faults"] if one["file"] == "columns.toml"] == []


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--column", "Wanted"), "HEADING=COLUMN"),
        (("--column", "Wanted=Wunsch"), "a column of Pressday"),
        (("--encoding", "klingon"), "no encoding"),
        (("--dates", "year-first"), "day-first"),
    ],
)
def test_a_word_that_means_nothing_is_a_usage_error(
    run: Run, tmp_path: Path, words: tuple[str, str], told: str
) -> None:
    file = tmp_path / "a.csv"
    file.write_text(EXPORT, encoding="utf-8")
    result = run("check", file, *words)
    assert result.exit_code == 2 and told in " ".join(result.stderr.split())
    assert not (tmp_path / "columns.toml").exists()


def test_a_heading_that_is_in_no_file_is_a_fault_and_nothing_is_kept(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "a.csv"
    file.write_text(EXPORT, encoding="utf-8")
    code, asked = document(run, file, "--column", "Wnted=Due date")
    assert code == 1 and [one["code"] for one in asked["faults"]] == ["no-such-heading"]
    assert not (tmp_path / "columns.toml").exists()


def test_the_encoding_of_a_kind_of_file_is_kept(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "a.csv"
    file.write_bytes(EXPORT.replace("Zoë", "Łódź Żak").encode("cp1250"))
    words = (*SAID, "--dates", "day-first", "--weekdays", "next")
    _, said = document(run, file, *words, "--encoding", "cp1250")
    assert said["orders"][0]["customer"] == "Łódź Żak"
    _, again = document(run, file)
    assert again["orders"][0]["customer"] == "Łódź Żak"
    assert "letters-judged" not in [one["code"] for one in again["doubts"]]


def rows_of(*headings: str) -> list[list[object]]:
    """One order under headings of the usual kind, the last ones as given, in two rows of headings."""
    head = [
        "Order",
        "Customer",
        "Garment",
        "Colour",
        "Fabric",
        "Placement",
        "Artwork",
        *headings,
        "Sizes",
        None,
    ]
    sizes = [*[None] * (len(head) - 2), "S", "M"]
    row = [7, "Zoë", "tee", "navy", "cotton", "left chest", "badge", *["film hot peel"] * len(headings), 3, 4]
    return [head, sizes, row]


def test_what_is_said_of_headings_in_two_rows_is_kept(run: Run, tmp_path: Path) -> None:
    file = sheets_book(tmp_path / "two.xlsx", {"Orders": rows_of("Type")})
    assert document(run, file)[0] == 1
    assert document(run, file, "--column", "Type=Transfer")[0] == 0
    code, again = document(run, file)
    assert (code, again["faults"]) == (0, []) and len(again["orders"]) == 1


def test_an_answer_that_would_spoil_every_file_of_the_kind_is_not_kept(run: Run, tmp_path: Path) -> None:
    twice = sheets_book(tmp_path / "twice.xlsx", {"Orders": rows_of("Transfer", "Transfer")})
    good = sheets_book(tmp_path / "good.xlsx", {"Orders": rows_of("Transfer")})
    for file, code in ((twice, "heading-twice"), (good, "column-said-otherwise")):
        asked = document(run, file, "--column", "Transfer=not needed")[1]["faults"]
        assert [one["code"] for one in asked] == [code]
    assert "columns.toml" in asked[0]["mend"] and document(run, good)[0] == 0
    # a kind of file has each of its headings as often: what is said of one is not said of the other
    assert document(run, good, "--dates", "day-first")[0] == 0
    assert (tmp_path / "columns.toml").read_text(encoding="utf-8").count("\n[[file]]") == 1
    assert "day-first" in (tmp_path / "columns.toml").read_text(encoding="utf-8")
