"""What came in between, in the day book: written with the plan that it led to, read back, taken back."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.daybook import opening, schema
from scheduler.daybook.between import CameIn, between_of, entries_of
from scheduler.daybook.book import DayBook
from scheduler.daybook.entries import taken_back
from scheduler.daybook.transfer import export_lines, import_lines
from scheduler.domain.disruptions import NOTHING, BoxLate, Disruptions, PersonAway, PressDown
from scheduler.domain.plan import Plan
from scheduler.domain.progress import Event, EventKind
from scheduler.exceptions import BadInput
from tests.daybook.small import DAY, at, small_plan

DOWN = PressDown(press="Press 1", until=at("12:00"), since=at("9:00"))
ALL = Disruptions(
    down=(DOWN, PressDown(press="Press 2", since=at("9:00"))),
    away=(PersonAway(person="Ana", start=at("11:00"), end=at("13:00")),),
    late_boxes=(BoxLate(order="A", at=at("10:30")),),
    cancelled=("B",),
)


def led_to(between: Disruptions, old: Plan, version: int = 2) -> tuple[Plan, tuple[Event, ...]]:
    """The plan that came of it, and its entries."""
    new = replace(old, version=version, at=at("9:00"), between=old.between.and_then(between))
    events = entries_of(CameIn(between=between), old, new, at("9:00"), at("9:01"))
    return new, events


def numbered(*events: Event) -> tuple[Event, ...]:
    return tuple(replace(event, number=number) for number, event in enumerate(events, start=1))


def test_what_is_written_is_what_is_read() -> None:
    new, events = led_to(ALL, small_plan())
    assert [event.kind for event in events] == [
        EventKind.PRESS_DOWN,
        EventKind.PRESS_DOWN,
        EventKind.PERSON_AWAY,
        EventKind.BOX_LATE,
        EventKind.ORDER_CANCELLED,
    ]
    assert {(event.version, event.led_to) for event in events} == {(1, 2)}
    assert between_of(new, numbered(*events)) == new.between == ALL


def test_a_plan_of_an_older_book_keeps_what_it_was_made_with() -> None:
    new, _ = led_to(ALL, small_plan())
    assert between_of(new, ()) == ALL


def test_what_is_taken_back_no_longer_holds_and_what_was_said_before_comes_back() -> None:
    once, first = led_to(Disruptions(down=(DOWN,)), small_plan())
    longer = PressDown(press="Press 1", until=at("14:00"), since=at("9:00"))
    twice, second = led_to(Disruptions(down=(longer,)), once, version=3)
    entries = numbered(*first, *second)
    assert between_of(twice, entries).down == (longer,)
    back = numbered(*entries, taken_back(entries[1], at("9:30")))
    assert between_of(twice, back).down == (DOWN,)
    both = numbered(*back, taken_back(entries[0], at("9:31")))
    assert between_of(twice, both).down == ()


def test_a_press_that_stays_down_has_been_down_since_it_was_said_first() -> None:
    longer = replace(DOWN, until=at("14:00"), since=at("10:00"))
    assert Disruptions(down=(DOWN,)).and_then(Disruptions(down=(longer,))).down == (
        replace(longer, since=at("9:00")),
    )
    anew = replace(DOWN, until=None, since=at("13:00"))
    assert Disruptions(down=(DOWN,)).and_then(Disruptions(down=(anew,))).down == (anew,)


def test_what_gave_the_same_plan_counts_and_what_belongs_to_a_plan_thrown_away_does_not() -> None:
    plan = small_plan()
    _, events = led_to(Disruptions(down=(DOWN,)), plan, version=1)
    assert between_of(plan, numbered(*events)).down == (DOWN,)
    anew = replace(plan, version=5)
    assert between_of(anew, numbered(*events)) == NOTHING


def test_what_gave_the_same_plan_counts_again_when_it_is_said_again_after_it_was_taken_back() -> None:
    plan = small_plan()
    came = CameIn(between=Disruptions(down=(DOWN,)))
    first = entries_of(came, plan, plan, at("9:00"), at("9:01"))
    back = numbered(*first, taken_back(first[0], at("9:30")))
    assert between_of(plan, back) == NOTHING
    second = entries_of(came, plan, plan, at("9:00"), at("9:40"), back)
    assert second[0].id != first[0].id
    every = numbered(*back, *second)
    assert between_of(plan, every).down == (DOWN,)
    assert entries_of(came, plan, plan, at("9:00"), at("9:41"), every)[0].id == second[0].id


def test_a_new_order_is_written_whole() -> None:
    plan = small_plan()
    came = CameIn(new=plan.given[:1], changed=plan.given[1:2])
    events = entries_of(came, plan, replace(plan, version=2), at("9:00"), at("9:01"))
    kinds = [EventKind.ORDER_NEW] * len(plan.given[:1]) + [EventKind.ORDER_CHANGED] * len(plan.given[1:2])
    assert [event.kind for event in events] == kinds
    for event, order in zip(events, plan.given[:2], strict=True):
        assert (event.subject, event.pieces) == (order.id, order.quantity)
        assert order.customer in event.data


def test_a_plan_and_its_entries_are_written_together_or_not_at_all(tmp_path: Path) -> None:
    with DayBook(tmp_path / opening.NAME) as book:
        new, events = led_to(ALL, small_plan())
        book.end_plan(book.add_plan(new, staged="x", events=events), "in place", "f")
        assert [event.led_to for event in book.events(DAY)] == [2] * len(events)
        assert between_of(book.plan(book.plans()[0]), book.events(DAY)) == ALL
        other = replace(events[0], reason="another content under the same id")
        with pytest.raises(BadInput, match="with another content"):
            book.add_plan(replace(new, version=3), staged="y", events=[other])
        assert [plan.version for plan in book.plans()] == [2]
        lines = list(export_lines(book))
        with DayBook(tmp_path / "other.sqlite") as copy:
            import_lines(copy, lines, "export.jsonl")
            assert copy.events() == book.events()


def test_an_export_of_the_form_before_is_read(tmp_path: Path) -> None:
    event = (
        '{"event":{"id":"e1","day":"2027-03-09","version":1,"kind":"press down","run":"","who":"","at":null,'
        '"pieces":null,"spoiled":null,"reason":"","press":"Press 2","until":null,"subject":"","data":"",'
        '"corrects":"","entered":"2027-03-09T09:00:00"}}'
    )
    with DayBook(tmp_path / opening.NAME) as book:
        assert import_lines(book, ['{"pressday_day_book":1}', event], "old.jsonl").events == 1
        assert book.events()[0].led_to is None
        with pytest.raises(BadInput, match="reads forms 1 to 2"):
            import_lines(book, ['{"pressday_day_book":3}'], "newer.jsonl")


def test_a_book_of_form_2_is_brought_up_to_date_with_a_copy_beside_it(tmp_path: Path) -> None:
    file = tmp_path / opening.NAME
    connection = sqlite3.connect(file)
    for statement in (*schema.STEPS[0], *schema.STEPS[1]):
        connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
    connection.execute("PRAGMA user_version = 2")
    connection.execute(
        "INSERT INTO events (id, day, version, kind, run, who, at, reason, press, corrects, entered, until) "
        "VALUES ('e1', '2027-03-09', 1, 'press down', '', '', '2027-03-09T09:00:00', '', 'Press 2', '', "
        "'2027-03-09T09:01:00', '2027-03-09T12:00:00')"
    )
    connection.commit()
    connection.close()
    with DayBook(file) as book:
        (event,) = book.events()
        assert (event.kind, event.press, event.led_to) == (EventKind.PRESS_DOWN, "Press 2", None)
        _, events = led_to(ALL, small_plan())
        assert len(book.record(events).new) == len(events)
        assert book.check() == []
    assert sorted(path.name for path in tmp_path.iterdir()) == ["day-book-form-2.sqlite", "day-book.sqlite"]
    with (
        closing(sqlite3.connect(file)) as connection,
        pytest.raises(sqlite3.IntegrityError, match="only ever added to"),
    ):
        connection.execute("UPDATE events SET led_to = 7")
