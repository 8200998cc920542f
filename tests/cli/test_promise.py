"""`pressday promise`: what new orders would cost, with nothing changed."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime, time, timedelta
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from scheduler.cli.books import open_day
from scheduler.cli.looked import Looked, Looking
from scheduler.cli.promise_words import Asked, promise_lines
from scheduler.cli.promised import REFINEMENTS, HelpAnswer, Promise, promise_for
from scheduler.daybook.state import state_at
from scheduler.domain.instance import Instance
from scheduler.domain.orders import Order
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import Result, Schedule, Status
from scheduler.planning.again import plan_rest
from scheduler.planning.calendar import tick_at_or_before
from scheduler.planning.helps import TryOut
from scheduler.planning.promise import MadeLate, asked_by, asked_earliest, made_late
from tests.cli.conftest import DAY, Run
from tests.cli.test_rush import AT, new_orders
from tests.sheets.sample_plan import sample_plan

__all__ = ["new_orders"]


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def ask(run: Run, orders: Path, planned_once: Path, *words: str) -> Any:
    shop = planned_once.parent.parent / "shop.xlsx"
    return run("promise", orders, "--at", AT, "--shop", str(shop), *words)


def test_it_answers_and_leaves_everything_as_it_was(run: Run, planned_once: Path, new_orders: Path) -> None:
    before = contents(planned_once.parent)
    result = ask(run, new_orders, planned_once, "--json")
    assert result.exit_code == 0, result.output
    document = json.loads(result.stdout)
    assert contents(planned_once.parent) == before
    (order,) = document["orders"]
    assert (document["version"], document["fits"], order["id"]) == (1, True, "N1")
    assert order["never_before"] <= order["earliest"] <= order["by"]
    assert (document["late_if_by"], document["help"], document["late_at_the_earliest"]) == ([], [], [])
    assert "It fits: nothing else becomes late." in result.stderr
    again = ask(run, new_orders, planned_once, "--json")
    assert again.stdout == result.stdout, "the same question, the same answer"


def test_what_was_promised_can_be_kept(run: Run, planned_once: Path, new_orders: Path) -> None:
    """A rush with the promised hour as its cut-off finds a plan that holds it, with nothing late."""
    document = json.loads(ask(run, new_orders, planned_once, "--json").stdout)
    shop = str(planned_once.parent.parent / "shop.xlsx")
    result = run("rush", new_orders, "--at", AT, "--shop", shop, "--json")
    (order,) = [one for one in json.loads(result.stdout)["orders"] if one["id"] == "N1"]
    assert order["finished"] >= document["orders"][0]["never_before"]
    assert order["late_minutes"] == 0


def test_an_hour_that_no_plan_can_hold_is_refused_with_help_tried(
    run: Run, planned_once: Path, new_orders: Path
) -> None:
    result = ask(run, new_orders, planned_once, "--by", "08:21", "--json")
    document = json.loads(result.stdout)
    assert document["fits"] is False
    (order,) = document["orders"]
    assert order["by"] == f"{DAY}T08:21:00" < order["never_before"]
    assert "no plan can have it by then" in result.stderr
    kinds = [one["kind"] for one in document["help"]]
    assert kinds == sorted(kinds, key=["split", "overtime", "person"].index) and "overtime" in kinds
    assert not any(one["fits"] for one in document["help"])
    assert "not enough in a short search" in result.stderr
    assert "No help that was tried makes it fit" in result.stderr
    assert [one["others_late"] >= 0 for one in document["help"]] == [True] * len(kinds)


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


@pytest.mark.parametrize(("words", "code"), [(("--by", "late"), 2), (("--by", "12:00"), 0)])
def test_by_is_a_time(
    words: tuple[str, str], code: int, run: Run, planned_once: Path, new_orders: Path
) -> None:
    assert ask(run, new_orders, planned_once, "--seconds", "0", *words).exit_code == code


def test_an_order_that_is_planned_already_is_no_question(run: Run, planned_once: Path, shop: Path) -> None:
    result = ask(run, shop / "orders.xlsx", planned_once)
    assert result.exit_code == 1
    assert "which the plan has already" in result.stdout
    assert "Nothing was asked." in result.stdout


def answered(planned_once: Path, orders: Path, cut_off: datetime) -> tuple[Plan, Order, Promise]:
    """The answer for a sample order that is larger."""
    from scheduler.cli.again import read_new

    with open_day(planned_once, None) as day:
        plan, events = day.plan, day.events
    (order,), _ = read_new([orders], plan.shop, plan.day)
    at = datetime.fromisoformat(AT)
    state = state_at(plan, events, at)
    answer = promise_for(
        lambda split: plan_rest(plan, (order,), state, split=split),
        plan_rest(plan, (), state),
        {order.id: tick_at_or_before(plan.day, cut_off, plan.instance.tick_s)},
        Looking(seconds=None, seed=1),
        effort="quick",
    )
    return plan, order, answer


def large(orders: Path, factor: int) -> Path:
    workbook = openpyxl.load_workbook(orders)
    sheet = workbook["Orders"]
    head = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "Order")
    for cell in sheet[head.row]:
        if isinstance(sheet.cell(head.row + 1, cell.column).value, int):
            sheet.cell(head.row + 1, cell.column).value *= factor
    workbook.save(orders)
    return orders


def test_what_becomes_late_is_named_when_it_must_be_ready(planned_once: Path, new_orders: Path) -> None:
    soon = datetime.fromisoformat(AT) + timedelta(minutes=40)
    plan, order, pressed = answered(planned_once, large(new_orders, 2), soon)
    assert pressed.earliest[order.id] >= pressed.never_before[order.id]
    if not pressed.fits:
        assert pressed.at_by[order.id] >= pressed.never_before[order.id]
        assert pressed.late or plan.instance.tick_s * pressed.at_by[order.id] > 8 * 3600 + 50 * 60
        assert pressed.helps
    for one in pressed.late:
        assert one.late > one.before >= 0 and one.order != order.id


def test_the_questions_change_cut_offs_and_weights_only(planned_once: Path, new_orders: Path) -> None:
    from scheduler.cli.again import read_new

    with open_day(planned_once, None) as day:
        plan, events = day.plan, day.events
    (order,), _ = read_new([new_orders], plan.shop, plan.day)
    rest = plan_rest(plan, (order,), state_at(plan, events, datetime.fromisoformat(AT)))
    stands = {job.id: 9_999 for job in rest.instance.jobs}
    for asked in (
        asked_earliest(rest.instance, {order.id: 5}, stands),
        asked_by(rest.instance, {order.id: 5}),
    ):
        assert asked.tasks == rest.instance.tasks and asked.operators == rest.instance.operators
        jobs = {job.id: job for job in asked.jobs}
        assert jobs[order.id].due == 5
        assert {job.id for job in asked.jobs} == set(stands)
    earliest = {job.id: job for job in asked_earliest(rest.instance, {order.id: 5}, stands).jobs}
    assert all(job.due == 9_999 for name, job in earliest.items() if name != order.id)


def test_made_late_is_what_is_later_than_it_was() -> None:
    late, before = {"A": 30, "B": 10, "C": 5, "D": 0}, {"A": 10, "B": 10}
    assert made_late(late, before) == (
        MadeLate(order="A", late=30, before=10),
        MadeLate(order="C", late=5, before=0),
    )


def test_the_hour_asked_for_plays_no_part_in_the_earliest_one_and_rush_is_no_earlier(
    run: Run, planned_once: Path, new_orders: Path
) -> None:
    """Asked with and without an hour, the earliest is the same; what rush gives is no earlier."""
    large(new_orders, 4)
    shop = str(planned_once.parent.parent / "shop.xlsx")

    def earliest(*words: str) -> str:
        document = json.loads(ask(run, new_orders, planned_once, *words, "--json").stdout)
        assert document["late_at_the_earliest"] == []
        return str(document["orders"][0]["earliest"])

    plain = earliest()
    assert [earliest("--by", by) for by in ("09:30", "12:00")] == [plain, plain]
    result = run("rush", new_orders, "--at", AT, "--shop", shop, "--effort", "quick", "--json")
    (order,) = [one for one in json.loads(result.stdout)["orders"] if one["id"] == "N1"]
    assert order["finished"] >= plain


class Searches:
    """Searches that give what a test says, in turn, and note what each was begun with."""

    def __init__(self, ready: list[dict[str, int]], late: list[dict[str, int]] | None = None) -> None:
        self.ready, self.late = ready, late or []
        self.begun: list[object] = []
        self.seconds, self.over = None, False

    def as_it_stands(self, tried: TryOut) -> Looked:
        return self._looked(tried, {}, {})

    def look(self, tried: TryOut, asked: Instance, effort: object, near: Schedule | None = None) -> Looked:
        at = len(self.begun)
        self.begun.append(near)
        ready = self.ready[min(at, len(self.ready) - 1)]
        return self._looked(tried, ready, self.late[at] if at < len(self.late) else {})

    @staticmethod
    def _looked(tried: TryOut, ready: dict[str, int], late: dict[str, int]) -> Looked:
        result = Result(status=Status.FEASIBLE, schedule=tried.kept)
        schedule = replace(tried.kept, warm_ups=())
        return Looked(schedule=schedule, result=result, finished=ready, late=late)


def with_searches(planned_once: Path, orders: Path, searches: Searches, by: int) -> Promise:
    from scheduler.cli.again import read_new

    with open_day(planned_once, None) as day:
        plan, events = day.plan, day.events
    new, _ = read_new([orders], plan.shop, plan.day)
    state = state_at(plan, events, datetime.fromisoformat(AT))
    return promise_for(
        lambda split: plan_rest(plan, new, state, split=split),
        plan_rest(plan, (), state),
        {order.id: by for order in new},
        searches,  # type: ignore[arg-type]
        effort="quick",
    )


def test_the_earliest_is_looked_for_from_what_rush_gives(planned_once: Path, new_orders: Path) -> None:
    """The first search is that of rush; the others begin with the best that there is."""
    searches = Searches([{"N1": 9_000}, {"N1": 9_500}])
    found = with_searches(planned_once, new_orders, searches, by=9_100)
    assert found.earliest == {"N1": 9_000} and found.fits and found.at_by == {}
    assert searches.begun[0] is None
    assert all(isinstance(near, Schedule) for near in searches.begun[1:])


def test_a_way_that_is_found_for_the_hour_asked_for_is_not_denied(
    planned_once: Path, new_orders: Path
) -> None:
    """An hour that is held with nothing else made late fits, even where each can't be at its earliest."""
    rounds = 2 + REFINEMENTS
    searches = Searches([{"N1": 9_000}] * rounds + [{"N1": 8_000}])
    found = with_searches(planned_once, new_orders, searches, by=8_500)
    assert (found.earliest, found.fits, found.helps) == ({"N1": 8_000}, True, ())
    searches = Searches([{"N1": 9_000}] * rounds + [{"N1": 8_000}], [{}] * rounds + [{"1001": 50}])
    found = with_searches(planned_once, new_orders, searches, by=8_500)
    assert (found.earliest, found.fits, found.at_by) == ({"N1": 9_000}, False, {"N1": 8_000})


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
