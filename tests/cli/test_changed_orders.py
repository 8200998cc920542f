"""`pressday replan` with orders that were changed: whose they are, and which names they have."""

from __future__ import annotations

import html
import json
from pathlib import Path
from typing import Any

import pypdf
import pytest

from scheduler.daybook.opening import silent
from scheduler.plans.book import open_day
from tests.support.commands import DAY, Run

HEAD = "Order,Customer,Garment,Colour,Fabric,Placement,Transfer,Artwork,M,L\n"
NAMES_HEAD = "Order,Size,Name,Number,Placement\n"
ANNA, BO, CLEO, DAN = "Anna,9", "Bo,7", "Cleo,4", "Dan,1"


def order(name: str, customer: str, m: int | str, ell: int | str, place: str = "full back") -> str:
    return f"{name},{customer},t-shirt,navy,cotton,{place},film hot peel,crest {customer},{m},{ell}\n"


def files(folder: Path, *rows: str, names: tuple[str, ...] = ()) -> list[Path]:
    """Orders, and with names the list of names of order 5001, the first two in M and the others in L."""
    (folder / "orders.csv").write_text(HEAD + "".join(rows), encoding="utf-8")
    if not names:
        return [folder / "orders.csv"]
    sizes = ["M", "M", *["L"] * (len(names) - 2)]
    listed = (f"5001,{size},{one},full back\n" for size, one in zip(sizes, names, strict=True))
    (folder / "names.csv").write_text(NAMES_HEAD + "".join(listed), encoding="utf-8")
    return [folder / "orders.csv", folder / "names.csv"]


@pytest.fixture
def here(shop: Path) -> Path:
    """Where the plans of the test are."""
    return shop / "plans"


@pytest.fixture
def replan(run: Run, here: Path):
    def again(*words: object, at: str = "07:10"):
        return run("replan", "--plans", here, "--at", f"{DAY}T{at}", "--seconds", "0", *words)

    return again


def planned(run: Run, here: Path, orders: list[Path]) -> dict[str, Any]:
    result = run("plan", *orders, "--day", DAY, "--out", here, "--effort", "quick", "--seconds", "0")
    assert result.exit_code == 0, result.output
    return document(here)


def document(here: Path) -> dict[str, Any]:
    return json.loads((here / DAY / "plan.json").read_text(encoding="utf-8"))


def page(plans: Path) -> str:
    return html.unescape((plans / DAY / "day.html").read_text(encoding="utf-8"))


def as_changed(orders: list[Path]) -> list[object]:
    return [word for file in orders for word in ("--changed", file)]


def named(plan: dict[str, Any]) -> list[str]:
    return [f"{one['name']},{one['number']}" for run in plan["runs"] for one in run["names"]]


def under_way(plan: dict[str, Any]) -> str:
    """A minute after the first run has begun."""
    first = min(run["pressing_start"] for run in plan["runs"])
    return f"{first[11:14]}{int(first[14:16]) + 1:02d}"


def test_an_order_called_like_pieces_on_top_is_not_lost(run: Run, shop: Path, here: Path, replan) -> None:
    owners = order("7001 more", "A", "", 20)
    first = planned(run, here, files(shop, order("7001", "B", "", 4), owners))
    result = replan(
        *as_changed(files(shop, order("7001", "B", "", 9), owners)), "--json", at=under_way(first)
    )
    assert result.exit_code == 0, result.output
    orders = {one["id"]: one for one in document(here)["orders"]}
    assert (orders["7001 more"]["customer"], orders["7001 more"]["quantity"]) == ("A", 20)
    assert sum(one["quantity"] for one in orders.values() if one["customer"] == "B") == 9
    assert "7001 more" not in result.stderr
    typed = replan("--quantity", "7001=12", "--json", at=under_way(first))
    assert typed.exit_code == 0, typed.output
    assert {one["id"]: one["quantity"] for one in document(here)["orders"]}["7001 more"] == 20
    same = replan(*as_changed(files(shop, order("7001", "B", "", 12), owners)), "--json", at=under_way(first))
    assert same.exit_code == 0 and "Not in the file" not in same.stderr, "what came on top is in no file"


def test_an_order_that_stays_away_from_the_file_is_said_whatever_it_is_called(
    run: Run, shop: Path, here: Path, replan
) -> None:
    planned(run, here, files(shop, order("7001", "B", "", 4), order("7001 more", "A", "", 20)))
    result = replan(*as_changed(files(shop, order("7001", "B", "", 4))))
    assert "Not in the file that was read again" in result.stderr and "7001 more" in result.stderr


def test_corrected_names_are_new_sheets(run: Run, shop: Path, here: Path, replan) -> None:
    rows = order("5001", "B", 2, 2)
    planned(run, here, files(shop, rows, names=(ANNA, BO, CLEO, DAN)))
    result = replan(*as_changed(files(shop, rows, names=("Annika,99", BO, CLEO, DAN))), at="06:40")
    assert result.exit_code == 0, result.output
    assert "This is the same plan" not in result.stdout
    assert named(document(here)) == ["Annika,99", BO, CLEO, DAN]
    pages = pypdf.PdfReader(here / DAY / "new-sheets.pdf").pages
    text = "".join(page.extract_text() for page in pages)
    assert "Annika" in text and "Anna" not in text
    assert "Order 5001, B: other names or numbers" in " ".join(text.split())
    assert "besides: run 1: other names or numbers" in result.stdout


def test_a_further_name_of_an_order_under_way_is_on_its_sheet(
    run: Run, shop: Path, here: Path, replan
) -> None:
    first = planned(run, here, files(shop, order("5001", "B", 2, 2), names=(ANNA, BO, CLEO, DAN)))
    five = files(shop, order("5001", "B", 2, 3), names=(ANNA, BO, CLEO, DAN, "Eve,13"))
    result = replan(*as_changed(five), at=under_way(first))
    assert result.exit_code == 0, result.output
    told = document(here)
    assert named(told) == [ANNA, BO, CLEO, DAN, "Eve,13"]
    (more,) = [one for one in told["runs"] if one["names"] == told["runs"][-1]["names"]]
    assert more["quantity"] == 1
    with open_day(here, None, tell=silent) as day:
        assert [one.on_top_of for one in day.plan.given] == ["", "5001"]
    plain = files(shop, order("5001", "B", 2, 3), names=(ANNA, BO, CLEO, DAN))
    less = replan(*as_changed(plain), at=under_way(first))
    assert less.exit_code == 0, less.output
    assert "1 piece: other names or numbers" in less.stdout
    gone = replan("--cancel", "5001", at=under_way(first))
    assert gone.exit_code == 0, gone.output
    first_line, *others = gone.stdout.splitlines()
    assert "STOP, run 1: order 5001 (B) is cancelled." in first_line
    assert any(line.strip().startswith("moved: run 1, order 5001,") and "STOP at" in line for line in others)
    for name in ("new-sheets.pdf", "new-press-sheets.pdf"):
        text = " ".join(page.extract_text() for page in pypdf.PdfReader(here / DAY / name).pages)
        assert "STOP, run 1: order 5001 (B) is cancelled." in " ".join(text.split()), name
    assert "STOP run 1" in page(here)
    data = json.loads(replan("--json", at=under_way(first)).stdout)
    assert [(one["number"], one["order"]) for one in data["stop"]] == [(1, "5001")]


def test_a_quantity_of_pieces_with_names_is_refused_and_of_others_is_not(
    run: Run, shop: Path, here: Path, replan
) -> None:
    rows = order("5001", "B", 2, 2), order("5002", "A", "", 4)
    first = planned(run, here, files(shop, *rows, names=(ANNA, BO, CLEO, DAN)))
    result = replan("--quantity", "5001/L=3", "--quantity", "5002=5")
    assert result.exit_code == 1
    said = " ".join(result.output.split())
    assert '"5001/L": pieces of order 5001 have names or numbers of their own' in said
    assert "list of names, and give them by --changed" in said and "5002" not in said
    assert named(document(here)) == named(first) and document(here)["version"] == 1
    assert replan("--quantity", "5002=5").exit_code == 0
    assert named(document(here)) == named(first)


def test_pieces_on_top_are_named_with_their_order_and_cancelled_with_it(
    run: Run, shop: Path, here: Path, replan
) -> None:
    first = planned(run, here, files(shop, order("7001", "B", "", 40), order("7002", "A", "", 20)))
    at = under_way(first)
    assert replan("--quantity", "7001=45", at=at).exit_code == 0
    assert [one["on_top_of"] for one in document(here)["orders"]] == [None, None, "7001"]
    typed = replan("--quantity", "7001 more=7", at=at)
    assert typed.exit_code == 1
    assert "pieces on top of order 7001, and no order by itself" in " ".join(typed.output.split())
    gone = replan("--cancel", "7001", at=at)
    assert gone.exit_code == 0, gone.output
    assert [one["id"] for one in document(here)["orders"]] == ["7002"]
    assert "Order 7001 is cancelled, with what came on top of it" in page(here)


def test_an_order_with_an_equals_sign_can_be_named(run: Run, shop: Path, here: Path, replan) -> None:
    planned(run, here, files(shop, order("A/1=2", "B", "", 4), order("7002", "A", "", 20)))
    result = replan("--cut-off", "A/1=2=16:10", "--late-box", "A/1=2=11:30", "--quantity", "A/1=2=6")
    assert result.exit_code == 0, result.output
    (told,) = [one for one in document(here)["orders"] if one["id"] == "A/1=2"]
    assert (told["cut_off"], told["quantity"]) == (f"{DAY}T16:10:00", 6)
    assert all(one["start"] >= f"{DAY}T11" for one in document(here)["runs"] if one["order"] == "A/1=2")


@pytest.mark.parametrize(
    ("span", "start", "end"),
    [
        ("10:00-12:00", f"{DAY}T10:00:00", f"{DAY}T12:00:00"),
        (f"{DAY}T10:00-{DAY}T12:00", f"{DAY}T10:00:00", f"{DAY}T12:00:00"),
        (f"{DAY} 10:00 - {DAY} 12:00", f"{DAY}T10:00:00", f"{DAY}T12:00:00"),
        (f"{DAY}T10.00-12.00", f"{DAY}T10:00:00", f"{DAY}T12:00:00"),
        (f"{DAY}T10:00-", f"{DAY}T10:00:00", None),
    ],
)
def test_an_absence_is_given_with_dates_or_without(
    run: Run, planned_once: Path, span: str, start: str, end: str | None
) -> None:
    who = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["runs"][0]["operator"]
    words = ["replan", "--plans", planned_once.parent, "--at", f"{DAY}T08:10", "--seconds", "0"]
    result = run(*words, "--away", f"{who}={span}")
    assert result.exit_code == 0, result.output
    with open_day(planned_once.parent, None, tell=silent) as day:
        (away,) = [event for event in day.events if event.who == who]
    assert (away.at and away.at.isoformat(), away.until and away.until.isoformat()) == (start, end)


@pytest.mark.parametrize("span", [f"{DAY}-{DAY}", f"{DAY}T12:00-{DAY}T10:00", "10-12", "-12:00"])
def test_an_absence_written_otherwise_is_wrong_usage(run: Run, span: str) -> None:
    result = run("replan", "--away", f"Ben={span}")
    assert result.exit_code == 2 and span in " ".join(result.output.split())


def test_fewer_pieces_of_an_order_under_way_say_that_its_run_goes_on(
    run: Run, shop: Path, here: Path, replan
) -> None:
    planned(run, here, files(shop, order("7001", "B", "", 24)))
    early = replan("--quantity", "7001=22", at="06:40")
    assert early.exit_code == 0 and "goes on to" not in early.output, early.output
    first = document(here)
    less = replan("--quantity", "7001=9", at=under_way(first))
    assert less.exit_code == 0, less.output
    said = " ".join(less.output.split())
    assert "run 1 of it is begun and goes on to 22 pieces, 13 more than are wanted" in said
    assert "pressday done 1 --pieces 9 --finished HH:MM" in said
