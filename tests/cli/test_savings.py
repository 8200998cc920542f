"""`pressday savings`: the figures asked for, in words and as data, and what it refuses."""

from __future__ import annotations

import json
import re
import shlex
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from scheduler.intake import read_shop
from scheduler.planning.cycle import cycle_s
from tests.sheets.test_page import Reader
from tests.support.commands import Run

PAGE = (Path(__file__).parents[2] / "docs" / "savings.md").read_text(encoding="utf-8")
COMMANDS = [line.strip() for line in PAGE.splitlines() if line.startswith("    pressday ")]


def answer(run: Run, *words: object) -> dict[str, Any]:
    result = run("savings", *words, "--json")
    assert result.exit_code == 0, result.stderr
    found = json.loads(result.stdout)
    assert isinstance(found, dict)
    return found


def test_seconds_as_hours_and_days_a_year(run: Run) -> None:
    """Arithmetic: 11 x 100 x 250 / 3600 = 76.39 hours, 9.55 days of 8 hours."""
    words = ["--seconds", 11, "--garments", 100, "--days", 250, "--hours", 8]
    found = answer(run, *words)
    assert found["hours_per_year"] == pytest.approx(76.388889)
    assert found["days_per_year"] == pytest.approx(9.548611)
    assert run("savings", *words).stdout.splitlines() == [
        "11 s on each garment, 100 garments a day:",
        "  76.39 hours a year (250 working days a year)",
        "  9.55 working days a year (of 8 hours)",
    ]


def test_days_and_hours_can_be_changed_and_are_stated(run: Run) -> None:
    found = answer(run, "--seconds", 15, "--garments", 300, "--days", 264, "--hours", 10)
    assert (found["days_per_year"], found["working_days_per_year"], found["hours_per_working_day"]) == (
        33,
        264,
        10,
    )


def test_payback(run: Run) -> None:
    words = ["--seconds", 11, "--garments", 100, "--price", 150, "--wage", 20]
    assert answer(run, *words)["payback"] == {
        "saved_per_day": pytest.approx(6.111, abs=0.0005),
        "working_days": pytest.approx(24.545, abs=0.0005),
        "garments": 2455,
    }
    assert "150 has paid after 24.55 working days, with garment 2455" in run("savings", *words).stdout


def test_measures_together(run: Run) -> None:
    words = ["--cycle", 41, "--measure", "cover: 30, price=150", "--measure", "stand too: 26, price=900"]
    found = answer(run, *words, "--garments", 100, "--wage", 20, "--minutes", 435)
    assert (found["cycle_before_s"], found["cycle_after_s"], found["seconds_per_garment"]) == (41, 26, 15)
    assert [one["added_s"] for one in found["measures"]] == [11, 4]
    assert (found["added_up_s"], found["price"]) == (26, 1050)
    assert (found["garments_before"], found["garments_after"]) == (573, 904)
    assert found["payback"]["working_days"] == 126  # 1050 / (15 s x 100 x 20 / 3600)
    assert found["measures"][0]["payback_added"]["garments"] == 2455
    said = run("savings", *words).stdout
    assert "Added up they would promise 26 s; together they save 15 s" in said


def test_a_decimal_comma_is_none_between_elements(run: Run) -> None:
    found = answer(run, "--cycle", "load=13,5, lay=3,dwell=12", "--measure", "cover: load=6,5,lay-50%")
    assert found["elements_before_s"] == {"load": 13.5, "lay": 3, "dwell": 12}
    assert found["elements_after_s"] == {"load": 6.5, "lay": 1.5, "dwell": 12}


def test_parts_of_a_number_that_can_be_no_thousands_are_read(run: Run) -> None:
    for written, read in (
        ("0.375", 0.375),
        ("0,125", 0.125),
        ("1.5", 1.5),
        ("12,50", 12.5),
        ("1500.125", 1500.125),
    ):
        assert answer(run, "--seconds", written, "--garments", 1)["seconds_per_garment"] == read
    found = answer(run, "--cycle", "load=13", "--measure", "practice: load -12.500%")
    assert found["elements_after_s"] == {"load": 11.375}


def test_a_semicolon_stands_between_elements_and_changes_too(run: Run) -> None:
    found = answer(
        run, "--cycle", "load=13,5; dwell=12,unload=7", "--measure", "cover: load=6,5 ; unload-50%"
    )
    assert found["elements_before_s"] == {"load": 13.5, "dwell": 12, "unload": 7}
    assert found["elements_after_s"] == {"load": 6.5, "dwell": 12, "unload": 3.5}


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("--seconds 11 --garments 9 --wage 0", "at a wage of 0 the time saved is worth nothing"),
        ("--seconds 0 --garments 9 --wage 5", "no seconds are saved"),
        ("--seconds 11 --garments 0 --wage 5", "no garments are pressed"),
        ("--cycle load=13 --measure a:load=15 --garments 9 --wage 5", "it takes longer than before"),
    ],
)
def test_what_is_never_earned_says_why(words: str, why: str, run: Run) -> None:
    assert f"150 is never earned: {why}." in run("savings", *shlex.split(words), "--price", 150).stdout


def test_what_is_free_has_no_payback_to_wait_for(run: Run) -> None:
    words = ["--cycle", "load=13, lay=3", "--garments", 9, "--wage", 40, "--price", 0, "--measure"]
    assert run("savings", *words, "a: load=3").stdout.endswith(
        "1 saved a working day at 40 an hour; it costs nothing.\n"
    )
    assert run("savings", *words, "a: load=14").stdout.endswith(
        "it costs nothing; it takes longer than before.\n"
    )


def test_a_measure_without_a_price_is_named_where_the_payback_of_all_is_missing(
    run: Run, tmp_path: Path
) -> None:
    words = ["--cycle", "load=13, lay=3", "--measure", "cover: load=6, price=150", "--garments", 9]
    words += ["--wage", 9, "--measure"]
    missing = "No payback of all measures together: practice has no price; write price=0 if it is free"
    path = tmp_path / "a.html"
    assert missing in run("savings", *words, "practice: lay -10%", "--page", path).stdout
    # among the words, and where the line is missing in the picture
    assert path.read_text(encoding="utf-8").count(missing) == 2
    found = answer(run, *words, "practice: lay -10%")
    assert (found["payback"], found["measures_without_price"]) == (None, ["practice"])
    for free in (["practice: lay -10%, price=0"], ["practice: lay -10%", "--price", 160]):
        assert missing not in run("savings", *words, *free).stdout
        found = answer(run, *words, *free)
        assert found["payback"] is not None and found["measures_without_price"] == []


AT_A_PRESS = ["--press", "press 1", "--transfer", "screen-printed hot split", "--fabric", "cotton"]


def test_a_cycle_of_the_shop_and_another_set_up(run: Run, shop: Path) -> None:
    """The default shop's times: a cover saves 11 s, a stand with it and opening by itself 15, together 15."""
    words = ["--shop", shop / "shop.xlsx", *AT_A_PRESS, "--measure", "cover: set-up=cover, price=150"]
    more = ["--measure", "stand too: set-up=Stand and cover, opens=by itself"]
    found = answer(run, *words, *more, "--garments", 100, "--minutes", 435)
    recipe = read_shop(shop / "shop.xlsx").recipe("screen-printed hot split", "cotton")
    assert recipe is not None
    before = found["elements_before_s"]
    assert (before["load"], before["open"], before["dwell"]) == (13, 2, recipe.dwell_s)
    assert "second press" not in before
    after = found["elements_after_s"]
    assert (after["load"], after["unload"], after["open"], after["dwell"]) == (4, 2, 1, recipe.dwell_s)
    assert [one["added_s"] for one in found["measures"]] == [11, 4]
    assert found["allowance_of_basic_time"] == 0.11


def test_times_that_nobody_has_timed_are_named(run: Run, shop: Path, tmp_path: Path) -> None:
    """A row counts as the shop's own by its mark; in the others what differs from the program's figure."""
    file = shop / "shop.xlsx"
    book = load_workbook(file)
    for name, *times, mark in book["Element times"].iter_rows():
        if name.value in ("load", "unload"):
            times[0].value -= 0.5
        elif mark.value == "default" and name.value != "peel a transfer":
            mark.value = "our own"
    book.save(file)
    words = [
        "--shop",
        file,
        *AT_A_PRESS,
        "--measure",
        "cover: set-up=cover",
        "--measure",
        "practice: load -10%",
    ]
    found = answer(run, *words)
    assert found["program_times_today"] == {"peel": 2}
    assert [one["program_times"] for one in found["measures"]] == [{"load": 6, "unload": 3}, {}]
    said = "(see pressday times): today: peel 2 s; cover: load 6 s, unload 3 s."
    assert said in run("savings", *words, "--page", tmp_path / "a.html").stdout
    assert said in (tmp_path / "a.html").read_text(encoding="utf-8")
    for row in book["Element times"].iter_rows():
        if row[-1].value == "default":
            row[-1].value = "our own"
    book.save(file)
    assert answer(run, *words)["program_times_today"] == {}
    assert "program's own" not in run("savings", *words).stdout


def test_the_cycle_of_the_shop_is_the_planners(run: Run, shop: Path) -> None:
    there = read_shop(shop / "shop.xlsx")
    recipe = there.recipe("screen-printed hot split", "cotton")
    assert recipe is not None
    planned = cycle_s(there, there.presses[0], recipe, transfers=1, turns=False)
    words = ["--shop", shop / "shop.xlsx", *AT_A_PRESS, "--measure", "practice: load-10%"]
    assert answer(run, *words)["cycle_before_s"] == planned


@pytest.mark.parametrize(
    ("more", "wrong"),
    [
        ("--measure a:set-up=cvoer", 'no press set-up. Did you mean "cover"'),
        ("--measure a:opens=slowly", "write opens=by itself"),
        ("--measure a:set-up=plain", '"a" changes nothing'),
        ("--measure a:dwell=5", "the recipe says how long"),
        ("--measure a:set-up=cover,load=5", "changes load twice"),
        ("--measure a:load=5 --press Bench", "--press"),
        ("--measure a:load=5 --fabric gum", "--fabric"),
    ],
)
def test_what_a_shop_cannot_mean_is_wrong_usage(more: str, wrong: str, run: Run, shop: Path) -> None:
    result = run("savings", "--shop", shop / "shop.xlsx", *AT_A_PRESS, *shlex.split(more))
    assert result.exit_code == 2
    assert wrong in re.sub(r"[\s│]+", " ", result.stderr)


def test_a_shop_that_is_not_there_is_a_fault(run: Run, tmp_path: Path) -> None:
    result = run("savings", "--shop", tmp_path / "none.xlsx", *AT_A_PRESS, "--measure", "a: load=5")
    assert (result.exit_code, "there is no such file" in result.stdout) == (1, True)


def test_two_presses(run: Run) -> None:
    found = answer(run, "--load", 26, "--pressing", 15, "--walk", 2, "--garments", 100)
    assert [row["each_s"] for row in found["presses"]] == [41, 28]
    assert (found["seconds_per_garment"], found["most_presses"]) == (13, 2)
    assert "both hands are out" in run("savings", "--load", 26, "--pressing", 15).stdout


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        ("", "give --seconds, or --cycle or --shop"),
        ("--seconds 11 --cycle 41 --garments 5", "give --seconds, or --cycle or --shop"),
        ("--seconds 11", "how many garments a day"),
        ("--seconds eleven --garments 100", '"eleven": write a number'),
        ("--seconds 11 --garments 100 --days 0", "0 working days"),
        ("--seconds 11 --garments 100 --hours 25", "25 hours a day"),
        ("--seconds 11 --garments 100 --price 150", "--wage"),
        ("--cycle 0 --measure a:5", "and one above 0"),
        ("--cycle 41 --measure a:0", "leave nothing of the cycle"),
        ("--seconds 5 --garments 5 --picture a.png", "a cycle with measures can be drawn"),
        ("--cycle 41", "--cycle or --shop goes together with --measure"),
        ("--shop s.xlsx --measure a:load=1", "--shop, --press, --transfer and --fabric go together"),
        ("--seconds 1 --garments 1 --press P", "--shop, --press, --transfer and --fabric go together"),
        ("--load 26", "--load and --pressing go together"),
        ("--load 0 --pressing 15", "0 s of loading"),
        ("--load 5 --pressing 15 --presses 1", "--presses"),
        ("--cycle load=x --measure a:load=1", '"load=x": write an element with its seconds as load=13.'),
        ("--cycle load --measure a:load=1", '"load": write an element with its seconds as load=13.'),
        ("--cycle load=13, --measure a:load=1", '"load=13,": nothing stands before or after a comma'),
        ("--cycle '' --measure a:30", "write the seconds of a whole cycle as 41, or its elements as"),
        ("--cycle 41, --measure a:30", '"41": write an element with its seconds as load=13.'),
        ("--cycle load=1,load=2 --measure a:load=1", "load stands there twice"),
        ("--cycle load=13 --measure cover:laod=6", 'Did you mean "load"'),
        ("--cycle load=13 --measure load=6", "a colon and what changes"),
        ("--cycle load=13 --measure cover:load=six", "write a new time as load=6"),
        ("--cycle load=13 --measure cover:load-110%", "write a new time as load=6, or a share off"),
        ("--cycle load=13 --measure cover:price=x", "write the price"),
        ("--cycle load=13 --measure cover:price=5", "changes nothing"),
        ("--cycle load=13 --measure a:load=15 --measure b:load=6", "one measure makes it longer"),
        ("--cycle load=13 --measure a:load=15 --measure b:load-10%", "one measure makes it longer"),
        ("--seconds 11 --garments 5 --wage 20 --price 1,500", '"1,500": that can be 1500 or 1.5; write'),
        ("--seconds 11 --garments 1.000", '"1.000": that can be 1000 or 1; write 1000 or 1.'),
        ("--cycle 1,500 --measure a:5", "that can be 1500 or 1.5"),
        ("--cycle 41 --measure a:1,500", "that can be 1500 or 1.5"),
        ("--cycle load=1,500,lay=3 --measure a:lay=2", '"load=1,500": that can be 1500 or 1.5'),
        ("--cycle load=13 --measure a:load=1.500", "that can be 1500 or 1.5"),
        ("--cycle 41 --measure a:30,price=1,500", '"price=1,500": that can be 1500 or 1.5'),
        ("--seconds -3 --garments 5", '"-3": it may not be below 0'),
        ("--cycle load=13 --measure a:load=-3", "it may not be below 0"),
        ("--cycle 41 --measure a:30,price=-3", "it may not be below 0"),
        ("--cycle a=b=13 --measure a:load=1", "a name has no ="),
        ("--cycle load=13 --measure a=b:load=1", "a name has no = and no semicolon"),
        ("--cycle load=13 --measure 'a;b:load=1'", "a name has no = and no semicolon"),
        ("--cycle load=13,lay=3 --measure 'a:load=6 lay=2'", "a comma or semicolon between changes"),
        ("--cycle 41 --measure a:30,price=3,price=4", "price stands there twice"),
        ("--cycle 41 --measure a:30 --measure A:29", 'two measures are called "A"'),
        ("--cycle load=13 --measure a:load=1 --allowance 110% --minutes 5", "write a share as 11 %"),
    ],
)
def test_what_cannot_be_understood_is_wrong_usage(words: str, wrong: str, run: Run) -> None:
    result = run("savings", *shlex.split(words))
    assert result.exit_code == 2
    assert wrong in re.sub(r"[\s│]+", " ", result.stderr)


def test_a_picture(run: Run, tmp_path: Path) -> None:
    words = ["savings", "--cycle", 41, "--measure", "cover: 30, price=150", "--picture", tmp_path / "a.svg"]
    result = run(*words, "--garments", 100, "--wage", 20)
    if find_spec("matplotlib") is None:
        assert result.exit_code == 1
        assert "Install it:" in result.stdout
        assert "Nothing was worked out." in result.stdout
        return
    assert result.exit_code == 0, result.stdout
    drawn = (tmp_path / "a.svg").read_text(encoding="utf-8")
    assert "30 s" in drawn
    assert "cover: paid after 24.55 working days" in drawn


TOGETHER = [
    "--cycle", "load=13, lay=3, dwell=12, unload=7", "--measure", "cover: load=6, unload=3, price=150",
    "--measure", "practice: load -10%, price=20", "--garments", 100, "--wage", 20,
]  # fmt: skip


@pytest.mark.parametrize(
    "words",
    [
        TOGETHER,
        ["--seconds", 11, "--garments", 100, "--price", 150, "--wage", 20],
        ["--load", 26, "--pressing", 15, "--garments", 100, "--wage", 20, "--presses", 3],
    ],
)
def test_a_page_says_what_the_terminal_says(words: list[object], run: Run, tmp_path: Path) -> None:
    path = tmp_path / "a.html"
    said = run("savings", *words).stdout.splitlines()
    assert run("savings", *words, "--page", path).stdout.splitlines() == [*said, f"Written: {path}"]
    reader = Reader()
    reader.feed(path.read_text(encoding="utf-8"))
    told = " ".join(" ".join(reader.texts).split())
    lines = said[4:] if "--load" in words else said
    assert lines
    for line in lines:
        assert line.strip() in told
    if "--load" in words:
        for number in said[2].split():
            assert number in reader.texts
        assert ("p", {"class": "caution"}) in reader.tags
    first = path.read_bytes()
    run("savings", *words, "--page", path)
    assert path.read_bytes() == first


def test_a_page_has_tables_and_pictures(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "a.html"
    assert run("savings", *TOGETHER, "--page", path).exit_code == 0
    page = path.read_text(encoding="utf-8")
    assert page.count("<svg role=") == 2
    for row in ("load", "13", "5.4", "7.6"), ("whole cycle", "35", "23.4", "11.6"):
        first, *others = row
        assert f'<th scope="row">{first}</th>' + "".join(f"<td>{one}</td>" for one in others) in page
    assert "cover, on top: paid after 24.55 working days" in page


def test_names_on_a_page_are_escaped(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "a.html"
    words = ["--cycle", "<script>x</script>=13, lay=3", "--measure", "<script>y</script>: lay=2, price=5"]
    assert run("savings", *words, "--garments", 9, "--wage", 9, "--page", path).exit_code == 0
    page = path.read_text(encoding="utf-8")
    assert "<script" not in page
    assert page.count("&lt;script&gt;x") >= 2
    assert page.count("&lt;script&gt;y") >= 3


@pytest.mark.parametrize(
    ("option", "name", "wrong"),
    [
        ("--page", "a.pdf", 'a page called "a.pdf"; expected a name with .html'),
        ("--page", "no/a.html", "there is no folder"),
        ("--picture", "a.html", 'a picture called "a.html"'),
        ("--picture", "no/a.png", "there is no folder"),
    ],
)
def test_a_bad_name_fails_before_any_work(
    option: str, name: str, wrong: str, run: Run, tmp_path: Path
) -> None:
    words = ["--shop", tmp_path / "none.xlsx", *AT_A_PRESS, "--measure", "a: load=5"]
    result = run("savings", *words, option, tmp_path / name)
    assert (result.exit_code, wrong in result.stdout) == (1, True), result.stdout
    assert "there is no such file" not in result.stdout
    assert list(tmp_path.iterdir()) == []


def test_the_page_has_commands() -> None:
    assert len(COMMANDS) >= 4


@pytest.mark.parametrize("line", COMMANDS)
def test_the_page_shows_commands_that_work(
    line: str, run: Run, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(shop)
    result = run(*shlex.split(line)[1:])
    assert result.exit_code == 0, result.stderr
