"""What is said of new orders: what it takes, and how an hour that is promised is held."""

from __future__ import annotations

from datetime import datetime, time

from scheduler.answers.promise import promise_lines
from scheduler.domain.orders import Order
from scheduler.workflow.promise import Asked
from scheduler.workflow.promise_questions import HelpAnswer, Promise
from tests.sheets.sample_plan import sample_plan


def test_an_answer_says_what_it_takes_and_how_to_hold_it() -> None:
    plan = sample_plan()
    day, minute = plan.day, 60 // plan.instance.tick_s

    def asked(overtime: tuple[int, int], *helps: HelpAnswer, by: time = time(20)) -> list[str]:
        answer = Promise(
            by={"N1": (60 * by.hour + by.minute) * minute},
            earliest={"N1": 700 * minute + 1},
            never_before={} if by == time(20) else {"N1": 652 * minute},
            beside=(),
            fits=not helps,
            at_by={},
            late=(),
            helps=helps,
            stopped=None,
            overtime=overtime,
        )
        wanted = {"N1": datetime.combine(day, by)}
        new = (Order(id="N1", customer="New", cut_off=datetime.combine(day, time(20)), lines=()),)
        at = datetime.combine(day, time(9))
        return promise_lines(Asked(plan=plan, new=new, at=at, wanted=wanted, answer=answer))

    plain = asked((0, 0))
    assert "It fits: nothing else becomes late." in plain
    named = "  N1 New, 0 pieces: ready at 11:41, in time for "
    assert f"{named}its cut-off, 20:00" in plain
    hold = (
        "Promise an hour from the earliest to the one wanted (N1: 11:41 to 20:00) and write it as the cut-off"
    )
    assert any(line.startswith(f"{hold}; then accept") for line in plain), plain
    # Three hours of one order, each with what it is.
    never = " (before 10:52 no plan of the day as it stands can have it ready)"
    assert f"{named}the hour asked for, 12:00{never}" in asked((0, 0), by=time(12))
    late = asked((0, 0), HelpAnswer(kind="split", ready={}, fits=False), by=time(11))
    assert f"  N1 New, 0 pieces: ready at 11:41, 41 min after the hour asked for, 11:00{never}" in late
    assert "If it must be ready by then and other orders yield:" in late
    longer = asked((30 * minute, 0))
    assert (
        "It fits: nothing else becomes late, with 30 minutes of overtime in all (none without it)." in longer
    )
    in_time_but = HelpAnswer(kind="split", ready={"N1": 710 * minute}, fits=False, beside=3)
    lines = asked((0, 0), in_time_but)
    assert any(line.endswith("(N1 at 11:50, and 3 other orders late for it)") for line in lines), lines


def test_no_way_is_said_to_be_found_only_where_no_help_gives_one() -> None:
    plan = sample_plan()
    minute = 60 // plan.instance.tick_s

    def by_lines(ready: int) -> list[str]:
        answer = Promise(
            by={"N1": 660 * minute},
            earliest={"N1": 700 * minute},
            never_before={},
            beside=(),
            fits=False,
            at_by={"N1": 690 * minute},
            late=(),
            helps=(HelpAnswer(kind="split", ready={"N1": ready * minute}, fits=ready <= 660),),
            stopped=None,
        )
        new = (Order(id="N1", customer="New", cut_off=datetime.combine(plan.day, time(20)), lines=()),)
        at, wanted = (datetime.combine(plan.day, time(hour)) for hour in (9, 11))
        return promise_lines(Asked(plan=plan, new=new, at=at, wanted={"N1": wanted}, answer=answer))

    without = "  N1 can't be: no way was found, whatever yields to it; 11:30 is the earliest that was found"
    assert without in by_lines(670)
    helped = [line for line in by_lines(650) if line.startswith("  N1 can't be")]
    assert helped == [
        "  N1 can't be without help: 11:30 is the earliest that was found, whatever yields to it; "
        "what helps stands below"
    ]


def test_an_hour_asked_for_after_the_cut_off_does_not_hide_that_the_cut_off_is_missed() -> None:
    plan = sample_plan()
    minute = 60 // plan.instance.tick_s

    def said(cut_off: time, *, yields: bool = False) -> list[str]:
        ready = {"N1": 700 * minute}
        answer = Promise(
            by={"N1": 16 * 60 * minute},
            earliest={} if yields else ready,
            never_before={},
            beside=(),
            fits=not yields,
            at_by=ready if yields else {},
            late=(),
            helps=(),
            stopped=None,
        )
        new = (Order(id="N1", customer="New", cut_off=datetime.combine(plan.day, cut_off), lines=()),)
        at, wanted = (datetime.combine(plan.day, time(hour)) for hour in (9, 16))
        return promise_lines(Asked(plan=plan, new=new, at=at, wanted={"N1": wanted}, answer=answer))

    ready = "  N1 New, 0 pieces: ready at 11:40, in time for the hour asked for, 16:00"
    missed = said(time(11, 30))
    assert f"{ready}, but 10 min after its cut-off, 11:30" in missed
    assert missed[-1].startswith("The hour asked for is after what the file has as the cut-off (N1: 11:30)")
    met = said(time(11, 40))
    assert ready in met and "(N1: 11:40)" in met[-1]
    own = said(time(16))
    assert "  N1 New, 0 pieces: ready at 11:40, in time for its cut-off, 16:00" in own
    assert own[-1].startswith("Promise an hour")
    assert "  N1 is ready at 11:40, but 10 min after its cut-off, 11:30" in said(time(11, 30), yields=True)
    assert "  N1 is ready at 11:40" in said(time(11, 40), yields=True)
