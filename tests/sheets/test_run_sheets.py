"""Run sheets, read back from the PDF."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import datetime, time, timedelta
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

import pypdf
import pytest

from scheduler.domain.clock import clock
from scheduler.domain.day_problem import Personal, Pieces
from scheduler.domain.plan import ChangeoverPart, Plan
from scheduler.domain.press_order import press_before
from scheduler.domain.shop import Peel
from scheduler.sheets.dayview import names, sheet_days, warm_up_of
from scheduler.sheets.follow import arrival_words, then_words
from scheduler.sheets.lines import name_lists, notes, pace_words, soft, wait_words
from scheduler.sheets.run_sheets import goes_on, run_sheets, section, sheet_data
from scheduler.sheets.steps import steps
from scheduler.sheets.strip import strip
from tests.sheets.reading import MM, bare, coloured, flow, outside, overlapping, pages, text, words_of
from tests.sheets.sample_plan import BART, DAY, ELENI, LABEL, LONG, NORTH, WINDOW, ZOFIA, sample_plan

RIM_MM = 11
# ISO 216 A4 is 210 mm x 297 mm; US Letter (ANSI/ASME Y14.1) is 8.5 in x 11 in.
PAPER_PT = {"a4": (595.276, 841.890), "letter": (612.0, 792.0)}


@cache
def made(by: Any = "operator", paper: Any = "a4") -> bytes:
    return run_sheets(sample_plan(), by=by, paper=paper, system_fonts=False)


@cache
def read(by: Any = "operator", paper: Any = "a4") -> tuple[Any, ...]:
    return tuple(pages(made(by, paper)))


@cache
def texts(by: Any = "operator", paper: Any = "a4") -> tuple[str, ...]:
    return tuple(flow(made(by, paper)))


def sets(by: Any = "operator", paper: Any = "a4") -> list[list[str]]:
    """Pages grouped into sets that count for themselves."""
    found: list[list[str]] = []
    for page in texts(by, paper):
        if "page 1 of " in page:
            found.append([])
        found[-1].append(page)
    return found


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_paper_has_its_standard_size(paper: str) -> None:
    reader = pypdf.PdfReader(io.BytesIO(made("operator", paper)))
    for page in reader.pages:
        size = (float(page.mediabox.width), float(page.mediabox.height))
        assert size == pytest.approx(PAPER_PT[paper], abs=1)


def test_unknown_paper_is_refused() -> None:
    with pytest.raises(ValueError, match="paper 'a5' is none of a4, letter"):
        run_sheets(sample_plan(), paper="a5")  # type: ignore[arg-type]


@pytest.mark.parametrize("by", ["operator", "press"])
def test_every_word_lies_inside_the_margins_and_none_over_another(by: str) -> None:
    for page in read(by):
        well_set(page)


def test_letter_is_set_as_well() -> None:
    letter = run_sheets(sample_plan(), operators=[ELENI, BART], paper="letter", system_fonts=False)
    for page in pages(letter):
        well_set(page)


def well_set(page: Any) -> None:
    words = words_of(page)
    assert outside(page, words, RIM_MM * MM - 1) == []
    assert overlapping(words) == []
    assert coloured(page) == []


def test_a4_and_letter_say_the_same() -> None:
    def letters(paper: str) -> list[str]:
        heads = r"Run sheet for.*?page \d+ of \d+|Sheet version 2 · plan 7F3A-91C2 page \d+ of \d+"
        return sorted(bare("".join(re.sub(heads, "", page) for page in texts("operator", paper))))

    assert letters("a4") == letters("letter")


@pytest.mark.parametrize("by", ["operator", "press"])
def test_pages_count_within_each_set(by: str) -> None:
    owners = {
        (run.operator if by == "operator" else run.press, run.start.date()) for run in sample_plan().runs
    }
    assert len(sets(by)) == len(owners)
    for group in sets(by):
        for number, page in enumerate(group, start=1):
            assert page.count(f"page {number} of {len(group)}") == 2  # head and foot
            assert "Sheet version 2 · plan 7F3A-91C2" in page


@pytest.mark.parametrize("by", ["operator", "press"])
def test_first_page_of_each_set_carries_the_cautions(by: str) -> None:
    for page in flow(made(by)):
        first = "page 1 of" in page
        for words in ("a licensed electrician come first", "HOT:", "CRUSH:", "FUMES:", "CURRENT:", "BODY:"):
            assert (words in page) == first


@pytest.mark.parametrize("by", ["operator", "press"])
def test_every_run_stands_whole_on_one_page(by: str) -> None:
    found = []
    for page, words in zip(read(by), texts(by), strict=True):
        # Numbers are white on black, the times beside them the largest type but for the recipe.
        numbers = [
            char for char in page.chars if 16 < char["size"] < 18 and char["non_stroking_color"] in ((1,), 1)
        ]
        rows: dict[int, str] = {}
        for char in numbers:
            rows[round(char["top"])] = rows.get(round(char["top"]), "") + char["text"]
        assert len(rows) == words.count("First piece checked") == words.count("Temperature ")
        found += [int(number) for number in rows.values()]
    assert sorted(found) == [run.number for run in sorted(sample_plan().runs, key=lambda run: run.number)]


def test_sheet_of_a_run_says_all_that_the_operator_needs() -> None:
    plan = sample_plan()
    for run in plan.runs:
        page = next(page for page in flow(made()) if _heading(run) in page)
        packed = bare(page)
        assert f"{run.temp_c} °C" in page
        assert f"{run.content.recipe.dwell_s} s" in page
        assert run.content.recipe.pressure.value.upper() in page
        for name in (run.press, run.platen, f"Order {run.content.order}", run.content.customer):
            if name.isascii():
                assert bare(name) in packed
        for one in run.content.pieces:
            assert bare(f"{one.garment}, {one.colour}, {one.fabric}") in packed
            assert re.search(rf"(?<!\S){re.escape(one.size)} {one.quantity}(?!\S)", page), (run.number, one)
        for laid in run.content.laid:
            assert bare(f"{laid.width_mm} × {laid.height_mm} mm") in packed
            assert bare(laid.placement + ("INSIDE" if laid.inside else "OUTSIDE")) in packed
            assert bare(laid.position) in packed
        if not run.content.recipe.second_press_s:
            assert "NO SECOND PRESS" in page


def _heading(run: Any) -> str:
    return f"{clock(run.pressing_start)}–{clock(run.end)}"


def test_breaks_lots_arrivals_and_the_last_run_are_told() -> None:
    whole = " ".join(texts())
    assert "BREAK 09:30–09:45 falls in this run: stop, and go on with it afterwards." in whole
    assert "12:00–12:30 BREAK" in whole
    assert "lot 1 of 2" in whole
    assert (
        "Lot 2 of 2: take only the 120 pieces above. The rest: run 18, North bench, Thu 3 Dec 13:41." in whole
    )
    assert "Garments come in at 10:30." in whole
    assert "cut-off 11:00, will be late" in whole
    assert "TURNED a quarter on the platen" in whole
    assert "INSIDE: turn the garment inside out, and back" in whole
    assert "When done: last run on this press today, switch it off." in whole
    assert "COLD, wait 60 s" in whole
    assert whole.count("Lay all the transfers above, then close once.") == 1


def test_where_the_other_lots_are_is_said_by_the_large_time_of_their_sheet() -> None:
    plan = sample_plan()
    sections: Any = sheet_data(plan)["sections"]
    large = {one["number"]: one["start"] for part in sections for one in part["entries"] if "start" in one}
    told = [
        found.groups()
        for run in plan.runs
        for note in notes(plan, run)
        if (found := re.search(r"The rest: run (\d+), .* (\d\d:\d\d)\.", note.replace("\u200b", "")))
    ]
    assert len(told) == 2
    assert [large[number] for number, _ in told] == [time for _, time in told]


def test_the_run_that_a_press_is_set_for_is_named_by_the_large_time_of_its_sheet() -> None:
    """Not by when its changeover begins: the switch-on list and the other sheets go by the first pressing."""
    plan = sample_plan()
    sections: Any = sheet_data(plan)["sections"]
    large = {one["number"]: one["start"] for part in sections for one in part["entries"] if "start" in one}
    told = [
        found.groups()
        for run in plan.runs
        for note in notes(plan, run)
        if (found := re.search(r"When done: (?:set|leave) .* for run (\d+) at (\d\d:\d\d)\.", note))
    ]
    assert len(told) > 5
    assert [large[number] for number, _ in told] == [time for _, time in told]


@pytest.mark.parametrize(
    ("switches_on", "free", "expected"),
    [
        (False, "08:10", []),
        (
            True,
            "12:51",
            [
                "08:10–08:46 no run planned",
                "08:46 SWITCH ON South bench, set 160 °C (circuit A)",
                "08:46–09:30 no run planned",
                "09:30–09:45 BREAK",
                "09:45–12:00 no run planned",
                "12:00–12:30 BREAK",
                "12:30–12:51 no run planned",
                "12:51 SWITCH ON Label press, set 150 °C (circuit B)",
            ],
        ),
    ],
)
def test_what_is_left_of_a_shift_after_the_last_thing_to_do_is_no_line(
    switches_on: bool, free: str, expected: list[str]
) -> None:
    """Such a line could stand on a page of its own: it is among the facts at the head of the sheet."""
    plan = sample_plan()
    first = min(plan.runs, key=lambda run: run.end)
    plan = replace(plan, runs=(first,), warm_ups=plan.warm_ups if switches_on else ())
    sheet = sheet_days(plan, "operator", first.operator)[0]
    made: Any = section(plan, sheet)
    lines = [entry for entry in made["entries"] if entry["type"] == "line"]
    assert made["facts"].endswith(f" · no run planned from {free} on")
    assert [bare(f"{line['time']} {line['text']}") for line in lines] == [bare(line) for line in expected]


def test_changeover_is_written_as_steps() -> None:
    page = next(page for page in texts("press") if "Changeover for run 6:" in page)
    assert "Changeover for run 6: 09:30–09:35, 4.5 min by hand, 1 min for the heat" in page
    steps = (
        "Set the temperature: 150 °C → 165 °C, set when run 5 ended (09:23), ready at 09:25 1.5 min",
        "Swap the platen: Youth 230 x 300 → Chest 280 x 380 3 min",
        "– let it heat 1 min",
        "Set the pressure: medium-firm → firm 0.5 min",
    )
    told = page[page.index("Changeover for run 6:") :]
    places = [told.index(step) for step in steps]
    assert places == sorted(places)
    first = next(page for page in texts("press") if "Changeover for run 1:" in page)
    assert (
        "07:17 By timer or whoever opens: SWITCH ON, set 150 °C; ready at 07:30. Circuit A, 1800 W." in first
    )
    caps = next(page for page in texts("press") if "Changeover for run 3:" in page)
    assert "08:00 Zofia Wójcik: SWITCH ON, set 150 °C; ready at 08:10. Circuit B, 600 W." in caps
    assert "Press is cold: Zofia Wójcik switches it on at 08:00, ready at 08:10." in caps
    assert " hot at " not in " ".join(texts("press") + texts())


def test_a_platen_taken_off_another_press_is_said_on_both_sheets() -> None:
    plan = sample_plan()
    change = next(
        one for one in plan.changeovers if any(part.name == "swap the platen" for part in one.parts)
    )
    swap = next(part for part in change.parts if part.name == "swap the platen")
    run = next(run for run in plan.runs if run.id == change.before)

    def said(**changes: str) -> list[str]:
        part = replace(swap, **changes)  # type: ignore[arg-type]
        parts = tuple(part if one is swap else one for one in change.parts)
        changed = tuple(replace(one, parts=parts) if one is change else one for one in plan.changeovers)
        return [str(step["text"]) for step in steps(replace(plan, changeovers=changed), run)]

    large = {"before": "large", "after": "small"}
    assert "Swap the platen: large → small, take it from Press 1" in said(**large, taken_from="Press 1")
    mount = {**large, "name": "mount the platen", "went_to": "Press 2"}
    assert "Mount the platen: small (large went to Press 2)" in said(**mount)
    assert "Mount the platen: small (large went to Press 2), take it from Press 3" in said(
        **mount, taken_from="Press 3"
    )


def test_a_platen_that_may_be_on_the_press_still_is_not_mounted_blindly() -> None:
    """A press that was down is planned without its platen: it may be needed elsewhere, or not."""
    plan = sample_plan()
    change, run, last = next(
        (change, run, last)
        for change in plan.changeovers
        for run in plan.runs
        if run.id == change.before and any("platen" in part.name for part in change.parts)
        if (last := press_before(plan, run, change.press)) is not None
    )

    def said(platen: str, **changes: str) -> list[str]:
        part = ChangeoverPart(name="mount the platen", minutes=5, hands_off=False, after=run.platen)
        one = replace(change, parts=(replace(part, **changes),))  # type: ignore[arg-type]
        runs = tuple(replace(last, platen=platen) if each is last else each for each in plan.runs)
        changeovers = tuple(one if each is change else each for each in plan.changeovers)
        return [str(step["text"]) for step in steps(replace(plan, runs=runs, changeovers=changeovers), run)]

    assert f"Mount the platen: {run.platen}, unless it is on still" in said(run.platen)
    assert f"Mount the platen: {run.platen}" in said("Another")
    taken = said(run.platen, taken_from="Press 3")
    assert f"Mount the platen: {run.platen}, take it from Press 3" in taken


def test_steps_add_up_to_the_changeover() -> None:
    plan = sample_plan()
    for change in plan.changeovers:
        run = next(run for run in plan.runs if run.id == change.before)
        lines = [step for step in steps(plan, run) if step["minutes"]]
        told = sum(float(str(step["minutes"]).removesuffix(" min")) for step in lines)
        assert told == pytest.approx(change.hands_on_minutes + change.hands_off_minutes)


def test_a_press_is_switched_on_by_the_sheet_of_who_does_it() -> None:
    zofia = " ".join(flow(run_sheets(sample_plan(), operators=[ZOFIA], system_fonts=False)))
    assert "08:46 SWITCH ON South bench, set 160 °C (circuit A)" in zofia
    assert zofia.index("08:10–08:46 no run") < zofia.index("08:46 SWITCH") < zofia.index("08:46–09:00 no run")
    # The one at 07:43 falls in her first run: it is told inside that run.
    assert "At 07:43, in this run: SWITCH ON Window stand" in zofia
    assert not re.search(r"07:43 SWITCH ON", zofia)


def test_who_only_switches_on_gets_a_sheet_too() -> None:
    plan = sample_plan()
    lone = replace(plan, runs=tuple(run for run in plan.runs if run.operator != ZOFIA))
    told = " ".join(flow(run_sheets(lone, operators=[ZOFIA], system_fonts=False)))
    assert "0 runs, 0 pieces" in told
    assert "08:46 SWITCH ON South bench" in told


def test_notes_of_the_order_stand_in_each_of_its_runs() -> None:
    for by in ("operator", "press"):
        whole = " ".join(texts(by))
        assert whole.count("Note: Fold with the crest up") == 2
        assert whole.count("Note: =no bags") == 2


def test_waiting_for_a_peel_is_filled_with_the_next_piece() -> None:
    recipes = [run.content.recipe for run in sample_plan().runs if run.content.recipe.cooling_s > 0]
    cold = [recipe for recipe in recipes if recipe.peel is Peel.COLD]
    warm = [recipe for recipe in recipes if recipe.peel is Peel.WARM]
    whole = " ".join(texts())
    assert cold or warm
    again = r"(, then press it again for \d+ s)?"
    assert len(re.findall(rf"press the next one, peel when it has cooled{again}\.", whole)) == len(cold)
    assert len(re.findall(rf"still warm{again}, before you go on\.", whole)) == len(warm)
    assert whole.count("then press it again for") == sum(one.second_press_s > 0 for one in (*cold, *warm))


def test_a_warm_piece_is_peeled_in_time_even_if_the_next_one_is_not_pressed_yet() -> None:
    recipe = sample_plan().runs[0].content.recipe
    recipe = replace(recipe, peel=Peel.WARM, cooling_s=15, second_press_s=0)
    assert wait_words(recipe, 15.0) == "Lay aside, press the next one, peel after 15 s, still warm."
    assert wait_words(recipe, 15.1) == (
        "Lay aside and begin to load the next one; after 15 s peel this one, still warm, before you go on."
    )


def test_a_second_press_comes_after_the_peel() -> None:
    """Common practice, no source: the carrier is off by then."""
    recipe = replace(sample_plan().runs[0].content.recipe, cooling_s=15, second_press_s=5)
    cold, warm = replace(recipe, peel=Peel.COLD), replace(recipe, peel=Peel.WARM)
    assert wait_words(cold) == (
        "Lay aside, press the next one, peel when it has cooled, then press it again for 5 s."
    )
    assert wait_words(warm, 20.0).endswith("still warm, then press it again for 5 s, before you go on.")
    assert wait_words(warm, 10.0).endswith("peel after 15 s, still warm, then press it again for 5 s.")


def test_seconds_a_piece_are_at_the_pace_of_whoever_presses() -> None:
    plan = sample_plan()
    pace = {one.name: one.pace for one in plan.shop.crew}
    assert set(pace.values()) >= {1.1, 0.9}
    for run in plan.runs:
        by_hand = run.cycle_s * (1 + plan.shop.allowances.relaxation) / pace[run.operator]
        assert pace_words(plan, run) == f"about {round(by_hand)} s a piece"
        # Pieces at that pace, and what each run takes besides, are the time on the sheet.
        paused = sum((end - start).total_seconds() for start, end in run.pauses)
        pressing = (run.end - run.pressing_start).total_seconds() - paused
        fixed = 60 * (plan.shop.allowances.fetch_box_min + plan.shop.allowances.first_piece_min)
        assert abs(pressing - fixed - run.content.quantity * by_hand) <= 2 * 6


def test_each_run_says_where_its_pieces_go() -> None:
    plan = sample_plan()
    told = {run.id: then_words(plan, run) for run in plan.runs}
    assert told["1042-left chest"] == "run 4 at South bench, 09:06"
    assert told["1052-label"] == "run 21 at South bench, Fri 4 Dec 08:31"
    assert told["1042-full back"] == "to packing, other runs of this order follow"
    assert told["1046-left chest"] == "order 1046 is complete after this run: to packing, gone by 16:00"
    assert told["1049-full front"] == "order 1049 is complete after this run: to packing, cut-off 11:00, late"
    assert told["1051-apron"] == "to packing; a part of this order is left over"
    whole = bare(" ".join(texts()))
    for words in told.values():
        assert bare(f"Then: {words}") in whole


def test_pieces_go_by_the_hour_of_pressing_even_where_a_changeover_began_early() -> None:
    """The next press is being set up before this run's own changeover: its pieces still come after."""
    plan = sample_plan()
    first = next(run for run in plan.runs if run.id == "1042-left chest")
    second = next(run for run in plan.runs if run.number == 4)
    early = replace(second, start=first.start - timedelta(minutes=5))
    runs = tuple(early if run is second else run for run in plan.runs)
    swapped = replace(plan, runs=runs)
    assert then_words(swapped, first) == "run 4 at South bench, 09:06"
    assert "run " + str(first.number) not in then_words(swapped, early)


def test_pieces_that_part_say_which_sizes_go_where() -> None:
    plan = sample_plan()
    first = next(run for run in plan.runs if run.id == "1053-full front 1")
    last = next(run for run in plan.runs if run.id == "1053-left chest")
    part = replace(last, content=replace(last.content, pieces=first.content.pieces[:2]))
    # The last run now takes one half of the garments, the first run all of them.
    tasks = tuple(
        replace(task, bundles=("1053/0/1", "1053/0/3")) if task.id == first.id else task
        for task in plan.instance.tasks
    )
    parted = replace(
        plan,
        runs=tuple(part if run is last else run for run in plan.runs),
        instance=replace(plan.instance, tasks=tasks),
    )
    assert then_words(parted, first) == "run 24 at South bench, Fri 4 Dec 11:15 (S, M); the rest to packing"


def test_arrivals_are_told_only_shortly_before_the_run() -> None:
    plan = sample_plan()
    run = next(run for run in plan.runs if run.content.order == "1049")

    def told(before: timedelta, waits_for: str) -> str:
        content = replace(run.content, ready=run.pressing_start - before, waits_for=waits_for)
        return arrival_words(plan, replace(run, content=content))

    assert told(timedelta(hours=2), "transfers") == "Transfers come in at 09:02."
    assert told(timedelta(hours=2, seconds=1), "transfers") == ""
    assert told(timedelta(0), "garments and transfers") == "Garments and transfers come in at 11:02."
    assert told(timedelta(0), "") == "Garments or transfers come in at 11:02."


def test_a_run_that_goes_on_with_other_sizes_has_a_smaller_box() -> None:
    plan = sample_plan()
    first = next(run for run in plan.runs if run.id == "1043-left chest")
    start = first.end
    more = replace(
        first,
        id="more",
        number=25,
        content=replace(first.content, size_group="youth"),
        start=start,
        pressing_start=start,
        end=start + timedelta(minutes=10),
    )
    longer = replace(plan, runs=(*plan.runs, more))
    assert goes_on(longer, first, more)
    other = replace(more, content=replace(more.content, order="1042"))
    assert not goes_on(replace(plan, runs=(*plan.runs, other)), first, other)
    page = next(
        page
        for page in flow(run_sheets(longer, operators=[ELENI], system_fonts=False))
        if "Nothing to change: press stays as it was for run 13." in page
    )
    brief = page[page.index("Nothing to change") :]
    recipe = more.content.recipe
    assert f"Temperature {more.temp_c} °C Dwell {recipe.dwell_s} s Pressure" in brief


def test_same_plan_makes_the_same_bytes() -> None:
    again = run_sheets(sample_plan(), by="operator", paper="a4", system_fonts=False)
    assert again == made("operator", "a4")


def test_sheets_can_be_chosen() -> None:
    one = [text(page) for page in pages(run_sheets(sample_plan(), operators=[ZOFIA], system_fonts=False))]
    assert all("Zofia Wójcik Kiln Lane" in page or "Zofia Wójcik" in page for page in one)
    assert sum("page 1 of" in page for page in one) == 2  # she works on both days
    with pytest.raises(ValueError, match="operator 'Zofja' has no run in this plan; there are: Zofia Wójcik"):
        run_sheets(sample_plan(), operators=["Zofja"])
    with pytest.raises(ValueError, match="sheets by press can't be chosen by operator"):
        run_sheets(sample_plan(), by="press", operators=[ZOFIA])
    assert len(sheet_data(sample_plan(), by="press", presses=[NORTH])["sections"]) == 2  # type: ignore[arg-type]


def test_names_are_printed_as_they_are() -> None:
    whole = "".join(bare(page) for page in flow(made()))
    for name in (
        "<img src=x onerror=alert(1)> & Sons #panic()",
        '_crest_ *v2* #panic("x") $5 @all.pdf',
        "=SUM(A1:A9)",
        "+bag",
        "-festival-logo",
        "Klub Sportowy Świt Łódź",
        "Αθλητικός Όμιλος Πεύκης",
        "Школа № 7, выпускной класс",
        LONG,
        BART,
        ELENI,
        WINDOW,
    ):
        assert bare(name) in whole, name


def test_a_run_taller_than_a_page_breaks_and_says_so() -> None:
    plan = tall_plan()
    read_back = pages(run_sheets(plan, operators=[ZOFIA], system_fonts=False))
    told = [text(page) for page in read_back]
    whole = " ".join(told)
    for garment in range(30):
        assert f"Shirt {garment}, colour {garment}, cotton" in whole
    assert whole.count("S11 12") == 30
    assert "Run 1 goes on over the page: 150 °C, 12 s" in told[0]
    assert "Run 1, continued: 150 °C, 12 s" in told[1]
    assert "continued" not in told[-1]
    for page in read_back:
        well_set(page)


def tall_plan() -> Plan:
    plan = sample_plan()
    first = min(plan.runs, key=lambda run: run.number)
    pieces = tuple(
        Pieces(garment=f"Shirt {g}", colour=f"colour {g}", fabric="cotton", size=f"S{s}", quantity=s + 1)
        for g in range(30)
        for s in range(12)
    )
    longer = replace(first, content=replace(first.content, pieces=pieces))
    return replace(plan, runs=tuple(longer if run is first else run for run in plan.runs))


def test_overtime_is_shown() -> None:
    plan = sample_plan()
    shorter = [one for one in plan.shifts if one.operator == ZOFIA and one.start.date() == DAY]
    shifts = tuple(
        replace(one, end=one.end.replace(hour=13)) if one in shorter else one for one in plan.shifts
    )
    longer = run_sheets(replace(plan, shifts=shifts), operators=[ZOFIA], system_fonts=False)
    told = " ".join(flow(longer))
    assert "OVERTIME: 13:30–13:46 is after the shift's end." in told
    assert "OVERTIME" not in " ".join(flow(made()))


def test_templates_ask_for_nothing_from_outside() -> None:
    folder = files("scheduler.sheets").joinpath("templates")
    seen = [entry for entry in folder.iterdir() if entry.name.endswith(".typ")]
    assert len(seen) >= 4
    for entry in seen:
        source = entry.read_text(encoding="utf-8")
        assert not re.search(r"#?\b(import|include|read|image|plugin)\b\s*[(\"]", source), entry.name
        assert '"@' not in source


@pytest.mark.parametrize("name", ["short", "a" * 200, "x" * 19 + "-" * 30, "漢" * 40, "e\u0301" * 40, LONG])
def test_soft_breaks_add_nothing_visible(name: str) -> None:
    broken = soft(name)
    assert broken.replace("\u200b", "") == name
    assert max(len(part) for part in re.split(r"[\s\u200b]", broken)) <= 30
    assert "\u200b\u0301" not in broken


def test_the_reader_notices_words_over_one_another() -> None:
    from tests.sheets.reading import Word

    one = Word("one", 10, 40, 10, 22)
    assert overlapping([one, Word("over", 30, 60, 14, 26)]) == [("one", "over")]
    assert overlapping([one, Word("beside", 41, 60, 10, 22)]) == []
    assert overlapping([one, Word("below", 10, 40, 20, 32)]) == []


NAMES = ("Ada", "Zoë", "O'Neill", "Müller-Lüdenscheidt", "Ñandú", "van den Bergh-Oosterhuis", "Łukasz", "")


def with_names(count: int) -> Plan:
    """The sample with its run of the full back made one of personal pieces."""
    plan = sample_plan()
    run = next(run for run in plan.runs if run.id == "1042-full back")
    pieces = run.content.pieces[0]
    names = tuple(
        Personal(
            garment=pieces.garment,
            colour=pieces.colour,
            size=pieces.size,
            name=NAMES[number % len(NAMES)],
            number=f"{number:02d}",
        )
        for number in range(count)
    )
    named = replace(run, content=replace(run.content, names=names))
    return replace(plan, runs=tuple(named if one is run else one for one in plan.runs))


@pytest.mark.parametrize("count", [1, 20, 47, 200])
def test_each_name_and_number_has_a_box_to_tick(count: int) -> None:
    """A few on one page, and so many that the run needs several."""
    found = run_sheets(with_names(count), by="operator", system_fonts=False)
    told = bare(" ".join(flow(found)))
    for number in range(count):
        assert bare(NAMES[number % len(NAMES)])[:7] in told
        assert f"{number:02d}" in told
    assert bare(f"{count} piece" if count == 1 else f"{count} pieces") in told
    for page in pages(found):
        words = words_of(page)
        assert outside(page, words, RIM_MM * MM - 1) == [] and overlapping(words) == []
        assert coloured(page) == []


def test_names_are_listed_by_garment_and_by_placement_of_a_pair() -> None:
    content = next(run.content for run in sample_plan().runs if len(run.content.laid) > 1)
    first, second = content.placements
    names = tuple(
        Personal(garment="jersey", colour="red", size=size, name=name, placement=place)
        for size, name, place in (("M", "Ada", first), ("", "Bo", first), ("M", "07", second))
    )
    lists = name_lists(replace(content, names=names))
    assert [one["text"] for one in lists] == [f"Jersey, red, at {first}", f"Jersey, red, at {second}"]
    assert [(row["at"], row["size"], row["name"]) for row in lists[0]["rows"]] == [  # type: ignore[attr-defined]
        ("1", "M", "Ada"), ("2", "any", "Bo"),
    ]  # fmt: skip
    assert name_lists(content) == []


def renumbered() -> Plan:
    """As after a replan: the numbers of the first day's runs no longer follow the time."""
    plan = sample_plan()
    most = max(run.number for run in plan.runs) + 1
    runs = tuple(replace(run, number=most - run.number) for run in plan.runs)
    return replace(plan, runs=runs, version=3, at=datetime.combine(DAY, time(7)))


@pytest.mark.parametrize("by", ["operator", "press"])
def test_every_sheet_is_in_order_of_time_whatever_the_numbers_are(by: Any) -> None:
    plan = renumbered()
    for part in sheet_data(plan, by=by)["sections"]:  # type: ignore[attr-defined]
        starts = [one["start"] for one in part["entries"] if one["type"] != "line"]
        assert starts == sorted(starts), part["name"]


def test_nothing_to_change_names_the_run_right_above_it() -> None:
    plan = replace(renumbered(), changeovers=())
    found = 0
    for part in sheet_data(plan, by="press")["sections"]:  # type: ignore[attr-defined]
        runs = [one for one in part["entries"] if one["type"] != "line"]
        for before, after in pairwise(runs):
            if after["change"]["none"]:
                found += 1
                assert after["change"]["none"].endswith(f"for run {before['number']}.")
    assert found


def with_switch_on(minutes: float) -> tuple[Plan, Any]:
    """A plan in which the operator of run 6 switches a press on, minutes from its changeover's begin."""
    plan = sample_plan()
    run = next(run for run in plan.runs if run.number == 6)
    warm = replace(
        plan.warm_ups[0],
        press=LABEL,
        start=run.start + timedelta(minutes=minutes),
        ready=run.end,
        by=run.operator,
    )
    return replace(plan, warm_ups=(*plan.warm_ups, warm)), run


@pytest.mark.parametrize(
    ("minutes", "place"), [(-1, "line"), (0, "line"), (2, "change"), (5, "change"), (6, "note")]
)
def test_a_switch_on_is_printed_before_what_follows_it(minutes: float, place: str) -> None:
    """Run 6 of the sample is set up from 9:30 to 9:35."""
    plan, run = with_switch_on(minutes)
    (part,) = [
        one
        for one in sheet_data(plan, operators=[run.operator])["sections"]  # type: ignore[attr-defined]
        if any(entry.get("number") == "6" for entry in one["entries"])
    ]
    at = next(index for index, one in enumerate(part["entries"]) if one.get("number") == "6")
    entry = part["entries"][at]
    clock_of_it = clock(run.start + timedelta(minutes=minutes))
    words = f"SWITCH ON {LABEL}"
    found = {
        "line": any(
            words in one.get("text", "") and one["time"] == clock_of_it for one in part["entries"][:at]
        ),
        "change": entry["change"]["on"] == [f"{clock_of_it}, before the first piece: {words}, set 150 °C."],
        "note": any(f"At {clock_of_it}, in this run: {words}" in note for note in entry["notes"]),
    }
    assert [name for name, there in found.items() if there] == [place]
    page = next(
        page for page in flow(run_sheets(plan, operators=[run.operator], system_fonts=False)) if words in page
    )
    assert (page.index(words) < page.index(_heading(run))) == (place != "note")


def test_a_press_switched_on_again_says_so_on_its_sheet() -> None:
    plan = sample_plan()
    first, second = [run for run in plan.runs if run.press == NORTH and run.start.date() == DAY][:2]
    again = replace(
        next(one for one in plan.warm_ups if one.press == NORTH),
        start=first.end,
        ready=second.pressing_start,
    )
    assert warm_up_of(plan, second, NORTH) is None
    down = replace(plan, warm_ups=(*plan.warm_ups, again))
    assert warm_up_of(down, second, NORTH) == again
    assert warm_up_of(down, first, NORTH) != again
    said = [step["text"] for step in steps(down, second)]
    assert any(f"at {clock(again.start)}, ready at {clock(again.ready)}" in str(words) for words in said)


@pytest.mark.parametrize("by", ["operator", "press"])
def test_each_run_has_boxes_for_its_times_and_counts(by: str) -> None:
    """Named by the words of `pressday started`, `done` and the table of a shift."""
    for page in texts(by):
        runs = page.count("First piece checked")
        assert len(re.findall("Started Finished Pieces done Spoiled Initials", page)) == runs


def test_what_decides_the_print_is_read_at_arms_length() -> None:
    """Where to lay the transfer 11 pt and bold at least, size letters 12 pt, cautions 9 pt."""
    page = read()[0]
    run = next(run for run in sample_plan().runs if _heading(run) in texts()[0])
    position = run.content.laid[0].position.split()
    words = page.extract_words(extra_attrs=["size", "fontname"])
    row = [word["text"] for word in words]
    at = next(i for i in range(len(row)) if row[i : i + 3] == position[:3])
    assert words[at]["size"] >= 11 and "Bold" in words[at]["fontname"]
    size = run.content.pieces[0].size
    assert any(word["text"] == size and word["size"] >= 12 for word in words)
    assert next(word for word in words if word["text"] == "CRUSH:")["size"] >= 9


def test_heating_stands_in_the_line_of_whoever_switches_the_press_on() -> None:
    """Who has no line on that press's sheet leaves it in the line of the run that waits for the heat."""
    plan = sample_plan()
    for by in {*(run.operator for run in plan.runs), "nobody there"}:
        changed = replace(plan, warm_ups=tuple(replace(one, by=by) for one in plan.warm_ups))
        heated = 0
        for press in names(changed, "press"):
            for sheet in sheet_days(changed, "press", press):
                rows: Any = strip(changed, sheet)["rows"]
                waiting = [run for run in sheet.runs if warm_up_of(changed, run, press)]
                labels = [row["label"] for row in rows]
                hot = [row["label"] for row in rows for bar in row["bars"] if bar["kind"] == "heat"]
                assert sorted(hot) == sorted(by if by in labels else run.operator for run in waiting)
                heated += len(hot)
        assert heated


def test_what_to_heed_stands_in_the_order_of_doing() -> None:
    """What is done with each piece comes before what is done with the press when all are pressed."""
    plan = sample_plan()
    printed = bare(" ".join(texts()))
    mixed = 0
    for run in plan.runs:
        said = notes(plan, run)
        assert bare(" ".join(f"▸ {note}" for note in said)) in printed
        loud = [any(word in note for word in ("SWITCH ", "BREAK", "OVERTIME")) for note in said]
        mixed += loud != sorted(loud, reverse=True)
    assert mixed, "some stand in a line of their own after one that does not"
