"""Days on which much comes in between: planned again and again, every plan checked from outside.

python -m tests.support.eventful --days 30 --seed 1
"""

from __future__ import annotations

import argparse
import random
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, field, replace
from datetime import datetime, time, timedelta

from example_orders.shop_data import DAY
from scheduler.daybook.between import CameIn, between_of, entries_of
from scheduler.daybook.entries import with_id
from scheduler.daybook.facts import standing
from scheduler.daybook.plan_text import PLAN_FORM, plan_of_text, plan_text
from scheduler.daybook.state import state_at
from scheduler.domain.day_state import DayState
from scheduler.domain.disruptions import BoxLate, Disruptions, PartKind, PersonAway, PressDown, cancelled_of
from scheduler.domain.idle import NOTICE_MIN
from scheduler.domain.orders import Named, Order, OrderLine, Sized
from scheduler.domain.plan import Plan
from scheduler.domain.progress import Event, EventKind
from scheduler.domain.shop import OperatorHours, Shop
from scheduler.engine.line import put_down_anew
from scheduler.engine.solve import solve
from scheduler.planning import assemble_plan, build_day
from scheduler.planning.again import merged, plan_again
from scheduler.planning.differences import differences
from scheduler.planning.held import held
from scheduler.planning.rest import plan_rest
from scheduler.sheets.new_sheets import NewPaper, new_sheets_data
from scheduler.sheets.paper import compare
from scheduler.sheets.pull import garments
from scheduler.verify import check
from tests.examples.test_examples import read, read_shop
from tests.support.presses_on import On, check_told_once, follow
from tests.support.sheets_in_hand import check_kept

STEPS = 5
"""Times that a day is planned again."""


@dataclass(kw_only=True)
class Eventful:
    """A day under way."""

    plan: Plan
    at: datetime
    events: tuple[Event, ...] = ()
    to_come: list[Order] = field(default_factory=list)
    on: On = field(default_factory=dict)
    """When each press is on by the sheets in hand."""
    said: dict[str, Order] = field(default_factory=dict)
    """Orders as they were said to be last; those of the plan when none are given."""

    def __post_init__(self) -> None:
        self.said = self.said or {order.id: order for order in self.plan.given}
        self.on = self.on or follow(self.plan)


def morning(*, named: bool = False, few: bool = False) -> Plan:
    """The day of the example, first plan only.

    Parameters
    ----------
    named
        With names on some garments, and one order called like the pieces on top of another would be.
    few
        With half of the crew, in the morning or in the afternoon, and nobody in over noon.
    """
    orders = list(read("orders.xlsx"))
    if named:
        orders = [_with_names(order) if at % 3 == 0 else order for at, order in enumerate(orders)]
        orders[-1] = replace(orders[-1], id=f"{orders[0].id} more")
    problem = build_day(_with_few(read_shop()) if few else read_shop(), tuple(orders), DAY)
    result = solve(problem.instance, effort="quick", stop=lambda: True)
    assert result.schedule is not None
    return assemble_plan(problem, result, check(problem.instance, result.schedule), ())


def _with_few(shop: Shop) -> Shop:
    def half(hours: OperatorHours, at: int) -> OperatorHours:
        return replace(hours, end=time(11, 30)) if at % 2 else replace(hours, start=time(12, 30))

    crew = [
        replace(person, hours={weekday: half(hours, at) for weekday, hours in person.hours.items()})
        for at, person in enumerate(shop.crew)
    ]
    return replace(shop, crew=tuple(crew))


def _with_names(order: Order) -> Order:
    """A name on every second garment of each size; where there are two placements, a number at the second."""
    return replace(order, lines=tuple(_line_with_names(order.id, line) for line in order.lines))


def _line_with_names(order: str, line: OrderLine) -> OrderLine:
    places = [one.placement for one in line.prints[:2]]
    names = [
        Named(
            size=one.size,
            name=f"{order} {one.size} {at}" if place == places[0] else "",
            number="" if place == places[0] else f"{order} {one.size} {at}",
            placement=place,
        )
        for one in line.sizes
        for at in range(one.quantity // 2)
        for place in places
    ]
    return replace(line, names=tuple(names))


def eventful_day(printed: Plan, seed: int, steps: int = STEPS) -> Counter[str]:
    """One day with random events, planned again after each; what came in between, by kind.

    Raises
    ------
    AssertionError
        When a plan breaks a rule, loses pieces, or takes no notice of what was said.
    """
    draw = random.Random(seed)
    opens = datetime.combine(DAY, datetime.min.time()) + timedelta(hours=7)
    day = Eventful(plan=printed, at=opens, to_come=list(read("rush.xlsx")))
    counted: Counter[str] = Counter()
    for _ in range(steps):
        day.at += timedelta(minutes=draw.randint(5, 120))
        day.events = (*day.events, *written_down(day, draw))
        came = what_comes(day, draw)
        counted.update(_kinds(came))
        day.plan, day.events = planned_again(day, came)
    counted["replans"] += steps
    return counted


def written_down(day: Eventful, draw: random.Random) -> list[Event]:
    """What somebody writes down: some runs that were over a while ago, finished with some spoiled."""
    over = [run for run in day.plan.runs if run.end < day.at and run.content.quantity]
    told = {event.run for event in day.events}
    found = []
    for run in draw.sample(over, min(2, len(over))):
        if run.id in told:
            continue
        spoiled = draw.randint(0, min(2, run.content.quantity - 1))
        event = Event(
            id="-",
            day=DAY,
            version=day.plan.version,
            kind=EventKind.FINISHED,
            run=run.id,
            at=run.end,
            pieces=run.content.quantity - spoiled,
            spoiled=spoiled,
            entered=day.at,
            number=len(day.events) + len(found) + 1,
        )
        found.append(with_id(event))
    found += _corrected(day, draw, len(found))
    return [*found, *_at_the_stop(day, draw, {event.run for event in found}, len(found))]


def _corrected(day: Eventful, draw: random.Random, more: int) -> list[Event]:
    """A run of which more turns out to be spoiled, or not done, than somebody wrote down before."""
    runs = {run.id: run for run in day.plan.runs}
    before = [
        event
        for event in standing(day.events)
        if event.kind is EventKind.FINISHED and event.run in runs and event.pieces
    ]
    if not before or draw.random() < 0.5:
        return []
    event = draw.choice(before)
    assert event.pieces is not None and event.spoiled is not None
    gone = min(event.pieces, draw.randint(1, 3))
    again = replace(
        event,
        pieces=event.pieces - gone,
        spoiled=event.spoiled + draw.randint(0, gone),
        corrects=event.id,
        entered=day.at,
        number=len(day.events) + more + 1,
    )
    return [with_id(again)]


def _at_the_stop(day: Eventful, draw: random.Random, said: Collection[str], more: int) -> list[Event]:
    """What a stopped run had pressed, counted then; and a count that was a mistake, taken back."""
    counts = {event.run: event for event in standing(day.events) if event.kind is EventKind.PIECES}
    finished = {event.run: event.id for event in standing(day.events) if event.kind is EventKind.FINISHED}
    rests = {part.run: part for part in day.plan.parts if part.name is PartKind.REST}
    found = []
    for run in day.plan.runs:
        if run.id not in rests or run.id in said or run.end > day.at or draw.random() < 0.5:
            continue
        number = len(day.events) + more + len(found) + 1
        if run.id in counts:
            told = counts[run.id]
            event = Event(
                id="-",
                day=DAY,
                version=day.plan.version,
                kind=EventKind.TAKEN_BACK,
                run=run.id,
                corrects=told.id,
                entered=day.at,
                number=number,
            )
        else:
            most = run.content.quantity + rests[run.id].pieces
            event = Event(
                id="-",
                day=DAY,
                version=day.plan.version,
                kind=EventKind.PIECES,
                run=run.id,
                at=run.end,
                pieces=min(most, max(0, run.content.quantity + draw.randint(-3, 3))),
                corrects=finished.get(run.id, ""),  # as the day book's own boxes do
                entered=day.at,
                number=number,
            )
        found.append(with_id(event, [*day.events, *found]))
    return found


def what_comes(day: Eventful, draw: random.Random) -> CameIn:
    """Two things that come in between, or one, or none."""
    plan, at = day.plan, day.at
    kinds = draw.sample(["down", "away", "box", "cancel", "new", "pieces", "names", "cut-off", "nothing"], 2)
    until = at + timedelta(minutes=draw.randint(10, 200))
    orders = list(day.said)
    start = at + timedelta(minutes=draw.randint(-40, 60))
    box = BoxLate(order=draw.choice(orders), at=at + timedelta(minutes=draw.randint(-20, 300)))
    away = PersonAway(
        person=draw.choice(plan.shop.crew).name,
        start=start,
        end=draw.choice([None, max(start, at) + (until - at)]),
    )
    press = PressDown(press=draw.choice(plan.shop.presses).name, until=draw.choice([None, until]), since=at)
    between = Disruptions(
        down=(press,) if "down" in kinds else (),
        away=(away,) if "away" in kinds else (),
        late_boxes=(box,) if "box" in kinds else (),
        cancelled=(draw.choice(orders),) if "cancel" in kinds else (),
        press_again=draw.random() < 0.3,
    )
    changed = []
    for _ in range(2 if kinds[0] in ("pieces", "names", "cut-off") else 0):
        order = day.said[draw.choice(orders)]
        if order.id in (one.id for one in changed):
            continue
        if "pieces" in kinds:
            order = _times(order, draw.choice([0.3, 0.6, 1.5, 3.0]), f"v{plan.version}")
        if "names" in kinds:
            order = _renamed(order, draw, f"v{plan.version}")
        if "cut-off" in kinds:
            cut_off = order.cut_off + timedelta(minutes=draw.randint(-200, 200))
            order = replace(order, cut_off=max(cut_off, at + timedelta(minutes=1)))
        changed.append(order)
    new = (day.to_come.pop(),) if "new" in kinds and day.to_come else ()
    return CameIn(between=between, new=new, changed=tuple(changed))


def _times(order: Order, factor: float, mark: str) -> Order:
    """The order with so many times the pieces; with more of them there are further names."""

    def line(old: OrderLine) -> OrderLine:
        sizes = tuple(
            Sized(size=one.size, quantity=max(1, round(one.quantity * factor))) for one in old.sizes
        )
        names: list[Named] = []
        for placement in dict.fromkeys(one.placement for one in old.names):
            for one in sizes:
                own = [each for each in old.names if (each.size, each.placement) == (one.size, placement)]
                fresh = [
                    replace(
                        each,
                        name=each.name and f"{each.name} {mark}",
                        number=each.number and f"{each.number} {mark}",
                    )
                    for each in own
                ]
                names += [*own, *fresh][: one.quantity]
        return replace(old, sizes=sizes, names=tuple(names))

    return replace(order, lines=tuple(line(one) for one in order.lines))


def _renamed(order: Order, draw: random.Random, mark: str) -> Order:
    """The order with some names or numbers corrected, and sometimes one that is gone."""

    def line(old: OrderLine) -> OrderLine:
        names = [
            replace(one, name=one.name and f"{one.name} {mark}", number=one.number and f"{one.number} {mark}")
            if draw.random() < 0.3
            else one
            for one in old.names
        ]
        if names and draw.random() < 0.3:
            names.pop(draw.randrange(len(names)))
        return replace(old, names=tuple(names))

    return replace(order, lines=tuple(line(one) for one in order.lines))


def _kinds(came: CameIn) -> list[str]:
    between = came.between
    return [
        *("press down" for _ in between.down),
        *("person away" for _ in between.away),
        *("box late" for _ in between.late_boxes),
        *("cancelled" for _ in between.cancelled),
        *("new order" for _ in came.new),
        *("changed order" for _ in came.changed),
    ]


def planned_again(day: Eventful, came: CameIn) -> tuple[Plan, tuple[Event, ...]]:
    """The rest of the day planned again, and all entries of the day with those that this makes.

    Raises
    ------
    AssertionError
        When the plan breaks a rule, loses pieces, or takes no notice of what was said.
    """
    day.said.update((order.id, order) for order in (*came.new, *came.changed))
    old = replace(day.plan, between=between_of(day.plan, day.events))
    gone = replace(old.between, away=old.between.and_then(came.between).away)
    state = state_at(replace(old, between=gone), day.events, day.at)
    rest = plan_rest(old, came.new, state, between=came.between, changed=came.changed)
    result = solve(rest.instance, effort="quick", near=rest.kept, stop=lambda: True)
    assert result.schedule is not None
    found = check(rest.instance, result.schedule)
    assert found.passed, found.breaks[:3]
    result = replace(result, schedule=held(rest.instance, rest.kept, result.schedule, put_down_anew, check))
    assert result.schedule is not None
    verdict = check(rest.instance, result.schedule)
    assert verdict.passed, verdict.breaks[:3]
    assert all(value <= found.values[level] for level, value in verdict.values.items())
    whole = check(rest.problem.instance, merged(rest, result.schedule))
    made = plan_again(rest, result, verdict, whole, (), version=old.version + 1)
    made = replace(made, at=day.at)
    change = compare(old, made, day.at)
    made = replace(made, paper=change.in_hand)
    entries = entries_of(came, old, made, day.at, day.at)
    events = tuple(
        replace(event, number=number) for number, event in enumerate((*day.events, *entries), start=1)
    )
    paper = NewPaper(old=old, new=made, found=differences(old, made), change=change)
    check_kept(old, made, change, day.at)
    assert new_sheets_data(paper, by="operator") and new_sheets_data(paper, by="press")
    begun = {done.task for done in rest.moment.begun}
    day.on = follow(made, day.on)
    check_told_once(made)
    _check_what_was_said(made, day.at, begun)
    _check_missing(made, day)
    _check_what_stays(old, made, begun)
    _check_pieces(old, made)
    _check_names(old, made, begun, day.said)
    if came.between.press_again:
        _check_again(made, state_at(made, day.events, day.at))
    _check_nothing_lost(made, day.events)
    assert {order.id for order in made.given if not order.on_top_of} == set(day.said)
    assert plan_of_text(plan_text(made), PLAN_FORM) == made
    assert set(between_of(made, events).down) == set(made.between.down)
    return made, events


def _check_what_was_said(plan: Plan, at: datetime, begun: set[str]) -> None:
    """What is not begun takes notice: of the present, of presses down, people away, boxes, cancellations."""
    between = plan.between
    boxes = {one.order: one.at for one in between.late_boxes}
    base = {order.id: order.on_top_of for order in plan.given}
    for run in plan.runs:
        whole = base.get(run.content.order) or run.content.order
        assert whole not in between.cancelled or run.end <= at, run.id
        if run.id in begun:
            continue
        assert run.start >= at + timedelta(minutes=NOTICE_MIN), run.id
        assert run.pressing_start >= boxes.get(whole, run.pressing_start), run.id
        for down in between.down:
            free = down.until or datetime.combine(DAY + timedelta(days=1), datetime.min.time())
            assert run.press != down.press or run.start >= free or run.start.date() > DAY, run.id
        for away in between.away:
            back = away.end or datetime.combine(DAY + timedelta(days=1), datetime.min.time())
            assert run.operator != away.person or run.end <= away.start or run.start >= back, run.id


def _check_missing(plan: Plan, day: Eventful) -> None:
    """The plan and the day book count the same garments as missing, and no order that lacks one is whole."""
    state = {one.order: one.missing for one in state_at(plan, day.events, day.at).orders}
    for order in plan.orders:
        assert order.missing == state[order.id], order.id
        assert not order.missing or order.finished is None, order.id


def _check_what_stays(old: Plan, new: Plan, begun: set[str]) -> None:
    """What is begun keeps its press, person and times, unless it is cut off."""
    cut = {part.run for part in new.parts if part.name is PartKind.REST}
    there = {run.id: run for run in new.runs}
    for run in old.runs:
        if run.id in begun:
            now = there[run.id]
            if not run.content.quantity:
                # Stopped before its first piece: nothing of it is pressed.
                continue
            assert (now.press, now.operator, now.start) == (run.press, run.operator, run.start), run.id
            assert now.end == run.end or run.id in cut, run.id


def _check_again(plan: Plan, state: DayState) -> None:
    """What a finished run owes is pressed again; new garments are asked for those that are spoiled."""
    parts = [part for part in plan.parts if part.name is PartKind.AGAIN]
    cancelled = cancelled_of(plan.given, plan.between)
    for run in state.runs:
        if run.order in cancelled:
            continue
        own = [part for part in parts if part.run == run.run]
        assert sum(part.pieces for part in own) >= run.owed, run.run
        assert sum(part.spoiled for part in own) >= run.spoiled_owed, run.run
    assert all(one.quantity > 0 and one.have_by >= plan.at for one in garments(plan) if one.since)


def _check_nothing_lost(plan: Plan, events: tuple[Event, ...]) -> None:
    """Once all is pressed as planned, what is not there of an order is known as missing.

    Of runs that somebody counted, as many as were told: read from the entries themselves.
    """
    told = {
        event.run: event.pieces
        for event in standing(events)
        if event.kind in (EventKind.PIECES, EventKind.FINISHED) and event.pieces is not None
    }
    good: Counter[tuple[str, str]] = Counter()
    for run in plan.runs:
        pressed = told.get(run.id, run.content.quantity)
        good.update({(run.content.order, place): pressed for place in run.content.placements})
    missing = {order.id: order.missing for order in plan.orders}
    fewer = {change.order.id for change in plan.between.fewer}
    left = {one.order for one in plan.left_over} | cancelled_of(plan.given, plan.between) | fewer
    for order in plan.given:
        if order.id not in left:
            for place, count in _pieces_of(order).items():
                there = good[order.id, place] + missing[order.id]
                assert there >= count, (order.id, place, good[order.id, place], missing[order.id], count)


def _check_pieces(old: Plan, plan: Plan) -> None:
    """Of every order and placement: pieces done, planned and left over are those ordered, no more, no less.

    Pieces to be pressed again come on top. Of an order that was cancelled less may be there, of one that has
    fewer pieces now what was begun by then may be more.
    """
    again = {part.task: part.pieces for part in plan.parts if part.name is PartKind.AGAIN}
    fewer = {change.order.id: change.order for change in plan.between.fewer}
    before = {change.order.id for change in old.between.fewer}
    for order in plan.given:
        wanted: Counter[str] = Counter()
        for line in fewer.get(order.id, order).lines:
            wanted.update({one.placement: line.quantity for one in line.prints})
        there: Counter[str] = Counter()
        for run in plan.runs:
            if run.content.order == order.id and run.id not in again:
                there.update(dict.fromkeys(run.content.placements, run.content.quantity))
            if run.id in again:
                assert run.content.quantity == again[run.id], run.id
        for left in plan.left_over:
            if left.order == order.id and left.run not in again:
                there.update(dict.fromkeys(left.placements, left.quantity))
        cancelled = not {order.id, order.on_top_of}.isdisjoint(plan.between.cancelled)
        for place in (*wanted, *there):
            said = (order.id, place, wanted[place], there[place])
            assert cancelled or there[place] >= wanted[place], said
            assert order.id in fewer or there[place] <= wanted[place], said
            if order.id in before:
                assert there[place] <= _pieces_at(old, order.id, place), said


def _check_names(old: Plan, plan: Plan, begun: set[str], said: dict[str, Order]) -> None:
    """Every piece and name that was said last is pressed, each name once; what is begun keeps its names."""
    before = {run.id: run.content for run in old.runs}
    parts = (*old.parts, *plan.parts)  # a rest is gone once somebody counted that all was pressed
    cut = {part.run for part in parts} | {part.task for part in parts}
    for run in plan.runs:
        if run.id in begun - cut:
            was = before[run.id]
            assert (run.content.pieces, run.content.names) == (was.pieces, was.names), run.id
    again = {part.task for part in plan.parts if part.name is PartKind.AGAIN}
    runs = [run for run in plan.runs if run.id not in again]
    open_orders = {left.order for left in plan.left_over} | set(plan.between.cancelled)
    for name, order in said.items():
        own = {name} | {one.id for one in plan.given if one.on_top_of == name}
        if not own.isdisjoint(open_orders):
            continue
        mine = [run for run in runs if run.content.order in own]
        pressed = Counter((one.placement, one.name, one.number) for run in mine for one in run.content.names)
        wanted = Counter((one.placement, one.name, one.number) for line in order.lines for one in line.names)
        # What is begun keeps its names, and a garment that nobody wants because of one of them its others.
        kept = [one for run in mine if run.id in begun for one in run.content.names]
        last = {change.order.id: change for change in plan.between.fewer if change.order.id in own}
        kept += [one for change in last.values() for line in change.unwanted for one in line.names]
        started = Counter((one.placement, one.name, one.number) for one in kept)
        assert not wanted - pressed, (name, wanted - pressed)
        assert not pressed - wanted - started, (name, pressed - wanted - started)
        for placement, count in _pieces_of(order).items():
            there = sum(run.content.quantity for run in mine if placement in run.content.placements)
            assert there >= count, (name, placement, there, count)


def _pieces_of(order: Order) -> Counter[str]:
    found: Counter[str] = Counter()
    for line in order.lines:
        found.update({one.placement: line.quantity for one in line.prints})
    return found


def _pieces_at(plan: Plan, order: str, placement: str) -> int:
    runs = [run.content for run in plan.runs if run.content.order == order]
    planned = sum(content.quantity for content in runs if placement in content.placements)
    return planned + sum(
        left.quantity for left in plan.left_over if left.order == order and placement in left.placements
    )


def main() -> None:
    """Plan some days and say what came in between."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=30)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--few", action="store_true", help="half of the crew, nobody in over noon")
    chosen = parser.parse_args()
    printed = morning(few=chosen.few)
    counted: Counter[str] = Counter()
    for seed in range(chosen.seed, chosen.seed + chosen.days):
        counted += eventful_day(printed, seed)
    print(", ".join(f"{count} {kind}" for kind, count in sorted(counted.items())))


if __name__ == "__main__":
    main()
