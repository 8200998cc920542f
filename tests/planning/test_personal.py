"""Personal pieces: whose name is in which run and lot, what it costs in time, and spare transfers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.day_problem import DayProblem, Personal
from scheduler.domain.disruptions import PartKind, RunPart
from scheduler.domain.orders import Named, OrderLine
from scheduler.planning import build_day
from scheduler.planning.disruptions import with_parts
from scheduler.planning.personal import names_at
from tests.planning.shops import MONDAY, line, order, print_, shop, with_allowances

TEAM = (
    Named(size="M", name="Zoë", number="07", placement="back"),
    Named(size="L", number="8", placement="back"),
    Named(size="M", name="Bo"),
)


def problem(*lines: OrderLine, personal_s: float = 12) -> DayProblem:
    base = with_allowances(shop(), personal_piece_s=personal_s, fetch_box_min=0.0, first_piece_min=0.0)
    return build_day(base, (order("1", *lines),), MONDAY)


def said(names: tuple[Personal, ...]) -> list[str]:
    return [" ".join(filter(None, (one.size, one.name, one.number))) for one in names]


def test_every_name_is_in_the_run_that_presses_it() -> None:
    made = problem(
        line(print_("front"), print_("back"), sizes={"M": 2, "L": 1}, names=TEAM, note="in red")
    ).contents
    assert said(made["1-back"].names) == ["M Zoë 07", "M Bo", "L 8"]
    # a name whose place isn't said is on the sheets of all placements: better twice than never
    assert said(made["1-front"].names) == ["M Bo"]
    assert made["1-back"].notes == made["1-front"].notes == ("in red",)
    assert made["1-back"].names[0] == Personal(
        garment="tee", colour="navy", size="M", name="Zoë", number="07", placement="back"
    )


def test_a_name_without_a_size_takes_the_garments_own_where_there_is_one() -> None:
    names = (Named(size="", name="Ada"),)
    assert said(problem(line(sizes={"M": 3}, names=names)).contents["1-front"].names) == ["M Ada"]
    assert said(problem(line(sizes={"M": 3, "L": 1}, names=names)).contents["1-front"].names) == ["Ada"]


def test_names_go_on_garments_of_their_size_first_then_on_what_is_left() -> None:
    names = (Named(size="", name="any"), Named(size="L", name="el"), Named(size="M", name="em"))
    assert names_at(line(sizes={"M": 2, "L": 1}, names=names), "front") == ((0, 2), (1, 0), (2, 1))


def test_a_pair_has_each_name_once() -> None:
    """Front and sleeve in one closing: the same entry for both places is one piece."""
    made = problem(line(print_("front"), print_("sleeve"), sizes={"M": 2}, names=TEAM[2:])).contents
    assert said(made["1-front+sleeve"].names) == ["M Bo"]
    told = tuple(replace(TEAM[2], placement=place) for place in ("front", "sleeve"))
    made = problem(line(print_("front"), print_("sleeve"), sizes={"M": 2}, names=told)).contents
    assert [one.placement for one in made["1-front+sleeve"].names] == ["front", "sleeve"]


@pytest.mark.parametrize(("named", "more_s"), [(0, 0), (5, 60), (10, 120)])
def test_each_personal_transfer_takes_its_time(named: int, more_s: int) -> None:
    """12 s each on top of 10 cycles of 38 s: worked out by hand, in ticks of 6 s."""
    names = tuple(Named(size="M", name=f"N{number}") for number in range(named))
    made = problem(line(print_("back"), sizes={"M": 10}, names=names))
    (task,) = made.instance.tasks
    ((person, ticks),) = task.modes[0].operators
    assert (person, ticks) == ("Ann", -(-(380 + more_s) // 6))
    assert made.cycle_s[task.id, task.modes[0].id] == 38 + more_s / 10


def test_personal_pieces_count_with_the_lot_that_holds_them() -> None:
    """100 pieces in two lots of 50; the ten with a name are all in the first: 120 s more there."""
    names = tuple(Named(size="M", name=f"N{number}") for number in range(10))
    made = problem(line(print_("back"), sizes={"M": 100}, names=names))
    lots = {
        content.lot: made.instance.tasks[at]
        for at, content in enumerate(made.contents.values())
        if content.lots == 2
    }
    assert {lot: len(made.contents[task.id].names) for lot, task in lots.items()} == {1: 10, 2: 0}
    ticks = {lot: task.modes[0].operators[0][1] for lot, task in lots.items()}
    assert ticks == {1: -(-(50 * 38 + 120) // 6), 2: -(-50 * 38 // 6)}


def test_every_name_is_in_one_lot() -> None:
    names = tuple(Named(size=size, name=f"{size}{n}") for size in ("M", "L") for n in range(40))
    made = problem(line(print_("back"), sizes={"L": 45, "M": 41}, names=names))
    lots = [content for content in made.contents.values() if content.lots == 2]
    assert sorted(one.name for lot in lots for one in lot.names) == sorted(one.name for one in names)
    for lot in lots:
        for size in ("M", "L"):
            pieces = sum(one.quantity for one in lot.pieces if one.size == size)
            assert sum(one.size == size for one in lot.names) <= pieces


def test_there_are_spares_only_of_transfers_that_are_alike() -> None:
    """2 % of 100 pieces is 2; of the 50 that are alike, 1; nobody has a second transfer with a name."""
    for named, spare in ((0, 2), (50, 1), (100, 0)):
        names = tuple(Named(size="M", name=f"N{number}") for number in range(named))
        made = problem(line(print_("back"), sizes={"M": 100}, names=names)).contents
        assert {content.laid[0].spare for content in made.values() if content.lots == 1} == {spare}


def test_the_rest_of_a_run_has_the_names_that_are_not_pressed_yet() -> None:
    names = tuple(Named(size="M", name=name) for name in "abcd")
    whole = problem(line(print_("back"), sizes={"M": 6, "L": 2}, names=names))
    part = RunPart(run="1-back", done=3, pieces=5, name=PartKind.REST, from_tick=0)
    made = with_parts(whole, (part,)).contents
    # taken in the order of the sheet: 3 of size M, those with a name first; the rest is 3 M and 2 L
    assert said(made["1-back"].names) == ["M a", "M b", "M c"]
    assert said(made["1-back rest"].names) == ["M d"]
