"""`pressday times`: a study worked out, held against recipes, taken over; forms; what it refuses."""

from __future__ import annotations

import json
import re
import shlex
import shutil
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from pypdf import PdfReader

from scheduler.daybook.book import DayBook
from scheduler.daybook.opening import NAME
from scheduler.domain.faults import Fault, Source
from scheduler.domain.shop import Element, Setup
from scheduler.exceptions import BadInput
from scheduler.intake import read_shop
from scheduler.intake.studies.writer import ELEMENTS
from tests.daybook.kills import put_one
from tests.daybook.test_state import FINISHED, STARTED, news
from tests.sheets.test_page import Reader
from tests.support.commands import DAY, Run

PAGE = (Path(__file__).parents[2] / "docs" / "times.md").read_text(encoding="utf-8")
EXAMPLES = Path(__file__).parents[2] / "example_orders"
COMMANDS = [line.strip() for line in PAGE.splitlines() if line.startswith("    pressday ")]

STUDY = """Element,Press set-up,Transfer,Fabric,Rating,1,2,3,4,5,6,7,8,9,10,Remark
load,plain,,,100,12,11,12,13,12,11,12,13,25,12,look at 9
lay a transfer,all,,,110 %,3,3,4,3,3,3,3,3,3,3,
whole cycle,cover,,,,30,31,,,,,,,,,
dwell,,{transfer},{fabric},,18,18,18,19,17,18,,,,,
"""


@pytest.fixture
def study(shop: Path) -> Path:
    """A study beside a shop whose first recipe it holds too long."""
    recipe = read_shop(shop / "shop.xlsx").recipes[0]
    assert recipe.dwell_s < 17
    path = shop / "study.csv"
    path.write_text(STUDY.format(transfer=recipe.transfer, fabric=recipe.fabric), encoding="utf-8")
    return path


def answer(run: Run, *words: object) -> dict[str, Any]:
    result = run("times", *words, "--json")
    assert result.exit_code == 0, result.stderr
    found = json.loads(result.stdout)
    assert isinstance(found, dict)
    return found


def element(found: dict[str, Any], name: str) -> dict[str, Any]:
    one = next(one for one in found["elements"] if one["element"] == name)
    assert isinstance(one, dict)
    return one


def test_the_ilo_example(run: Run, tmp_path: Path) -> None:
    """ILO, Introduction to Work Study: 7 6 7 7 6 need 9 readings (from memory, arithmetic checked)."""
    path = tmp_path / "ilo.csv"
    path.write_text("Element,1,2,3,4,5\nload,7,6,7,7,6\n", encoding="utf-8")
    one = element(answer(run, path), "load")
    assert (one["readings"], one["readings_needed"], one["readings_still_needed"]) == (5, 9, 4)
    assert (one["mean_s"], one["basic_s"]) == (6.6, 6.6)
    said = run("times", path).stdout
    assert "9 readings needed for ±5 % at 95 %: 4 more" in said


def test_basic_and_standard_time_with_the_allowance_stated(run: Run, study: Path) -> None:
    """3.1 s x 110 % = 3.41 s basic; 11 % of basic time make 3.785 s, of the shift 3.831 s."""
    found = answer(run, study)
    assert found["allowance"] == {"share": 0.11, "of": "basic time", "whose": "the program's own figure"}
    lay = element(found, "lay a transfer")
    assert (lay["basic_s"], lay["standard_s"]) == (3.41, pytest.approx(3.7851))
    found = answer(run, study, "--allowance", "11%", "--allowance-of", "shift")
    assert (found["allowance"]["of"], found["allowance"]["whose"]) == ("shift", "as given")
    assert element(found, "lay a transfer")["standard_s"] == pytest.approx(3.41 / 0.89)
    said = run("times", study, "--allowance", "15 %").stdout
    assert "Standard time is basic time with an allowance of 15 % of basic time (as given)." in said


def test_outliers_are_shown_and_kept_until_they_are_dropped(run: Run, study: Path) -> None:
    load = element(answer(run, study), "load")
    assert [(one["cell"], one["seconds"], one["remark"]) for one in load["outliers"]] == [
        ("N2", 25, "look at 9")
    ]
    assert (load["readings"], load["mean_s"]) == (10, 13.3)
    assert "far from the others: 25 s in N2 (look at 9); it counts." in run("times", study).stdout
    load = element(answer(run, study, "--drop", "N2"), "load")
    assert (load["readings"], load["mean_s"], load["outliers"]) == (9, 12, [])
    assert [one["cell"] for one in load["left_out"]] == ["N2"]


def test_what_is_proposed_to_drop_in_one_of_several_files_works(run: Run, study: Path) -> None:
    twin = study.with_name("twin.csv")
    shutil.copy(study, twin)
    said = run("times", study, twin).stdout
    places = re.findall(r"--drop (.+ N2.)", said)
    assert places == ['"study.csv, N2"', '"twin.csv, N2"']
    load = element(answer(run, study, twin, "--drop", shlex.split(places[1])[0]), "load")
    assert [(one["file"], one["cell"]) for one in load["left_out"]] == [("twin.csv", "N2")]
    assert "--drop N2" in run("times", study).stdout


def test_an_element_that_was_left_out_whole_is_said(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "study.csv"
    path.write_text(
        "Element,1,2,3,Remark,Leave out\nload,12,13,12,,\npeel,2,3,,odd,yes\nload,50,,,,yes\n", "utf-8"
    )
    said = run("times", path).stdout
    assert said.splitlines()[0] == "study.csv: 3 readings, 3 more left out"
    assert "left out, every one of its 2 readings:\n    2 s in B3 (odd)\n    3 s in C3 (odd)" in said
    assert said.count("left out") == 3
    found = answer(run, path)
    assert (found["readings"], found["readings_left_out"]) == (3, 3)
    (whole,) = found["left_out_whole"]
    assert (whole["element"], [one["cell"] for one in whole["left_out"]]) == ("peel a transfer", ["B3", "C3"])


def test_few_readings_say_that_five_are_the_least(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "study.csv"
    path.write_text("Element,1,2,3\nload,12,12.1,12\npeel,2,3,2\n", encoding="utf-8")
    said = run("times", path).stdout
    assert (
        "5 readings needed for ±5 % at 95 % (the least; 1 by their spread): a first guess from so few, 2 more"
        in said
    )
    assert re.search(r"\d\d readings needed for ±5 % at 95 %: a first guess from so few, \d\d more", said)


def test_with_mixed_ratings_the_number_needed_says_which_times_it_is_from(run: Run, tmp_path: Path) -> None:
    """12 s at 100 % and 15 s at 80 % are the same work: no spread of the rated times."""
    path = tmp_path / "study.csv"
    rows = "load,100,12,12,12\nload,80,15,15,15\npeel,100,2,3,2\n"
    path.write_text(f"Element,Rating,1,2,3\n{rows}", encoding="utf-8")
    load, peel = run("times", path).stdout.split("peel")
    assert "mean 13.5 s, spread 1.64 s; basic time 12 s" in load
    assert (
        "5 readings needed for ±5 % at 95 % (the least; 1 by their spread): enough; known to ±0 %, " in load
    )
    assert "known to ±0 %, both from the readings x rating" in load
    assert "x rating" not in peel


def test_a_slip_of_unit_is_doubted(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "study.csv"
    path.write_text("Element,Minutes\nload,0.22\nload,13\n", encoding="utf-8")
    result = run("times", path)
    assert result.exit_code == 0
    assert 'study.csv, B3: a reading of 780 s of "load" where others are 13.2 s' in result.stderr
    assert [one["code"] for one in answer(run, path)["doubts"]] == ["reading-far-off"] * 2


def test_another_level(run: Run, study: Path) -> None:
    five = element(answer(run, study), "load")["readings_needed"]
    ten = element(answer(run, study, "--precision", "10%"), "load")["readings_needed"]
    sure = element(answer(run, study, "--confidence", "99%"), "load")["readings_needed"]
    assert ten == -(-five // 4) or ten == five // 4 + 1
    assert sure > five


def test_the_example_study_shows_what_its_page_says(run: Run) -> None:
    """An odd reading, elements that need more readings, and a dwell beyond its recipe; no fault or doubt."""
    found = answer(run, EXAMPLES / "study.csv", "--shop", EXAMPLES / "shop.xlsx")
    assert (found["faults"], found["doubts"]) == ([], [])
    assert [one["cell"] for row in found["elements"] for one in row["outliers"]] == ["M2"]
    assert any(row["readings_still_needed"] for row in found["elements"] if not row["outliers"])
    assert [(one["part"], one["recipe_s"]) for one in found["longer_than_recipe"]] == [("dwell", 12)]


def test_nothing_is_taken_over_unless_told(run: Run, study: Path, shop: Path) -> None:
    before = (shop / "shop.xlsx").read_bytes()
    assert answer(run, study, "--shop", shop / "shop.xlsx")["taken_over"] is None
    assert (shop / "shop.xlsx").read_bytes() == before


def test_taken_over_when_told(run: Run, study: Path, shop: Path) -> None:
    book = shop / "shop.xlsx"
    result = run("times", study, "--shop", book, "--take-over", "--drop", "N2")
    assert result.exit_code == 0, result.stderr
    assert "  load, plain: 13 s before, 12 s now (9 readings), Element times!B4" in result.stdout
    assert "not taken over: whole cycle, cover: element times are timed element by element" in result.stdout
    assert "the recipe says how long" in result.stdout
    after = read_shop(book)
    assert after.elements[Element.LOAD, Setup.PLAIN] == 12
    assert {after.elements[Element.LAY, set_up] for set_up in Setup} == {3.41}
    sheet = openpyxl.load_workbook(book)["Element times before"]
    assert [cell.value for cell in sheet[4]][1:5] == ["load", "plain", 13, 12]
    assert sheet.max_row >= 8
    again = run("times", study, "--shop", book, "--take-over", "--drop", "N2")
    assert "Nothing new: these times stand in the element times already." in again.stdout
    assert len(list(shop.glob("shop-before-*.xlsx"))) == 1


def test_a_time_from_too_few_readings_is_taken_over_with_a_doubt(run: Run, shop: Path) -> None:
    """9 and 11 s: population deviation 1 s of 10 s, so (2 / 0.05 x 1 / 10)² = 16 readings, 14 more."""
    path = shop / "few.csv"
    path.write_text("Element,Press set-up,1,2,3,4,5,6\nload,plain,9,11\nclose,plain,3,3,3,3,3,3\n", "utf-8")
    said = run("times", path, "--shop", shop / "shop.xlsx", "--take-over").stdout.splitlines()
    (at,) = (number for number, line in enumerate(said) if "doubt:" in line)
    assert said[at - 1].startswith("  load, plain:")
    assert said[at].startswith("    doubt: known to ±") and "only, 14 more readings needed" in said[at]


def test_a_reading_far_from_the_others_is_taken_over_only_when_the_owner_says_so(
    run: Run, shop: Path
) -> None:
    """7, 7.1, 70 and 6.8 s: the 70 is ten times the others."""
    path, book = shop / "far.csv", shop / "shop.xlsx"
    path.write_text("Element,Press set-up,1,2,3,4\nunload,plain,7,7.1,70,6.8\n", "utf-8")
    before = book.read_bytes()
    assert (
        "far from the others: 70 s in E2; it counts. To leave it out: --drop E2" in run("times", path).stdout
    )
    result = run("times", path, "--shop", book, "--take-over")
    assert (result.exit_code, book.read_bytes()) == (1, before)
    assert (
        "70 s of unload, plain, far from the others: it would make 22.73 s of its basic time" in result.stdout
    )
    assert "To leave it out: --drop E2. If it is right: --keep E2." in result.stdout
    assert "Nothing was taken over." in result.stdout
    assert run("times", path, "--shop", book, "--take-over", "--keep", "Z9").exit_code == 1
    assert book.read_bytes() == before
    assert run("times", path, "--shop", book, "--take-over", "--keep", "E2").exit_code == 0
    assert read_shop(book).elements[Element.UNLOAD, Setup.PLAIN] == pytest.approx(22.725, abs=0.01)
    assert run("times", path, "--shop", book, "--take-over", "--drop", "E2").exit_code == 0
    assert read_shop(book).elements[Element.UNLOAD, Setup.PLAIN] == pytest.approx(20.9 / 3, abs=0.01)


def test_no_output_calls_fewer_than_five_readings_enough(run: Run) -> None:
    said = run("times", EXAMPLES / "study.csv").stdout
    assert "5 readings needed for ±5 % at 95 % (the least; 3 by their spread): enough" in said
    assert not re.search(r"\b[1-4] readings? needed", said)


def test_what_has_no_set_up_cannot_be_taken_over(run: Run, shop: Path) -> None:
    path = shop / "study.csv"
    path.write_text("Element,Seconds\nload,12\nload,13\n", encoding="utf-8")
    result = run("times", path, "--shop", shop / "shop.xlsx", "--take-over")
    assert result.exit_code == 1
    assert "no readings of an element of the shop with its press set-up" in result.stdout
    assert "Nothing was taken over." in result.stdout


def test_held_longer_than_the_recipe(run: Run, study: Path, shop: Path) -> None:
    recipe = read_shop(shop / "shop.xlsx").recipes[0]
    words = [study, "--shop", shop / "shop.xlsx", "--orders", shop / "orders.xlsx", "--day", DAY]
    (over,) = answer(run, *words)["longer_than_recipe"]
    assert (over["part"], over["recipe_s"], over["held_s"]) == ("dwell", recipe.dwell_s, 18)
    assert over["extra_s"] == 18 - recipe.dwell_s
    pieces = sum(line["quantity"] for line in over["order_lines"])
    assert over["hours_per_year"] == pytest.approx(over["extra_s"] * pieces * 250 / 3600, abs=1e-5)
    said = run("times", *words).stdout
    assert f"s, the recipe has {recipe.dwell_s} s: {18 - recipe.dwell_s} s on each garment too much" in said
    assert run("times", study).stdout.count("recipe") == 0


def test_held_shorter_than_the_recipe(run: Run, shop: Path) -> None:
    recipe = read_shop(shop / "shop.xlsx").recipes[0]
    path = shop / "short.csv"
    path.write_text(f"Element,Transfer,Fabric,1\ndwell,{recipe.transfer},{recipe.fabric},3\n", "utf-8")
    said = run("times", path, "--shop", shop / "shop.xlsx").stdout
    assert (
        f"3 s, the recipe has {recipe.dwell_s} s: shorter than the recipe: the transfer may come off" in said
    )
    (short,) = answer(run, path, "--shop", shop / "shop.xlsx")["shorter_than_recipe"]
    assert (short["part"], short["recipe_s"], short["held_s"]) == ("dwell", recipe.dwell_s, 3)


def test_every_fault_of_study_and_shop_at_once(run: Run, study: Path, shop: Path) -> None:
    study.write_text(STUDY.format(transfer="gum", fabric="cotton").replace("13,25", "none,25"), "utf-8")
    book = openpyxl.load_workbook(shop / "shop.xlsx")
    book["Presses"]["C4"] = "perhaps"
    book.save(shop / "shop.xlsx")
    result = run("times", study, "--shop", shop / "shop.xlsx", "--json")
    assert result.exit_code == 1
    found = json.loads(result.stdout)
    assert [(fault["file"], fault["cell"]) for fault in found["faults"]] == [
        ("shop.xlsx", "C4"),
        ("study.csv", "M2"),
    ]


def test_a_cell_to_drop_that_holds_no_reading(run: Run, study: Path) -> None:
    result = run("times", study, "--drop", "Z9")
    assert result.exit_code == 1
    assert "no reading in cell Z9; expected the cell of one reading" in result.stdout


def test_a_picture_of_the_spread(run: Run, study: Path) -> None:
    path = study.with_name("spread.svg")
    result = run("times", study, "--picture", path)
    if find_spec("matplotlib") is None:
        assert (result.exit_code, "Install it:" in result.stdout) == (1, True)
        return
    assert result.exit_code == 0, result.stdout
    drawn = path.read_text(encoding="utf-8")
    assert "load, plain" in drawn
    assert "whole cycle, cover" in drawn


def test_a_page_of_a_study(run: Run, study: Path, shop: Path) -> None:
    path = study.with_name("study.html")
    said = run("times", study, "--shop", shop / "shop.xlsx").stdout.splitlines()
    result = run("times", study, "--shop", shop / "shop.xlsx", "--page", path)
    assert result.stdout.splitlines() == [*said, f"Written: {path}"]
    reader = Reader()
    reader.feed(path.read_text(encoding="utf-8"))
    told = " ".join(" ".join(reader.texts).split())
    for line in filter(None, said):
        assert line.strip() in told
    assert [attributes["role"] for tag, attributes in reader.tags if tag == "svg"] == ["img"]
    assert "load, plain: 10 readings from 11 to 25 s, mean 13.3 s, 1 far from the others." in told


def test_a_page_says_when_formula_and_interval_differ(run: Run, tmp_path: Path) -> None:
    """Five readings of mean 20 and variance 1 (population 0.8), by hand.

    The ILO's formula asks for (40 x 0.0447)^2 = 3.2, thus 4. Student's t for 4 degrees of freedom, 2.776
    (any table), makes 2.776 x 1 / sqrt(5) / 20 = 6.2 %.
    """
    study = tmp_path / "study.csv"
    study.write_text("Element,1,2,3,4,5\nload,19,19,20,21,21\n", encoding="utf-8")
    result = run("times", study, "--page", tmp_path / "a.html")
    assert result.exit_code == 0, result.stdout
    page = (tmp_path / "a.html").read_text(encoding="utf-8")
    assert "±6.2 %" in page
    assert "0 or a few" in page


def test_names_from_a_study_are_escaped_on_its_page(run: Run, tmp_path: Path) -> None:
    study = tmp_path / "study.csv"
    study.write_text("Element,Transfer,Fabric,1,2\ndwell,<script>x</script>,cotton,12,13\n", encoding="utf-8")
    result = run("times", study, "--page", tmp_path / "a.html")
    assert result.exit_code == 0, result.stdout
    page = (tmp_path / "a.html").read_text(encoding="utf-8")
    assert "<script" not in page
    assert page.count("&lt;script&gt;x&lt;/script&gt;") >= 3


@pytest.mark.parametrize("name", ["a.pdf", "no/a.html"])
def test_a_page_that_cannot_be_leaves_the_shop_alone(name: str, run: Run, study: Path, shop: Path) -> None:
    before = (shop / "shop.xlsx").read_bytes()
    result = run("times", study, "--shop", shop / "shop.xlsx", "--take-over", "--page", shop / name)
    assert (result.exit_code, "Nothing was taken over." in result.stdout) == (1, True)
    assert (shop / "shop.xlsx").read_bytes() == before


def test_a_page_that_fails_after_taking_over_says_what_was_done(
    run: Run, study: Path, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, content: bytes) -> None:
        raise BadInput(
            [Fault(code="x", source=Source(file=str(path)), found="full", expected="room", mend=".")]
        )

    monkeypatch.setattr("scheduler.sheets.one_file.write_one", full)
    before = (shop / "shop.xlsx").read_bytes()
    result = run("times", study, "--shop", shop / "shop.xlsx", "--take-over", "--page", shop / "a.html")
    assert result.exit_code == 1
    assert "The page was not written; the times were taken over." in result.stdout
    assert "Nothing was taken over" not in result.stdout
    assert (shop / "shop.xlsx").read_bytes() != before


def test_the_same_file_twice_counts_once(run: Run, study: Path) -> None:
    found = answer(run, study, study)
    assert (element(found, "load")["readings"], [one["code"] for one in found["doubts"]]) == (
        10,
        ["file-twice"],
    )


def test_a_form_to_print(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "form.pdf"
    assert run("times", "--form", path, "--paper", "letter").exit_code == 0
    (page,) = PdfReader(path).pages
    text = " ".join(page.extract_text().split())
    assert all(name in text for name in ELEMENTS)
    assert "not to compare them" in text
    assert (round(page.mediabox.width), round(page.mediabox.height)) == (612, 792)
    again = run("times", "--form", path)
    assert (again.exit_code, "there is a file of that name" in again.stdout) == (1, True)


def test_a_form_of_another_kind_is_refused(run: Run, tmp_path: Path) -> None:
    for command, name, kinds in (
        ("times", "form.doc", ".pdf or .xlsx or .csv"),
        ("compare", "form.txt", ".xlsx or .csv"),
    ):
        result = run(command, "--form", tmp_path / name)
        assert result.exit_code == 1
        assert f"Choose a name that ends in {kinds}." in " ".join(result.stdout.split())
        assert "Written" not in result.output
        assert list(tmp_path.iterdir()) == []


def test_a_form_to_type(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "form.xlsx"
    assert run("times", "--form", path).exit_code == 0
    book = openpyxl.load_workbook(path)
    book["Study"]["G4"], book["Study"]["H4"] = 12, 13
    book.save(path)
    assert element(answer(run, path), "load")["mean_s"] == 12.5


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        ("", "name the studies, or a form"),
        ("a.csv --form b.pdf", "a study and --form: not both at once; leave one of them out"),
        ("--form a.pdf --page a.html", "an empty form has nothing to draw"),
        ("--form a.pdf --picture a.png", "an empty form has nothing to draw"),
        ("a.csv --recorded", "a study and --recorded: not both at once; leave one of them out"),
        ("a.csv --take-over", "name the shop workbook"),
        ("a.csv --orders o.xlsx", "name the shop workbook"),
        ("a.csv --precision 0", "a precision of 0.0%"),
        ("a.csv --confidence 100%", "a confidence of 100.00%"),
        ("a.csv --allowance lots", "write a share as 11 %"),
        ("{study} --allowance 100% --allowance-of shift", "an allowance of 100% of the shift"),
        ("{study} --allowance-of shift", "the shop's allowance is a share of basic time"),
    ],
)
def test_wrong_usage(words: str, wrong: str, run: Run, study: Path) -> None:
    result = run("times", *shlex.split(words.format(study=study.as_posix())))
    assert result.exit_code == 2
    assert wrong in re.sub(r"[\s│]+", " ", result.stderr)


def test_a_missing_study_is_a_fault(run: Run, tmp_path: Path) -> None:
    result = run("times", tmp_path / "none.csv")
    assert (result.exit_code, "there is no such file" in result.stdout) == (1, True)


@pytest.fixture
def recorded_day(shop: Path) -> Path:
    """The small day in a folder of plans, with two runs timed: one as planned, one of 33 minutes for 28."""
    out = shop / "plans"
    out.mkdir()
    with DayBook(out / NAME) as book:
        put_one(out, book, "first")
        book.record(
            news(
                (STARTED, "A-front", "8:12", {}),
                (FINISHED, "A-front", "8:47", {"pieces": 30}),
                (STARTED, "C-front", "8:52", {}),
                (FINISHED, "C-front", "9:52", {"pieces": 60}),
                (FINISHED, "D-front", "10:30", {"pieces": 60}),
            )
        )
    return out


def test_times_from_the_day_itself(run: Run, recorded_day: Path) -> None:
    found = answer(run, "--recorded", "--plans", recorded_day)
    assert (found["days"], found["runs"], found["pieces"]) == (["2027-03-09"], 2, 90)
    assert found["left_out"] == [{"day": "2027-03-09", "run": 5, "why": "start or end not noted"}]
    standards = {(one["kind"], one["name"]): one for one in found["standards"]}
    press = standards["press", "Press 1"]
    assert 1 < press["of_planned"]["best"] < 33 / 28
    assert press["of_planned"]["low"] < 1 < press["of_planned"]["high"]
    assert not press["off"] and press["few_runs"]
    assert press["should_be_piece_s"] == pytest.approx(press["of_planned"]["best"] * 28 * 60 / 30, abs=0.001)
    assert press["together_with"] == ["person Ana"]
    ana = standards["person", "Ana"]
    assert (ana["pace_planned"], ana["pace_should_be"]) == (
        1,
        pytest.approx(1 / ana["beside_all"]["best"], abs=1e-5),
    )
    assert "no measure of a person" in found["pace_note"]


def test_the_day_in_words(run: Run, recorded_day: Path) -> None:
    said = run("times", "--recorded", "--plans", recorded_day).stdout
    assert "1 day, 2 runs with start and end, 90 pieces." in said
    assert "1 finished run left out: start or end not noted." in said
    assert "People stand in the crew's order, not by pace." in said
    lines = said.splitlines()
    people = lines[lines.index("People, beside all work:") + 1 :]
    assert [line.split(":")[0].strip() for line in people[:2]] == ["Ana", "Ben"]
    (press,) = [line for line in lines if line.startswith("  Press 1 ")]
    assert "1 run, a first guess from so few (5 are needed at least)" in press


def test_days_outside_of_the_dates_asked_for(run: Run, recorded_day: Path) -> None:
    words = ["times", "--recorded", "--plans", recorded_day]
    assert run(*words, "--since", DAY, "--until", DAY).exit_code == 0
    for more in (["--since", "2027-03-10"], ["--until", "2027-03-08"]):
        result = run(*words, *more)
        assert result.exit_code == 1
        assert "no run with both its start and its end" in result.stdout


def test_recorded_days_as_page_and_picture_without_people(run: Run, recorded_day: Path) -> None:
    words = ["times", "--recorded", "--plans", recorded_day]
    said = run(*words).stdout.splitlines()
    page = recorded_day / "days.html"
    assert run(*words, "--page", page).stdout.splitlines() == [*said, f"Written: {page}"]
    reader = Reader()
    reader.feed(page.read_text(encoding="utf-8"))
    told = " ".join(" ".join(reader.texts).split())
    for line in filter(None, said):
        assert line.strip() in told
    drawn = page.read_text(encoding="utf-8").split("<svg")[1].split("</svg>")[0]
    assert "all work: " in drawn
    assert "Ana" not in drawn
    picture = recorded_day / "days.svg"
    result = run(*words, "--picture", picture)
    if find_spec("matplotlib") is None:
        assert (result.exit_code, "Install it:" in result.stdout) == (1, True)
        return
    assert "all work: " in picture.read_text(encoding="utf-8")
    assert "Ana" not in picture.read_text(encoding="utf-8")


def test_recorded_without_a_day_book(run: Run, tmp_path: Path) -> None:
    result = run("times", "--recorded", "--plans", tmp_path)
    assert (result.exit_code, "no day-book.sqlite here" in result.stdout) == (1, True)


@pytest.mark.parametrize("line", COMMANDS)
def test_the_page_shows_commands_that_work(
    line: str, run: Run, study: Path, recorded_day: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(study.parent)
    shutil.copy(study, "tuesday.csv")
    result = run(*shlex.split(line)[1:])
    assert result.exit_code == 0, result.stdout + result.stderr
