"""Orders changed after the day was planned: other pieces, another cut-off, read again as they are now."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from scheduler.domain.disruptions import (
    NOTHING,
    BoxLate,
    Disruptions,
    OrderChange,
    PersonAway,
    PressDown,
)
from scheduler.domain.orders import Order, OrderLine, Sized
from scheduler.domain.plan import Plan
from scheduler.exceptions import BadInput
from scheduler.planning import assemble_plan
from scheduler.planning.again import merged, plan_again
from scheduler.planning.asked import doubts_of_asked, faults_of_asked
from scheduler.planning.build import build_day
from scheduler.planning.changed import as_it_is, names_meant
from scheduler.planning.fewer import with_fewer
from scheduler.planning.rest import plan_rest
from scheduler.sheets.changes import came_in_between, came_since_the_morning
from scheduler.verify import check
from tests.planning.shops import MONDAY, print_, shop
from tests.planning.shops import line as a_line
from tests.planning.shops import order as an_order
from tests.planning.test_again import AT, FROM, printed, solved, state_at

__all__ = ["printed"]


def again(plan: Plan, *changed: Order, at: datetime = AT) -> Plan:
    rest = plan_rest(plan, (), state_at(plan, (), at), changed=changed)
    result = solved(rest.instance, rest.kept)
    verdict = check(rest.instance, result.schedule)
    assert verdict.passed
    whole = check(rest.problem.instance, merged(rest, result.schedule))
    return plan_again(rest, result, verdict, whole, plan.as_they_come, version=plan.version + 1)


def times(order: Order, factor: float, most: int = 10_000) -> Order:
    """The order with so many times the pieces of every size."""

    def line(one: OrderLine) -> OrderLine:
        sizes = tuple(
            Sized(size=sized.size, quantity=min(most, max(1, round(sized.quantity * factor))))
            for sized in one.sizes
        )
        return replace(one, sizes=sizes)

    return replace(order, lines=tuple(line(one) for one in order.lines))


def open_order(plan: Plan) -> Order:
    """One of which nothing is begun."""
    begun = {run.content.order for run in plan.runs if run.start < FROM}
    return next(order for order in plan.given if order.id not in begun and order.quantity > 5)


def order_under_way(plan: Plan) -> Order:
    """One with a run that is begun and one that is not."""
    begun = {run.content.order for run in plan.runs if run.start < FROM}
    later = {run.content.order for run in plan.runs if run.start >= FROM}
    return next(order for order in plan.given if order.id in begun & later)


def pieces(plan: Plan, order: str, *, begun: bool) -> int:
    """Pieces x placements of the runs that are begun, or those that are not."""
    return sum(
        run.content.quantity * len(run.content.laid)
        for run in plan.runs
        if run.content.order == order and (run.start < FROM) == begun
    )


def prints(order: Order) -> int:
    return sum(line.quantity * len(line.prints) for line in order.lines)


def test_an_order_as_it_was_changes_nothing(printed: Plan) -> None:
    rest = plan_rest(printed, (), state_at(printed, (), AT), changed=printed.given)
    same = plan_rest(printed, (), state_at(printed, (), AT))
    assert rest.instance == same.instance and rest.problem.between == same.problem.between


def test_another_cut_off_counts_from_now_on(printed: Plan) -> None:
    order = open_order(printed)
    sooner = replace(order, cut_off=order.cut_off - timedelta(hours=1))
    new = again(printed, sooner)
    (planned,) = [one for one in new.orders if one.id == order.id]
    assert planned.cut_off == sooner.cut_off
    assert [one.cut_off for one in new.given if one.id == order.id] == [sooner.cut_off]
    under_way = order_under_way(printed)
    later = replace(under_way, cut_off=under_way.cut_off + timedelta(hours=1))
    new = again(printed, later)
    assert [one.cut_off for one in new.orders if one.id == later.id] == [later.cut_off]
    assert not new.between.fewer and len(new.given) == len(printed.given)


@pytest.mark.parametrize("factor", [2, 0.5])
def test_an_order_that_is_not_begun_is_planned_with_its_new_pieces(printed: Plan, factor: float) -> None:
    order = times(open_order(printed), factor)
    new = again(printed, order)
    assert pieces(new, order.id, begun=False) == prints(order)
    assert pieces(new, order.id, begun=True) == 0
    assert not [one.id for one in new.given if one.on_top_of]


def test_transfers_of_an_order_under_way_that_come_in_later_are_not_passed_over(printed: Plan) -> None:
    """Only what isn't begun could wait for them: that is what is said of its box."""
    under_way, not_begun = order_under_way(printed), open_order(printed)
    noon = AT.replace(hour=13, minute=0)

    def late(order: Order, when: datetime) -> Order:
        prints = tuple(replace(one, transfers_in=when) for one in order.lines[0].prints)
        return replace(order, lines=(replace(order.lines[0], prints=prints), *order.lines[1:]))

    with pytest.raises(BadInput) as refused:
        again(printed, late(under_way, noon))
    assert f"--late-box {under_way.id}=TIME" in str(refused.value.faults[0])
    assert again(printed, late(under_way, AT)).given, "they are here"
    box = Disruptions(late_boxes=(BoxLate(order=under_way.id, at=noon),))
    changed = (late(under_way, noon),)
    state = state_at(printed, (), AT)
    assert plan_rest(printed, (), state, changed=changed, between=box).problem.between.late_boxes
    new = again(printed, late(not_begun, noon))
    waiting = [run for run in new.runs if run.content.order == not_begun.id and run.content.ready == noon]
    assert waiting and all(run.pressing_start >= noon for run in waiting)


def test_what_came_in_since_the_morning_has_changed_orders_too(printed: Plan) -> None:
    """However many versions ago, and against what the order was in the morning."""
    order = open_order(printed)
    early, late = (order.cut_off + timedelta(hours=hours) for hours in (1, 2))
    then = again(printed, replace(order, cut_off=early))
    assert came_since_the_morning(then) == came_in_between(printed, then)
    new = again(then, replace(order, cut_off=late), at=AT + timedelta(minutes=5))
    (line,) = came_since_the_morning(new)
    assert line.startswith(f"Order {order.id}, ")
    assert f"{order.cut_off:%H:%M} becomes" in line and line.endswith(f"{late:%H:%M}")
    back = again(new, order, at=AT + timedelta(minutes=6))
    assert came_since_the_morning(back) == ()


def test_what_comes_on_top_of_an_order_under_way_is_an_order_of_its_own(printed: Plan) -> None:
    old = order_under_way(printed)
    order = times(old, 2)
    new = again(printed, order)
    (more,) = [one.id for one in new.given if one.on_top_of == order.id]
    assert pieces(new, order.id, begun=True) == pieces(printed, order.id, begun=True)
    assert pieces(new, order.id, begun=False) == pieces(printed, order.id, begun=False)
    assert pieces(new, more, begun=False) == prints(order) - prints(old)
    assert as_it_is(new, order.id).quantity == order.quantity
    rest = plan_rest(new, (), state_at(new, (), AT + timedelta(minutes=20)), changed=(order,))
    assert [one.id for one in rest.problem.orders] == [one.id for one in new.given], "said again, it is there"


def test_what_is_no_longer_wanted_is_left_out_of_what_is_not_begun_and_stays_out(printed: Plan) -> None:
    old = order_under_way(printed)
    order = times(old, 0.5)
    new = again(printed, order)
    assert pieces(new, order.id, begun=True) == pieces(printed, order.id, begun=True)
    left = pieces(new, order.id, begun=False)
    assert 0 < left < pieces(printed, order.id, begun=False)
    for run in new.runs:
        if run.content.order == order.id and run.start >= FROM:
            for piece in run.content.pieces:
                wanted = [
                    sized.quantity for line in order.lines for sized in line.sizes if sized.size == piece.size
                ]
                assert piece.quantity <= max(wanted)
    assert as_it_is(new, order.id).quantity == order.quantity
    once_more = again(new, at=AT + timedelta(minutes=20))
    whole = sum(pieces(once_more, order.id, begun=begun) for begun in (True, False))
    assert whole == sum(pieces(new, order.id, begun=begun) for begun in (True, False))


def test_other_garments_of_an_order_under_way_are_refused_and_further_ones_are_not(printed: Plan) -> None:
    order = order_under_way(printed)
    first = order.lines[0]
    other = replace(first, colour="never seen")
    with pytest.raises(BadInput, match="is under way, and it has other garments or prints now"):
        again(printed, replace(order, lines=(other, *order.lines[1:])))
    new = again(printed, replace(order, lines=(*order.lines, other)))
    (more,) = [one.id for one in new.given if one.on_top_of]
    assert pieces(new, more, begun=False) == first.quantity * len(first.prints)


def test_a_changed_order_that_is_not_in_the_plan_is_refused(printed: Plan) -> None:
    stranger = replace(open_order(printed), id="9999")
    with pytest.raises(BadInput, match='no order "9999" in it'):
        plan_rest(printed, (), state_at(printed, (), AT), changed=(stranger,))


def test_lots_that_are_begun_count_toward_what_is_wanted() -> None:
    def of(pieces: int) -> Order:
        return replace(an_order("1", a_line(print_("back"), sizes={"M": pieces})), id="1")

    problem = build_day(shop(), (of(101),), MONDAY)
    lots = ("1-back lot 1 of 2", "1-back lot 2 of 2")
    less = with_fewer(problem, [OrderChange(order=of(60), begun=lots[:1])])
    assert [less.contents[lot].quantity for lot in lots] == [51, 9]
    none = with_fewer(problem, [OrderChange(order=of(50), begun=lots[:1])])
    assert none.contents[lots[0]].quantity == 51 and lots[1] not in none.contents


def small(*orders: tuple[str, str, int]) -> Plan:
    """A plan of orders in one size: id, customer, pieces."""
    given = tuple(
        replace(
            an_order(name, a_line(print_("back"), print_("front"), sizes={"L": count})), customer=customer
        )
        for name, customer, count in orders
    )
    problem = build_day(shop(), given, MONDAY)
    result = solved(problem.instance)
    return assemble_plan(problem, result, check(problem.instance, result.schedule), ())


def with_pieces(plan: Plan, name: str, count: int) -> Order:
    order = next(one for one in plan.given if one.id == name)
    sizes = (Sized(size="L", quantity=count),)
    return replace(order, lines=tuple(replace(one, sizes=sizes) for one in order.lines))


def begun_at(plan: Plan, order: str) -> datetime:
    return min(run.start for run in plan.runs if run.content.order == order) + timedelta(minutes=1)


@pytest.mark.parametrize("begun", [False, True])
def test_an_order_that_is_called_like_pieces_on_top_stays_an_order(begun: bool) -> None:
    plan = small(("7001", "B", 40), ("7001 more", "A", 20))
    at = begun_at(plan, "7001") if begun else datetime.combine(MONDAY, datetime.min.time())
    new = again(plan, with_pieces(plan, "7001", 90), with_pieces(plan, "7001 more", 20), at=at)
    assert as_it_is(new, "7001").quantity == 90
    assert as_it_is(new, "7001 more") == plan.given[1]
    pressed = {run.content.order: run.content.customer for run in new.runs}
    assert pressed["7001 more"] == "A"
    on_top = [one for one in new.given if one.on_top_of]
    assert [(one.id.replace("\u00a0", " "), one.customer, one.quantity) for one in on_top] == (
        [("7001 more 2", "B", 50)] if begun else []
    )
    assert not any(line.startswith("New") for line in came_in_between(plan, new))


def test_an_order_that_comes_in_later_may_be_called_like_pieces_on_top() -> None:
    plan = small(("7001", "B", 40))
    at = begun_at(plan, "7001")
    more = again(plan, with_pieces(plan, "7001", 45), at=at)
    owners = replace(plan.given[0], id="7001 more", customer="A")
    rest = plan_rest(more, (owners,), state_at(more, (), at + timedelta(minutes=1)))
    assert len({one.id for one in rest.problem.orders}) == 3
    assert as_it_is(more, "7001").quantity == 45


@pytest.mark.parametrize(
    ("typed", "meant"),
    [(str.upper, True), (lambda name: f" {name.lower()} ", True), (lambda name: name[:-1], False)],
)
def test_presses_and_people_are_matched_without_regard_to_capitals_and_spaces(
    typed: Callable[[str], str], meant: bool
) -> None:
    plan = small(("7001", "B", 40))
    press, person = plan.shop.presses[0].name, plan.shop.crew[0].name
    found = names_meant(
        plan,
        Disruptions(
            down=(PressDown(press=typed(press)),), away=(PersonAway(person=typed(person), start=AT),)
        ),
    )
    assert [one.press for one in found.down] == [press if meant else typed(press)]
    assert [one.person for one in found.away] == [person if meant else typed(person)]
    codes = [fault.code for fault in faults_of_asked(plan, AT, found, ())]
    assert codes == ([] if meant else ["no-such-press", "no-such-person"])


NOON = datetime.combine(MONDAY, datetime.min.time()) + timedelta(hours=12)


@pytest.mark.parametrize(
    ("garments", "transfers", "note", "told"),
    [
        (None, (NOON, NOON), "", "transfers come in at 12:00"),
        (None, (None, NOON), "", "last transfers come in at 12:00"),
        (NOON, (None, None), "", "garments come in at 12:00"),
        (
            NOON + timedelta(days=1),
            (NOON, NOON),
            "fold",
            "garments come in at Tue 3 Mar 12:00, transfers come in at 12:00",
        ),
        (None, (None, None), "fold", "other notes"),
    ],
)
def test_an_order_with_other_times_of_arrival_says_which(
    garments: datetime | None, transfers: tuple[datetime | None, ...], note: str, told: str
) -> None:
    plan = small(("7001", "B", 40), ("7002", "A", 20))
    order = plan.given[0]
    (line,) = order.lines
    prints = tuple(replace(one, transfers_in=at) for one, at in zip(line.prints, transfers, strict=True))
    changed = replace(order, lines=(replace(line, prints=prints, garments_in=garments, note=note),))
    new = replace(plan, given=(changed, plan.given[1]))
    assert came_in_between(plan, new) == (f"Order 7001, B: {told}",)
    if told != "other notes":
        assert all(
            words.endswith(" are here") for words in came_in_between(new, plan)[0].split(": ")[1].split(", ")
        )


def test_pieces_on_top_go_and_wait_with_their_order_and_can_by_themselves() -> None:
    plan = small(("7001", "B", 40), ("7002", "A", 20))
    at = begun_at(plan, "7001")
    new = again(plan, with_pieces(plan, "7001", 45), at=at)
    more = new.given[-1].id
    at += timedelta(minutes=1)
    now = state_at(new, (), at)

    def runs(between: Disruptions) -> dict[str, int]:
        rest = plan_rest(new, (), now, between=names_meant(new, between))
        found: dict[str, int] = {}
        for task in rest.instance.tasks:
            found[task.job] = max(found.get(task.job, 0), task.release)
        return found

    assert more in runs(NOTHING)
    assert not {"7001", more} & set(runs(Disruptions(cancelled=("7001",))))
    alone = runs(Disruptions(cancelled=("7001 more",)))
    assert more not in alone and "7001" in alone
    noon = datetime.combine(MONDAY, datetime.min.time()) + timedelta(hours=12)
    assert runs(Disruptions(late_boxes=(BoxLate(order="7001", at=noon),)))[more] == 7200
    own = runs(Disruptions(late_boxes=(BoxLate(order="7001 more", at=noon),)))
    assert own["7001"] < own[more] == 7200
    cancelled = replace(new, between=Disruptions(cancelled=("7001",)))
    assert "Order 7001 is cancelled, with what came on top of it" in came_in_between(new, cancelled)


def test_pieces_on_top_are_not_changed_by_themselves() -> None:
    plan = small(("7001", "B", 40))
    at = begun_at(plan, "7001")
    new = again(plan, with_pieces(plan, "7001", 45), at=at)
    with pytest.raises(BadInput, match="pieces on top of order 7001, and no order by itself"):
        again(new, with_pieces(new, new.given[-1].id, 7), at=at + timedelta(minutes=1))
    less = again(new, with_pieces(new, "7001", 43), at=at + timedelta(minutes=1))
    assert [(one.id, one.quantity) for one in less.given] == [("7001", 40), (new.given[-1].id, 3)]


def test_a_second_cut_does_not_give_back_what_the_first_one_took() -> None:
    plan = small(("7001", "B", 40))
    at = begun_at(plan, "7001")
    fewer = again(plan, with_pieces(plan, "7001", 30), at=at)
    new = again(fewer, with_pieces(plan, "7001", 25), at=at + timedelta(minutes=1))
    assert as_it_is(new, "7001").quantity == 25
    assert min(run.content.quantity for run in new.runs) == 25


@pytest.mark.parametrize(
    ("asked", "what", "mend"),
    [
        ("{person} 10:30", "away", 'between name and time, "{person}=10:30-".'),
        ("{person} 10:30-12:00", "away", 'between name and time, "{person}=10:30-12:00".'),
        ("{press}, 10:30", "down", 'between name and time, "{press}=10:30".'),
        ("{press} 7", "down", "Write the name as it stands on the sheets."),
    ],
)
def test_a_time_behind_a_name_needs_an_equals_sign(printed: Plan, asked: str, what: str, mend: str) -> None:
    names = {"press": printed.shop.presses[0].name, "person": printed.shop.crew[0].name}
    written = asked.format(**names)
    between = (
        Disruptions(away=(PersonAway(person=written, start=AT),))
        if what == "away"
        else Disruptions(down=(PressDown(press=written),))
    )
    (fault,) = faults_of_asked(printed, AT, between, ())
    assert fault.mend.endswith(mend.format(**names))


def test_an_absence_outside_the_hours_of_the_person_is_doubted(printed: Plan) -> None:
    who = printed.shop.crew[0]
    hours = who.hours[printed.day.weekday()]
    last = hours.overtime_end or hours.end
    sunday = printed.day + timedelta(days=6 - printed.day.weekday())
    state = state_at(printed, (), AT)

    def found(start: datetime, end: datetime | None) -> list[str]:
        away = Disruptions(away=(PersonAway(person=who.name, start=start, end=end),))
        return [str(one) for one in doubts_of_asked(printed, state, away)]

    over, comes = (datetime.combine(printed.day, at) for at in (last, hours.start))
    one = timedelta(minutes=1)
    assert found(over - one, None) == found(comes - one, comes + one) == []
    (doubt,) = found(over, over + timedelta(hours=1))
    assert f"away {last:%H:%M}-" in doubt and f"in {hours.start:%H:%M}-{last:%H:%M} on" in doubt
    assert len(found(over, None)) == len(found(comes - one, comes)) == 1
    # Away until the next morning is away then.
    assert found(over, comes + timedelta(days=1, minutes=1)) == []
    (doubt,) = found(datetime.combine(sunday, hours.start), None)
    assert "with no shift on Sun" in doubt
