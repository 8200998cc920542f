"""Presses that go off between two runs: idle for long, or with nobody of the crew in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from scheduler.chance.chances import Replays
from scheduler.chance.spread import Spread
from scheduler.daybook.state import state_at
from scheduler.domain import instance
from scheduler.domain.disruptions import Disruptions, PersonAway, PressDown
from scheduler.domain.idle import off_at_once, press_off
from scheduler.domain.instance import Instance, Machine
from scheduler.domain.orders import Order
from scheduler.domain.plan import Absence, Plan
from scheduler.domain.presence import empty_between, presence
from scheduler.domain.progress import Event
from scheduler.domain.schedule import Schedule, WarmUp
from scheduler.domain.shop import Circuit, Operator
from scheduler.engine.solve import solve
from scheduler.planning import build_day
from scheduler.planning.again import merged, plan_again
from scheduler.planning.idle import idle_notes, latest_start
from scheduler.planning.rest import plan_rest
from scheduler.sheets.changes import told
from scheduler.sheets.dayview import sheet_days, switched_on_by
from scheduler.sheets.lines import notes
from scheduler.sheets.paper import compare
from scheduler.sheets.pull import switch_on
from scheduler.sheets.run_sheets import section, sheets_data
from scheduler.sheets.steps import steps
from scheduler.verify import check
from tests.planning.by_hand import plan_of
from tests.planning.shops import MONDAY, line, order, person, press, print_, recipe, shop, with_press
from tests.planning.test_again import solved
from tests.support.presses_on import follow

WARM = "Main / big"


def at(hour: int, minute: int = 0, second: int = 0) -> datetime:
    return datetime(2026, 3, 2, hour, minute, second)


NOON = at(12)


def day(*crew: Operator, second: str = "Ann", garments_in: datetime = NOON) -> Plan:
    """A front from 8:10 to 8:20 at 150 °C; another at 160 °C, whose garments come in later."""
    base = replace(
        with_press(shop(), circuit="A"),
        circuits=(Circuit(name="A", volts=230, amps=16, continuous_share=0.8),),
        recipes=(recipe(), recipe("hot film", temp_c=160)),
        crew=crew or (person(),),
    )
    first = order("1", line(print_("front", artwork="crest")), cut_off=at(15))
    other = order("2", line(print_("front", "hot film", "flag"), garments_in=garments_in), cut_off=at(17))
    problem = build_day(base, (first, other), MONDAY)
    return plan_of(problem, [("1-front", WARM, "Ann"), ("2-front", WARM, second)])


def done_words(plan: Plan) -> str:
    return next(text for text in notes(plan, plan.runs[0]) if text.startswith("When done"))


def test_a_press_that_is_idle_for_long_goes_off_and_is_switched_on_in_time() -> None:
    plan = day()
    first, second = plan.runs
    assert second.pressing_start == at(12)
    # 10 minutes of warm-up end at the first piece.
    assert [(one.start, one.ready, one.temp_c, one.by) for one in plan.warm_ups] == [
        (at(8), at(8, 10), 150, "Ann"),
        (at(11, 50), at(12), 160, "Ann"),
    ]
    assert done_words(plan) == (
        "When done: SWITCH THIS PRESS OFF. Ann switches it on again at 11:50, "
        f"for run 2 at {second.pressing_start:%H:%M}."
    )
    assert [(one.warm_up.start, one.run, one.off) for one in switch_on(plan)] == [
        (at(8), 1, first.end),
        (at(11, 50), 2, second.end),
    ]
    texts = [str(step["text"]) for step in steps(plan, second)]
    assert texts[0] == "Press is cold: Ann switches it on at 11:50, ready at 12:00."
    assert not [text for text in texts if "temperature" in text]
    (sheet,) = sheet_days(plan, "operator", "Ann")
    assert [item.kind for item in sheet.items if not hasattr(item, "press")].count("switch-on") == 2
    assert idle_notes(plan) == ()
    # The schedule is the engine's: there it is hot all the while, and the check of it holds.
    assert len(plan.schedule.warm_ups) == 1


@pytest.mark.parametrize(("came", "off"), [(at(9, 25), False), (at(9, 35), True)])
def test_less_than_an_hour_off_is_not_worth_it(came: datetime, off: bool) -> None:
    """The first run ends at 8:18:20 or so; an hour and the warm-up later is 9:29."""
    plan = day(garments_in=came)
    assert at(8, 17) < plan.runs[0].end < at(8, 20)
    assert (press_off(plan, plan.runs[0], "Main") is not None) is off
    assert ("straight away" in done_words(plan)) is not off


EARLY = person(end=time(11, 40))


def test_after_nobody_was_in_whoever_comes_first_heats() -> None:
    plan = day(EARLY, person("Bo", start=time(13, 30)), second="Bo", garments_in=at(13, 45))
    assert plan.runs[1].pressing_start == at(13, 45)
    # The warm-up is one of the schedule: the press is cold for it after nobody was in.
    assert len(plan.schedule.warm_ups) == 2
    again = plan.warm_ups[1]
    assert again.by == "Bo" and at(13, 30) <= again.start and again.ready <= at(13, 45)
    assert done_words(plan) == (
        "When done: SWITCH THIS PRESS OFF. "
        f"Bo switches it on again at {again.start:%H:%M}, for run 2 at {plan.runs[1].pressing_start:%H:%M}."
    )
    assert idle_notes(plan) == ()


@pytest.mark.parametrize(
    ("goes", "comes"),
    # For hours; as one goes and another comes; sooner than the warm-up is long.
    [(time(11, 40), time(13, 30)), (time(12), time(12, 5)), (time(8, 18, 40), time(8, 25))],
)
@pytest.mark.parametrize("artwork", ["flag", "crest"])
def test_no_run_is_planned_before_the_first_who_is_in_can_have_its_press_hot(
    goes: time, comes: time, artwork: str
) -> None:
    base = replace(shop(), crew=(person(end=goes), person("Bo", start=comes)))
    first = order("1", line(print_("front", artwork="crest")), cut_off=at(15))
    other = order(
        "2", line(print_("front", artwork=artwork), garments_in=at(comes.hour, comes.minute)), cut_off=at(17)
    )
    problem = build_day(base, (first, other), MONDAY)
    plan = plan_of(problem, [("1-front", WARM, "Ann"), ("2-front", WARM, "Bo")])
    second, again = plan.runs[1], plan.warm_ups[1]
    came = datetime.combine(MONDAY, comes)
    # 10 minutes of warm-up from when Bo is in; line-up meanwhile.
    assert (again.start, again.by) == (came, "Bo")
    assert second.pressing_start == again.ready == came + timedelta(minutes=10)
    assert str(steps(plan, second)[0]["text"]) == (
        f"Press is cold: Bo switches it on at {again.start:%H:%M}, ready at {again.ready:%H:%M}."
    )
    assert f"Bo switches it on again at {again.start:%H:%M}" in done_words(plan)
    assert [(one.warm_up.start, one.run) for one in switch_on(plan)] == [(at(8), 1), (came, 2)]
    assert idle_notes(plan) == ()
    # The replays read the same.
    replayed = Replays(plan, Spread(day=0.5), replays=50).replayed.start
    assert replayed.min(axis=0).max() >= (again.ready - at(0)).total_seconds() / 6


def test_a_press_of_its_own_is_not_left_to_heat_between_two_shifts() -> None:
    """Ann presses at one press and goes at 12:00; Bo comes at 13:30 for the other, cold until then."""
    base = replace(
        shop(),
        presses=(press(), press("Other", mounted="sleeve")),
        crew=(person(end=time(12)), person("Bo", start=time(13, 30))),
    )
    first = order("1", line(print_("front", artwork="crest")), cut_off=at(15))
    other = order("2", line(print_("sleeve", artwork="flag"), garments_in=at(13, 30)), cut_off=at(17))
    problem = build_day(base, (first, other), MONDAY)
    plan = plan_of(problem, [("1-front", WARM, "Ann"), ("2-sleeve", "Other / sleeve", "Bo")])
    held = next(one for one in plan.warm_ups if one.press == "Other")
    assert (held.start, held.by, plan.runs[1].pressing_start) == (at(13, 30), "Bo", at(13, 40))
    # In the morning, before anybody of the crew is in, a timer may do it.
    early = replace(held, start=at(7, 50), by="")
    dawn = replace(plan, warm_ups=(early,), runs=plan.runs[1:])
    assert switched_on_by(dawn, early) == "by timer or whoever opens"


def test_planned_again_presses_are_cold_after_an_absence_that_leaves_nobody_in() -> None:
    """Ann, alone, goes from 10:00 to 11:30; a run is planned for 11:30 then, from a cold press."""
    plan = day(garments_in=at(11, 20))
    assert plan.runs[1].pressing_start == at(11, 20)
    away = Disruptions(away=(PersonAway(person="Ann", start=at(10), end=at(11, 30)),))
    new = planned_again(plan, at(9), between=away)
    second, again = new.runs[1], new.warm_ups[-1]
    assert (again.start, again.by) == (at(11, 30), "Ann")
    assert second.pressing_start == again.ready == at(11, 40)
    off = press_off(new, new.runs[0], "Main")
    assert off is not None and off.empty == ((at(10), at(11, 30)),) and off.again == again
    assert f"{again.start:%H:%M}" in done_words(new)
    # Once more while nobody is in, and after: the same.
    for moment in (at(10, 30), at(11, 31)):
        later = planned_again(new, moment)
        assert [(one.start, one.by) for one in later.warm_ups][-1] == (at(11, 30), "Ann")
        assert later.runs[1].pressing_start == at(11, 40)
        assert off_at_once(later) == []


def test_the_reason_is_said_where_it_is_not_long_till_then() -> None:
    """The run ends at 8:18; nobody is in from 8:40 to 9:00, and from 9:30 to 13:30."""
    crew = (
        person(end=time(8, 40)),
        person("Cy", start=time(9), end=time(9, 30)),
        person("Bo", start=time(13, 30)),
    )
    plan = day(*crew, second="Bo", garments_in=at(13, 30))
    assert done_words(plan).startswith(
        "When done: SWITCH THIS PRESS OFF, nobody of the crew is in 08:40–09:00 and 09:30–13:30. "
        "Bo switches it on again at 13:30, "
    )


@pytest.mark.parametrize(("minutes", "cold"), [(59, False), (60, True)])
def test_over_a_break_of_an_hour_with_nobody_else_in_presses_are_off(minutes: int, cold: bool) -> None:
    """Ann, alone, goes home over noon: her run is over before, or begun after, and the press cold then."""
    noon = (time(12), (at(12) + timedelta(minutes=minutes)).time())
    back = datetime.combine(MONDAY, noon[1])
    plan = day(person(breaks=(noon,)), garments_in=back - timedelta(minutes=70))
    assert press_off(plan, plan.runs[0], "Main") is not None
    later = day(person(breaks=(noon,)), garments_in=back)
    assert (later.runs[1].pressing_start >= back + timedelta(minutes=10)) is cold
    follow(plan)
    follow(later)
    # Somebody else is in: nothing goes off for it.
    two = day(person(breaks=(noon,)), person("Bo"), garments_in=back)
    assert two.runs[1].pressing_start < back + timedelta(minutes=10)


def test_no_run_pauses_over_a_break_for_which_its_press_goes_off() -> None:
    base = replace(shop(), crew=(person(breaks=((time(9), time(10)),)),))
    one = order("1", line(print_("front", artwork="crest"), sizes={"M": 90}), cut_off=at(15))
    problem = build_day(base, (one,), MONDAY)
    schedule = solved(problem.instance).schedule
    assert check(problem.instance, schedule).passed and not schedule.left_over
    ticks = [(5400, 6000)]
    assert not any(done.start < first < done.end for done in schedule.tasks for first, _ in ticks)


@pytest.mark.parametrize("moment", [at(8, 15), at(8, 10, 6)])
def test_who_leaves_at_the_moment_in_the_middle_of_a_run_switches_off_before(moment: datetime) -> None:
    plan = day(garments_in=at(11, 20))
    away = Disruptions(away=(PersonAway(person="Ann", start=moment, end=at(11, 30)),))
    on = follow(plan)
    new = planned_again(plan, moment, between=away)
    assert off_at_once(new) == ["Main"]
    assert idle_notes(new) == (
        f"SWITCH OFF at {moment:%H:%M}, not needed for now: Main (Ann, before leaving).",
    )
    follow(new, on)
    (sheet,) = [one for one in sheet_days(new, "operator", "Ann") if one.day == MONDAY]
    assert "SWITCH OFF Main" in str(section(new, sheet)["entries"])
    change = compare(plan, new, moment)
    assert ("operator", "Ann") in [(one.new.side, one.new.name) for one in change.swaps if one.new]
    later = planned_again(new, moment + timedelta(minutes=5))
    assert off_at_once(later) == [] and later.off == ("Main",)


def test_a_press_that_goes_down_while_it_is_on_is_to_be_switched_off() -> None:
    """While it presses, while it waits for its first run, and while it rests; not while it is off."""
    for moment, said in ((at(8, 15), True), (at(8, 5), True), (at(8, 30), True), (at(7, 50), False)):
        plan = day(garments_in=at(9))
        on = follow(plan)
        new = planned_again(plan, moment, between=Disruptions(down=(PressDown(press="Main"),)))
        assert off_at_once(new) == (["Main"] if said else [])
        words = f"SWITCH OFF at {moment:%H:%M}, not needed for now: Main, which is down (Ann)."
        assert idle_notes(new) == ((words,) if said else ())
        follow(new, on)
        later = planned_again(new, moment + timedelta(minutes=5))
        assert off_at_once(later) == []


def test_no_absence_is_on_the_sheet_of_a_later_day() -> None:
    plan = day(garments_in=at(11))
    new = planned_again(plan, at(9), between=Disruptions(away=(PersonAway(person="Ann", start=at(9, 30)),)))
    assert {run.start.date() for run in new.runs} == {MONDAY, date(2026, 3, 3)}
    sheets = {one.day: one for one in sheet_days(new, "operator", "Ann")}
    away = {
        day: [item for item in one.items if getattr(item, "kind", "") == "away"]
        for day, one in sheets.items()
    }
    assert away[MONDAY] and not away[date(2026, 3, 3)]


def test_planned_again_a_press_that_went_off_for_good_is_cold() -> None:
    """Main's last run on the sheets is over at 12:10; a rush order comes after that."""
    plan = day()
    last = plan.runs[1]
    rush = (order("3", line(print_("front", "hot film", "flag")), cut_off=at(17)),)
    later = last.end + timedelta(minutes=2)
    new = planned_again(plan, later, new=rush)
    run = next(run for run in new.runs if run.content.order == "3")
    assert run.pressing_start == new.warm_ups[-1].ready
    assert new.warm_ups[-1].start >= later and new.warm_ups[-1].by == "Ann"
    assert str(steps(new, run)[0]["text"]).startswith("Press is cold: Ann switches it on at ")
    assert off_at_once(new) == []
    # While that last run is under way nobody has switched off yet.
    early = planned_again(plan, last.end - timedelta(minutes=2), new=rush)
    assert len(early.warm_ups) == 2 and off_at_once(early) == []


def test_a_press_left_on_for_a_run_that_is_gone_is_switched_off() -> None:
    """It has pressed, rests hot for a while, and its next run is cancelled: no sheet in hand said off."""
    plan = day(garments_in=at(9))
    assert press_off(plan, plan.runs[0], "Main") is None
    new = planned_again(plan, at(8, 30), "2")
    assert off_at_once(new) == ["Main"]
    assert idle_notes(new) == ("SWITCH OFF at 08:30, not needed for now: Main (Ann).",)
    change = compare(plan, new, at(8, 30))
    said = {one.name: one for one in told(plan, new, (), change, "operator")}
    assert any("SWITCH OFF" in line and "Main" in line for line in said["Ann"].added)
    later = planned_again(new, at(9))
    assert off_at_once(later) == [] and later.off == ("Main",)


def test_somebody_in_all_the_while_on_a_break_is_in() -> None:
    plan = day(person(breaks=((time(8, 30), time(9)),)), garments_in=at(9, 5))
    assert press_off(plan, plan.runs[0], "Main") is None


def test_planned_again_a_press_that_is_off_is_cold_and_one_that_heats_is_heating() -> None:
    plan = day()
    off = plan_rest(plan, (), state_at(plan, [], at(10)))
    (machine,) = off.instance.machines
    assert (machine.hot, machine.warming, off.cooled) == (False, None, ("Main",))
    heats = plan_rest(plan, (), state_at(plan, [], at(11, 51)))
    # The run begins within the notice: it stays as it is, press and all.
    (machine,) = heats.instance.machines
    assert machine.hot is True and heats.cooled == ()
    before = plan_rest(plan, (), state_at(plan, [], at(11, 42)))
    (machine,) = before.instance.machines
    assert (machine.hot, machine.warming) == (False, (7100, 7200))
    on = plan_rest(plan, (), state_at(plan, [], at(8, 15)))
    assert on.instance.machines[0].hot is True and on.cooled == ()
    # In the whole day it was hot all the while; the sheets have the warm-up, and the check of the day holds.
    assert (
        len(
            merged(off, Schedule(tasks=(), warm_ups=(WarmUp(machine="Main", start=7100, end=7200),))).warm_ups
        )
        == 1
    )


def test_how_a_press_stands_that_goes_off_in_between() -> None:
    plan = day()
    stands = [
        (one.hot, one.set_to_c, one.hot_from)
        for moment in (at(8, 15), at(10), at(11, 55), at(12))
        for one in state_at(plan, [], moment).presses
    ]
    assert stands[0][0] and stands[1] == (False, None, None)
    assert stands[2] == (False, 160, at(12))
    assert stands[3][:2] == (True, 160)


def test_a_press_that_no_sheet_has_told_to_go_off_is_switched_off_at_once() -> None:
    """Until now the next run was at 9:10, so the press is on; garments that come at noon leave it idle."""
    plan = replace(day(), at=at(9))
    assert off_at_once(plan) == ["Main"]
    assert idle_notes(plan) == ("SWITCH OFF at 09:00, not needed for now: Main (Ann).",)
    (sheet,) = sheet_days(plan, "operator", "Ann")
    assert "SWITCH OFF Main: not needed for now" in str(section(plan, sheet)["entries"])
    assert "SWITCH OFF Main" in str(sheets_data(plan, [sheet], since=at(9)))
    assert [(one.already, one.off) for one in switch_on(plan)] == [(True, at(9)), (False, plan.runs[1].end)]
    # One that was off by the sheets in hand isn't told again.
    told = replace(plan, off=("Main",))
    assert off_at_once(told) == [] and idle_notes(told) == ()
    assert "SWITCH OFF" not in str(section(told, *sheet_days(told, "operator", "Ann"))["entries"])


def test_who_is_away_is_not_in() -> None:
    plan = replace(day(), between=Disruptions(away=(PersonAway(person="Ann", start=at(9), end=at(11)),)))
    off = press_off(plan, plan.runs[0], "Main")
    assert off is not None and off.empty == ((at(9), at(11)),)


def test_presence() -> None:
    shifts = [
        Absence(operator="Ann", start=at(8), end=at(12)),
        Absence(operator="Bo", start=at(12, 4), end=at(16)),
    ]
    breaks = [
        Absence(operator="Ann", start=at(8, 30), end=at(9, 29)),
        Absence(operator="Bo", start=at(13), end=at(14)),
    ]
    away = (PersonAway(person="Bo", start=at(15)),)
    # Over an hour and more people go home; over less they are in.
    assert presence(shifts, (), away, breaks) == [
        (at(8), at(12)),
        (at(12, 4), at(13)),
        (at(14), at(15)),
    ]
    spans = presence(shifts, (), away, breaks[:1])
    assert spans == [(at(8), at(12)), (at(12, 4), at(15))]
    assert empty_between(spans, at(9), at(14)) == []  # 4 minutes are too little
    assert empty_between(spans, at(7), at(16)) == [(at(7), at(8)), (at(15), at(16))]


def two_on_a_circuit(limit_w: int) -> Instance:
    return Instance(
        name="day",
        horizon=9000,
        machines=(Machine(id="Main", circuit="A", watts=1500), Machine(id="Other", circuit="A", watts=1500)),
        circuits=(instance.Circuit(id="A", limit_w=limit_w),),
        jobs=(),
        tasks=(),
    )


@pytest.mark.parametrize(
    ("limit_w", "first", "tick"),
    [(3000, 0, 900), (2900, 0, 850), (2900, 850, 850), (2900, 851, None), (3000, 901, None)],
)
def test_it_heats_as_late_as_its_circuit_allows(limit_w: int, first: int, tick: int | None) -> None:
    """The other press heats from 950 to 1050; 100 ticks are wanted by 1000."""
    busy = (WarmUp(machine="Other", start=950, end=1050),)
    assert latest_start(two_on_a_circuit(limit_w), "Main", busy, first, 900, 100) == tick


def sleeve_first() -> Plan:
    """The second run at the press waits for its garments, which are pressed elsewhere meanwhile."""
    base = replace(shop(), presses=(press(), press("Other", mounted="sleeve")))
    first = order("1", line(print_("front", artwork="crest")), cut_off=at(15))
    both = line(print_("sleeve", artwork="flag"), print_("front", artwork="flag"), sizes={"M": 180})
    problem = build_day(base, (first, order("2", both, cut_off=at(17))), MONDAY)
    return plan_of(
        problem,
        [
            ("1-front", WARM, "Ann"),
            ("2-sleeve", "Other / sleeve", "Ann"),
            ("2-front", WARM, "Ann"),
        ],
    )


def earliest(of: Plan) -> float:
    """The earliest start of the second run in replayed days, in ticks."""
    found = Replays(of, Spread(day=0.5), replays=50)
    names = [node.task for node in found.network.nodes]
    return float(found.replayed.start[:, names.index("2-front")].min())


def without_last_warm_up(plan: Plan) -> Plan:
    return replace(plan, warm_ups=plan.warm_ups[:-1])


def test_no_replayed_day_presses_before_the_press_is_hot_again() -> None:
    plan = sleeve_first()
    again = plan.warm_ups[-1]
    assert again.press == "Main" and again.ready == plan.runs[2].pressing_start
    hot = (again.ready - at(0)).total_seconds() / 6
    assert earliest(plan) == hot
    assert earliest(without_last_warm_up(plan)) < hot


def test_no_replayed_day_presses_before_a_press_is_hot_that_was_on_for_nothing() -> None:
    plan = sleeve_first()
    moment = at(8, 5)
    assert plan.warm_ups[0].start < moment < plan.runs[0].start
    new = planned_again(plan, moment, "1")
    assert off_at_once(new) == ["Main"]
    again = new.warm_ups[-1]
    assert again.press == "Main" and again.start > moment
    hot = (again.ready - at(0)).total_seconds() / 6
    assert earliest(new) == hot
    assert earliest(without_last_warm_up(new)) < hot


def test_whoever_is_to_switch_off_at_once_gets_a_new_sheet_that_stays_valid_after_it() -> None:
    printed = day()
    new = replace(printed, version=2, at=at(9))
    # Nothing else is new; where the press was off already, the sheets in hand stay valid.
    assert compare(printed, replace(new, off=("Main",)), at(9)).swaps == ()
    change = compare(printed, new, at(9))
    assert ("operator", "Ann") in [(one.new.side, one.new.name) for one in change.swaps if one.new]
    said = {one.name: one for one in told(printed, new, (), change, "operator")}
    assert any("SWITCH OFF" in line and "Main" in line for line in said["Ann"].added)
    later = replace(new, version=3, at=at(10), off=("Main",))
    assert compare(replace(new, paper=change.in_hand), later, at(10)).swaps == ()


def planned_again(
    plan: Plan,
    moment: datetime,
    *orders: str,
    new: tuple[Order, ...] = (),
    between: Disruptions | None = None,
    search: bool = False,
    events: Sequence[Event] = (),
) -> Plan:
    """The rest of a day without the orders that are cancelled, searched and checked."""
    state = state_at(plan, events, moment)
    rest = plan_rest(plan, new, state, between=between or Disruptions(cancelled=orders))
    result = (
        solve(rest.instance, effort="quick", near=rest.kept) if search else solved(rest.instance, rest.kept)
    )
    verdict = check(rest.instance, result.schedule)
    assert verdict.passed
    whole = check(rest.problem.instance, merged(rest, result.schedule))
    found = plan_again(rest, result, verdict, whole, (), version=plan.version + 1)
    return replace(found, at=moment)


def test_a_press_that_is_on_for_a_run_that_is_gone_is_switched_off_till_it_is_due_again() -> None:
    """Main is on since 8:00 for the run of order 1, which is cancelled; order 2 follows at noon."""
    plan = day()
    new = planned_again(plan, at(8, 5), "1")
    assert off_at_once(new) == ["Main"]
    assert idle_notes(new) == ("SWITCH OFF at 08:05, not needed for now: Main (Ann).",)
    (second,) = new.runs
    assert str(steps(new, second)[0]["text"]) == (
        "Press is cold: Ann switches it on at 11:50, ready at 12:00."
    )
    assert [(one.already, one.warm_up.start, one.run, one.off) for one in switch_on(new)] == [
        (True, at(8), None, at(8, 5)),
        (False, at(11, 50), second.number, second.end),
    ]
    change = compare(plan, new, at(8, 5))
    said = {one.name: one for one in told(plan, new, (), change, "operator")}
    assert any("SWITCH OFF" in line and "Main" in line for line in said["Ann"].added)
    assert not any("switch on" in line for line in said["Ann"].dropped)
    # Off by those sheets: later it is cold, and nobody is told once more.
    for moment, hot in ((at(9), False), (at(11, 55), False), (at(12), True)):
        (stands,) = state_at(new, [], moment).presses
        assert (stands.hot, stands.set_to_c) == (hot, None if moment == at(9) else 160)
    rest = plan_rest(new, (), state_at(new, [], at(9)))
    assert (rest.instance.machines[0].hot, rest.instance.machines[0].warming) == (False, None)
    later = planned_again(new, at(9))
    assert later.off == ("Main",) and off_at_once(later) == []
    assert [one.start for one in later.warm_ups] == [at(8), at(11, 50)]
    # On once more, and its run gone as well.
    on = planned_again(later, at(11, 55), "2")
    assert on.off == () and off_at_once(on) == ["Main"]


def test_a_press_that_is_on_with_no_run_left_is_switched_off() -> None:
    plan = day()
    new = planned_again(plan, at(11, 45), "2")
    assert off_at_once(new) == [] and [one.warm_up.start for one in switch_on(new)] == []
    for moment in (at(11, 49), at(11, 52)):
        new = planned_again(plan, moment, "2")
        on = moment > at(11, 50)
        assert off_at_once(new) == (["Main"] if on else [])
        assert [(one.already, one.off) for one in switch_on(new)] == ([(True, moment)] if on else [])
        assert any("SWITCH OFF" in note for note in idle_notes(new)) is on
        later = planned_again(new, at(13))
        assert off_at_once(later) == [] and switch_on(later) == []


def test_a_press_that_is_on_for_a_run_put_off_by_little_stays_on() -> None:
    plan = day(garments_in=at(9))
    new = planned_again(plan, at(8, 5), "1")
    assert off_at_once(new) == [] and idle_notes(new) == ()
    assert [one.start for one in new.warm_ups] == [at(8)]
    assert [(one.already, one.off) for one in switch_on(new)] == [(True, new.runs[0].end)]
    # That run gone too.
    assert off_at_once(planned_again(new, at(8, 30), "2")) == ["Main"]


def test_a_warm_up_within_the_notice_is_put_off_with_its_run() -> None:
    """Nobody has switched on yet: the press isn't told to go off, nor to go on."""
    plan = day()
    new = planned_again(plan, at(7, 55), "1")
    assert off_at_once(new) == [] and [one.start for one in new.warm_ups] == [at(11, 50)]
    assert plan_rest(new, (), state_at(new, [], at(9))).instance.machines[0].warming is None


@pytest.mark.parametrize("moment", [at(16, 30), at(16, 55), at(17, 1), at(20), at(23, 55)])
def test_planned_again_when_all_have_gone_home_presses_are_cold_in_the_morning(moment: datetime) -> None:
    """Nobody is in from 16:00 on, and the shop closes at 17:00: an order for the next day."""
    plan = day()
    assert len(plan.dates) > 1
    on = follow(plan)
    rush = (order("9", line(print_("front", "hot film", "flag")), cut_off=datetime(2026, 3, 3, 12)),)
    new = planned_again(plan, moment, new=rush)
    follow(new, on)
    (run,) = [run for run in new.runs if run.content.order == "9"]
    again = new.warm_ups[-1]
    assert run.start.date() == again.start.date() == date(2026, 3, 3)
    assert again.start >= datetime(2026, 3, 3, 8) and run.pressing_start >= again.ready


def test_where_the_first_of_the_day_does_not_come_nobody_is_to_switch_on_before_the_next_does() -> None:
    """Ann would open at 8:00 and is away; Bo comes at 13:30, and no timer is meant for that."""
    plan = day(person(), person("Bo", start=time(13, 30)), second="Bo", garments_in=at(11))
    for moment, back, first in ((at(7, 40), None, at(13, 30)), (at(7, 50), at(9, 10), at(9, 10))):
        away = PersonAway(person="Ann", start=at(8), end=back)
        new = planned_again(plan, moment, between=Disruptions(away=(away,)), search=True)
        begun = [one for one in new.warm_ups if one.start.date() == MONDAY]
        assert begun and all(one.by and one.start >= first for one in begun)
        follow(new, follow(plan))


@pytest.mark.parametrize("moment", [at(13), at(13, 21), at(13, 25), at(13, 40)])
def test_a_press_that_is_off_while_nobody_is_in_is_not_to_be_switched_off_again(moment: datetime) -> None:
    """From 11:40 to 13:30 nobody is in; Bo switches on for a run at 14:30, and the other press stays off."""
    made = day(EARLY, person("Bo", start=time(13, 30)), second="Bo", garments_in=at(14, 30))
    plan = planned_again(made, at(9))
    assert plan.warm_ups[1].start > at(13, 40)
    new = planned_again(plan, moment)
    assert off_at_once(new) == [] and idle_notes(new) == () and new.off == ("Main",)
    follow(new, follow(plan, follow(made)))
