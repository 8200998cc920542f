"""What is said of a day planned again: how many runs move, why one is earlier, when new orders are ready."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from html import unescape

import pytest

from scheduler.domain.clock import clock, clock_up, in_hours, short_date
from scheduler.domain.differences import Difference, Kind
from scheduler.domain.instance import Level
from scheduler.domain.orders import Order
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.shop import NOWHERE
from scheduler.planning.differences import differences
from scheduler.sheets.changes import OTHERWISE, _said_otherwise, told
from scheduler.sheets.new_sheets import NewPaper, new_sheets, new_sheets_data
from scheduler.sheets.page import day_page
from scheduler.sheets.paper import compare
from scheduler.sheets.ready import cost_lines, ready_lines, ready_orders, ready_title
from scheduler.sheets.tally import counts, why_earlier
from tests.sheets.reading import MM, coloured, flow, outside, overlapping, pages, words_of
from tests.sheets.test_paper import AT, last_of_day, later, morning, moved


def off(plan: Plan, run: PlannedRun, minutes: float, kind: Kind | None = None) -> Difference:
    (there,) = [one for one in moved(plan, run, minutes) if one.id == run.id]
    usual = Kind.LATER if minutes > 0 else Kind.EARLIER
    return Difference(run=run.id, kind=kind or usual, before=run, after=there, minutes=minutes)


def runs_of(plan: Plan) -> list[PlannedRun]:
    return [run for run in plan.runs if run.start > AT]


SENTENCES = [
    ([], "no run moves"),
    ([10], "1 run starts later"),
    ([10, 20], "2 runs start later"),
    ([10, -20], "1 run starts later and 1 starts earlier"),
    ([10, -20, -8, 3], "1 run starts later, 2 start earlier and 1 starts less than 5 minutes off"),
]


@pytest.mark.parametrize(("minutes", "sentence"), SENTENCES)
def test_how_many_runs_move_is_one_sentence(minutes: list[float], sentence: str) -> None:
    plan = morning()
    found = [off(plan, run, value) for run, value in zip(runs_of(plan), minutes, strict=False)]
    assert len(found) == len(minutes)
    assert counts(plan, later(plan, plan.runs), found) == sentence


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        (Kind.NEW, "1 run is new"),
        (Kind.DROPPED, "1 run is not pressed any more"),
        (Kind.OTHER_PIECES, "1 run has other pieces or transfers"),
        (Kind.OTHER_PLACE, "1 run goes to another press, person or platen"),
        (Kind.OTHER_ORDER, "1 run keeps its time but follows another run at its press"),
    ],
)
def test_every_kind_of_change_has_a_verb(kind: Kind, sentence: str) -> None:
    plan = morning()
    one = off(plan, runs_of(plan)[0], 0, kind)
    assert counts(plan, later(plan, plan.runs), [one]) == sentence


def test_a_run_counts_as_earlier_wherever_the_list_says_that_it_is() -> None:
    """One of them stands behind another run than before, too: it is listed with its times, so it counts."""
    plan = morning()
    chosen = [run for run in runs_of(plan) if run.operator and run.start.date() == plan.day][-3:]
    new = plan
    for run in chosen:
        new = replace(new, runs=moved(new, run, -10))
    new = later(plan, new.runs)
    found = list(differences(plan, new))
    assert [one.run for one in found if one.run in {run.id for run in chosen}]
    found = [replace(one, kind=Kind.OTHER_ORDER if k == 0 else Kind.EARLIER) for k, one in enumerate(found)]
    sheets = told(plan, new, found, compare(plan, new, AT), "operator")
    lines = [line for one in sheets for line in one.moved]
    earlier = [
        line
        for line in lines
        if (at := re.search(r"(\d\d:\d\d) becomes (\d\d:\d\d)", line)) and at[2] < at[1]
    ]
    assert len(earlier) == len(chosen) == 3
    assert counts(plan, new, found) == "3 runs start earlier"
    (behind,) = [line for line in lines if re.search(r" (after run \d+|first at .*) now", line)]
    assert f"run {found[0].before.number}," in behind  # type: ignore[union-attr]


def test_a_run_that_keeps_its_time_behind_another_one_says_behind_which() -> None:
    """Two short runs at one press change places; the third keeps its time, and follows the other one."""
    plan = morning()
    first = last_of_day(plan)

    def put(number: int, minutes: float) -> PlannedRun:
        start = first.end + timedelta(minutes=minutes)
        end = start + timedelta(minutes=5)
        return replace(
            first, id=f"run {number}", number=number, start=start, pressing_start=start, end=end, pauses=()
        )

    third = put(93, 20)
    old = later(plan, (*plan.runs, put(91, 0), put(92, 10), third))
    new = later(plan, (*plan.runs, put(92, 0), put(91, 10), third))
    found = [one for one in differences(old, new) if one.run == third.id]
    assert [one.kind for one in found] == [Kind.OTHER_ORDER]
    (sheet,) = [one for one in told(old, new, found, compare(old, new, AT), "operator") if one.moved]
    at = f"{third.start:%H:%M}"
    assert sheet.moved[0].endswith(
        f": still at {at}, but at {first.press} after run 91 now, not after run 92"
    )


def test_a_run_on_another_kind_of_platen_takes_a_new_sheet_and_says_which() -> None:
    plan = morning()
    run = last_of_day(plan)
    other = next(one.platen for one in plan.runs if one.platen not in ("", run.platen))
    runs = tuple(replace(one, platen=other) if one is run else one for one in plan.runs)
    new = later(plan, runs)
    found = differences(plan, new)
    assert [(one.run, one.kind) for one in found] == [(run.id, Kind.OTHER_PLACE)]
    sheets = told(plan, new, found, compare(plan, new, AT), "operator")
    assert [(one.name, len(one.moved)) for one in sheets] == [(run.operator, 1)]
    assert sheets[0].moved[0].endswith(f": platen {other}, not {run.platen}")
    as_it_was = later(plan, plan.runs)
    assert told(plan, as_it_was, differences(plan, as_it_was), compare(plan, as_it_was, AT), "operator") == ()


def test_what_was_begun_when_it_was_planned_again_is_not_counted() -> None:
    plan = morning()
    run = min(plan.runs, key=lambda run: run.start)
    new = later(plan, plan.runs, run.end)
    assert counts(plan, new, [off(plan, run, 10)]) == "no run moves"


def earlier(spare: float, gap: float) -> tuple[Difference, Plan, Plan, PlannedRun]:
    """The last run 20 minutes earlier; a new one begins so many minutes before its old end."""
    plan = morning()
    run = last_of_day(plan)
    finished = run.end + timedelta(minutes=5)
    orders = tuple(
        replace(one, finished=finished, cut_off=finished + timedelta(minutes=spare))
        if one.id == run.content.order
        else one
        for one in plan.orders
    )
    plan = replace(plan, orders=orders)
    begin = run.end - timedelta(minutes=gap)
    follower = replace(
        run,
        id="follower",
        number=99,
        start=begin,
        pressing_start=begin,
        end=begin + timedelta(minutes=10),
    )
    new = later(plan, (*moved(plan, run, -20), follower))
    return off(plan, run, -20), plan, new, follower


@pytest.mark.parametrize(
    ("spare", "gap", "why"),
    [
        (60, 10, "to make room for run 99"),
        (60, -10, ""),
        (14, -10, "its order had little to spare"),
        (15, -10, ""),
    ],
)
def test_why_a_run_comes_earlier(spare: float, gap: float, why: str) -> None:
    one, old, new, _ = earlier(spare, gap)
    assert why_earlier(one, old, new) == why


def test_a_run_with_another_person_or_later_needs_no_such_reason() -> None:
    one, old, new, _ = earlier(60, 10)
    assert one.after is not None
    other = replace(one, after=replace(one.after, operator="Somebody else"))
    assert why_earlier(other, old, new) == ""
    assert why_earlier(off(old, one.before, 20), old, new) == ""  # type: ignore[arg-type]


def test_the_sheet_says_why_a_run_comes_earlier() -> None:
    one, old, new, _ = earlier(60, 10)
    assert one.before is not None and one.after is not None
    found = differences(old, new)
    lines = [line for said in told(old, new, found, compare(old, new, AT), "operator") for line in said.moved]
    was, now = clock(one.before.pressing_start), clock(one.after.pressing_start)
    assert any(f"{was} becomes {now}, to make room for run 99" in line for line in lines)


def with_new_order(spare: float) -> NewPaper:
    """The last order of the sample was not there before."""
    plan = morning()
    order = next(one for one in plan.orders if one.id == last_of_day(plan).content.order)
    given = Order(
        id=order.id,
        customer=order.customer,
        cut_off=order.cut_off,
        weight=order.weight,
        lines=(),
        source=NOWHERE,
    )
    end = max(run.end for run in plan.runs if run.content.order == order.id)
    finished = end.replace(second=0) + timedelta(minutes=7)
    cut_off = finished + timedelta(minutes=spare)
    new = later(plan, plan.runs)
    new = replace(
        new,
        given=(given,),
        orders=tuple(
            replace(one, finished=finished, cut_off=cut_off, late_minutes=max(0, -spare))
            if one is order
            else one
            for one in plan.orders
        ),
    )
    return NewPaper(old=plan, new=new, found=differences(plan, new), change=compare(plan, new, AT))


@pytest.mark.parametrize(
    ("spare", "words"),
    [
        (33, "33 minutes to spare"),
        (1, "1 minute to spare"),
        (0, "0 minutes to spare"),
        (-1, "1 minute late"),
        (-12, "12 minutes late"),
        (119, "119 minutes to spare"),
        (500, "8 h 20 min to spare"),
        (-125, "2 h 5 min late"),
    ],
)
def test_a_new_order_says_when_it_is_ready_against_its_cut_off(spare: float, words: str) -> None:
    paper = with_new_order(spare)
    (one,) = ready_orders(paper.old, paper.new)
    assert one.new and one.pressed is not None and one.order.finished is not None
    assert ready_title((one,)) == "New orders"
    assert ready_title((replace(one, new=False),)) == "Changed orders"
    assert ready_title((one, replace(one, new=False))) == "New and changed orders"
    (line,) = ready_lines(paper.old, paper.new)
    day = f"{short_date(one.pressed.date())} "
    assert one.pressed.date() > paper.new.day, "times on another day name it"
    pressed, packed = (clock_up(moment) for moment in (one.pressed, one.order.finished))
    assert f"pressed by {day}{pressed}, packed by {day}{packed}, " in line
    assert line.endswith(f"cut-off {day}{clock(one.order.cut_off)}: {words}")
    assert in_hours(1674) == "27 h 54 min"


def test_a_new_order_that_is_not_done_whole_says_so() -> None:
    paper = with_new_order(10)
    (one,) = ready_orders(paper.old, paper.new)
    name = one.order.id
    orders = tuple(replace(o, finished=None) if o.id == name else o for o in paper.new.orders)
    (line,) = ready_lines(paper.old, replace(paper.new, orders=orders))
    assert "not all of it packed, cut-off" in line and "spare" not in line
    runs = tuple(run for run in paper.new.runs if run.content.order != name)
    (line,) = ready_lines(paper.old, replace(paper.new, orders=orders, runs=runs))
    assert ": not pressed, not all of it packed, cut-off" in line


def at_levels(plan: Plan, **values: int) -> Plan:
    levels = tuple(replace(one, value=values.get(one.name, one.value)) for one in plan.levels)
    return replace(plan, levels=levels)


def value(plan: Plan, name: Level) -> int:
    return next(one.value for one in plan.levels if one.name == name)


def test_what_changeovers_rise_by_is_said_against_the_plan_in_hand() -> None:
    plan = at_levels(morning(), changeover=1000, changeovers=40, overtime=0)
    minutes = plan.instance.tick_s / 60
    more = at_levels(later(plan, plan.runs), changeover=1250, changeovers=44, overtime=50)
    lines = cost_lines(plan, more)
    before = f"({1000 * minutes:g} minutes in 40)"
    version = f"than in version {plan.version}"
    assert lines[0] == (
        f"Changeovers: {1250 * minutes:g} minutes in 44, {250 * minutes:g} minutes more {version} {before}"
    )
    assert lines[1] == (
        f"Overtime: {50 * minutes:g} minutes, {50 * minutes:g} minutes more {version} (0 minutes)"
    )
    less = at_levels(later(plan, plan.runs), changeover=900)
    assert f"{100 * minutes:g} minutes less {version}" in cost_lines(plan, less)[0]
    (same,) = cost_lines(plan, later(plan, plan.runs))
    assert same == f"Changeovers: {1000 * minutes:g} minutes in 40, as in version {plan.version}"
    (fewer,) = cost_lines(plan, at_levels(later(plan, plan.runs), changeovers=39))
    assert fewer == f"Changeovers: {1000 * minutes:g} minutes in 39, as in version {plan.version} {before}"


@pytest.mark.parametrize("by", ["operator", "press"])
def test_the_first_page_says_when_new_orders_are_ready_and_what_changeovers_cost(by: str) -> None:
    paper = with_new_order(33)
    new = at_levels(paper.new, changeover=value(paper.old, "changeover") + 100)
    paper = replace(paper, new=new)
    front = new_sheets_data(paper, by=by)["front"]  # type: ignore[arg-type]
    assert "more than in version" in front["facts"]  # type: ignore[index]
    made = new_sheets(paper, by=by, system_fonts=False)  # type: ignore[arg-type]
    read = " ".join(flow(made)[0].split())
    (one,) = ready_orders(paper.old, paper.new)
    assert one.pressed is not None and one.order.finished is not None
    assert "New orders" in read and "33 minutes to spare" in read
    times = (clock_up(one.pressed), clock_up(one.order.finished), clock(one.order.cut_off))
    assert all(time in read for time in times)
    page = pages(made)[0]
    words = words_of(page)
    assert outside(page, words, 11 * MM - 1) == []
    assert overlapping(words) == []
    assert coloured(page) == []
    shown = unescape(day_page(paper.new, paper_of=paper).decode())
    assert f"New orders: {ready_lines(paper.old, paper.new)[0]}." in shown
    assert cost_lines(paper.old, paper.new)[0] in shown


def test_what_of_a_run_reads_otherwise_says_what_to_do() -> None:
    """A note that falls away and nothing in its place; a note of the order; nothing that has a name."""
    same: dict[str, object] = {"notes": ["Lay aside.", "When done: at 09:30."], "asked": [], "lot": ""}
    assert _said_otherwise(same, {**same, "notes": ["When done: at 09:45."]}) == 'no longer: "Lay aside"'
    new = {**same, "notes": ["Press twice.", "When done: at 09:45."]}
    assert _said_otherwise(same, new) == "Press twice"
    assert _said_otherwise(same, {**same, "asked": ["no tag"]}) == "note of the order: no tag"
    assert _said_otherwise({**same, "asked": ["no tag"]}, same) == "the order's notes no longer hold"
    assert "go by the new sheet" in OTHERWISE


def switched_on(plan: Plan, name: str | None) -> Plan:
    """The next version of a plan whose last switch-on of the day is somebody's; None: it is not needed."""
    last = max((one for one in plan.warm_ups if one.start.date() == plan.day), key=lambda one: one.start)
    rest = tuple(one for one in plan.warm_ups if one is not last)
    warm_ups = rest if name is None else (*rest, replace(last, by=name))
    return replace(later(plan, plan.runs), warm_ups=warm_ups, at=last.start - timedelta(minutes=5))


def test_a_switch_on_that_goes_to_somebody_else_is_named_on_both_sheets() -> None:
    plan = morning()
    last = max((one for one in plan.warm_ups if one.start.date() == plan.day), key=lambda one: one.start)
    other = next(one.name for one in plan.shop.crew if one.name != last.by)
    what = f"switch on {last.press} at {clock(last.start)}"

    def parts(old: Plan, new: Plan, name: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        assert new.at is not None
        said = told(old, new, differences(old, new), compare(old, new, new.at), "operator")
        (one,) = [each for each in said if each.name == name]
        return one.added, one.dropped

    new = switched_on(plan, other)
    assert last.by and parts(plan, new, other)[0] == (f"{what}, from {last.by}",)
    assert parts(plan, new, last.by)[1] == (f"{what}, goes to {other}",)
    change = compare(plan, new, new.at or AT)
    (at_press,) = [each for each in told(plan, new, (), change, "press") if each.name == last.press]
    assert f"switched on by {other} at {clock(last.start)}, not by {last.by}" in at_press.moved
    timer = switched_on(plan, "")
    assert parts(plan, timer, last.by)[1] == (f"{what}, now by whoever is in",)
    assert parts(timer, switched_on(timer, other), other)[0] == (f"{what}, until now by whoever is in",)
    none = switched_on(plan, None)
    assert parts(plan, none, last.by)[1] == (f"{what}, not needed any more",)
    gone = replace(new, at=last.start)
    assert not [
        line
        for each in told(plan, gone, (), change, "operator")
        for line in (*each.added, *each.dropped)
        if "switch on" in line
    ], "what is over is not told"


def test_a_press_that_is_switched_on_several_times_a_day_is_told_of_each_by_itself() -> None:
    """One more switch-on before somebody's own leaves that as it is; of two the nearer one has moved."""
    old = morning()
    last = max((one for one in old.warm_ups if one.start.date() == old.day), key=lambda one: one.start)
    other = next(one.name for one in old.shop.crew if one.name != last.by)
    begin = last.start - timedelta(hours=1)
    earlier = replace(last, by=other, start=begin, ready=begin + timedelta(minutes=15))
    at = begin - timedelta(minutes=5)

    def parts(was: Plan, now: Plan, name: str) -> tuple[tuple[str, ...], ...]:
        said = told(was, now, differences(was, now), compare(was, now, at), "operator")
        return next(((one.added, one.moved, one.dropped) for one in said if one.name == name), ((), (), ()))

    new = replace(later(old, old.runs), warm_ups=(*old.warm_ups, earlier), at=at)
    assert parts(old, new, other) == ((f"switch on {last.press} at {clock(begin)}",), (), ())
    assert parts(old, new, last.by) == ((), (), ())
    put_off = replace(
        last, start=last.start + timedelta(minutes=20), ready=last.ready + timedelta(minutes=20)
    )
    rest = tuple(one for one in new.warm_ups if one is not last and one is not earlier)
    third = replace(later(new, new.runs), warm_ups=(*rest, put_off), at=at)
    was, now = clock(last.start), clock(put_off.start)
    assert parts(new, third, last.by) == ((), (f"switch on {last.press}: {was} becomes {now}",), ())
    gone = (f"switch on {last.press} at {clock(begin)}, not needed any more",)
    assert parts(new, third, other) == ((), (), gone)
    hotter = replace(last, temp_c=last.temp_c + 10)
    fourth = replace(later(new, new.runs), warm_ups=(*rest, earlier, hotter), at=at)
    assert parts(new, fourth, last.by)[1] == (
        f"switch on {last.press} at {was}: set {hotter.temp_c} °C, not {last.temp_c} °C",
    )


def on_friday(old: Plan, number: int, *, minutes: float = 0, **changes: object) -> tuple[str, ...]:
    """What the page says of one run of the second day that is otherwise."""
    run = next(one for one in old.runs if one.number == number)
    assert run.start.date() != old.day
    there = next(one for one in moved(old, run, minutes) if one is not run and one.id == run.id)
    new = later(old, tuple(replace(there, **changes) if one is run else one for one in old.runs))  # type: ignore[arg-type]
    said = told(old, new, differences(old, new), compare(old, new, AT), "operator")
    return tuple(
        line
        for one in said
        for _, lines in one.parts
        for line in lines
        if line.startswith((f"run {number}", "1 run"))
    )


def test_what_is_on_another_day_than_the_page_is_said_with_its_date() -> None:
    plan = morning()
    run = next(one for one in plan.runs if one.number == 23)
    start, then = clock(run.pressing_start), clock(run.pressing_start + timedelta(minutes=10))
    (line,) = on_friday(plan, 23, minutes=10)
    assert line.startswith("run 23, order ") and line.endswith(f": Fri 4 Dec {start} becomes {then}")
    (line,) = on_friday(plan, 23, platen="")
    assert line.startswith("run 23 of Fri 4 Dec, order ") and line.endswith(f"platen none, not {run.platen}")
    came, went = on_friday(plan, 23, operator="Zofia Wójcik")
    assert came.startswith(f"run 23 at Fri 4 Dec {start}, at ")
    assert went.startswith(f"run 23 of Fri 4 Dec {start}: ")
    (line,) = on_friday(plan, 23, temp_c=run.temp_c + 5)
    assert line.startswith("run 23 of Fri 4 Dec: ")


def test_a_start_slightly_off_on_another_day_is_counted_with_its_date() -> None:
    plan = morning()
    friday = next(one for one in plan.runs if one.number == 23)
    thursday = last_of_day(plan)
    runs = moved(replace(plan, runs=moved(plan, friday, 2)), thursday, 3)
    runs = tuple(replace(one, operator=friday.operator) if one.id == thursday.id else one for one in runs)
    old = later(
        plan, tuple(replace(one, operator=friday.operator) if one is thursday else one for one in plan.runs)
    )
    new = later(old, tuple(replace(one, temp_c=150) if one.number == 16 else one for one in runs))
    said = told(old, new, differences(old, new), compare(old, new, AT), "operator")
    (mine,) = [one.besides for one in said if one.name == friday.operator]
    assert "1 run starts less than 5 minutes off" in mine
    assert "1 run of Fri 4 Dec starts less than 5 minutes off" in mine


def test_a_press_to_switch_on_on_another_day_is_named_with_its_date() -> None:
    old = morning()
    warm = next(one for one in old.warm_ups if one.start.date() != old.day)
    warm = replace(warm, by="Zofia Wójcik")
    others = [one for one in old.warm_ups if one.press != warm.press]
    old = replace(old, warm_ups=(*others, warm))
    start, then = clock(warm.start), clock(warm.start + timedelta(minutes=20))
    later_on = replace(warm, start=warm.start + timedelta(minutes=20))
    for there, said, at_press in (
        (
            later_on,
            f": Fri 4 Dec {start} becomes {then}",
            f"by Zofia Wójcik: Fri 4 Dec {start} becomes {then}",
        ),
        (
            replace(warm, temp_c=warm.temp_c + 5),
            f" of Fri 4 Dec: set {warm.temp_c + 5} °C, not {warm.temp_c} °C",
            f"by Zofia Wójcik on Fri 4 Dec: set {warm.temp_c + 5} °C, not {warm.temp_c} °C",
        ),
    ):
        new = replace(later(old, old.runs), warm_ups=(*old.warm_ups[:-1], there))
        change = compare(old, new, AT)
        (mine,) = [one.moved for one in told(old, new, (), change, "operator") if one.name == warm.by]
        assert mine == (f"switch on {warm.press}{said}",)
        (there_too,) = [one.moved for one in told(old, new, (), change, "press") if one.name == warm.press]
        assert there_too == (f"switched on {at_press}",)
