"""Differences, money and payback from made-up plans, so that every sum can be followed by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest

from scheduler.answers.compare.ranking import proven_words
from scheduler.answers.compare.rows import Cell, Row
from scheduler.answers.compare.words import together_line
from scheduler.planning import build_day
from scheduler.scenarios.changes import Version, added_up, compare, ranked
from scheduler.scenarios.crew_days import share_of_days
from scheduler.scenarios.differences import Verdict, day_difference
from scheduler.scenarios.money import Rates, saved_a_day
from scheduler.scenarios.quantities import Amount, DayFigures, Quantity
from scheduler.scenarios.side import Day, Side, day_of
from tests.planning.shops import order, person, shop

HOUR = 600
"""Ticks of six seconds."""


def plan(paid: int = 8 * HOUR, **amounts: tuple[int, int]) -> DayFigures:
    """A plan with amounts as (value, bound); what isn't given is 0 and can't be less."""
    return DayFigures(
        amounts={one: Amount(value=v, bound=b) for one in Quantity for v, b in [amounts.get(one, (0, 0))]},
        orders=4,
        garments=100,
        paid=paid,
        tick_s=6,
        fingerprint="",
        stopped_early=False,
    )


def day(number: int, *plans: DayFigures) -> Day:
    return day_of(plans, problem=number)


def side(number: int, *plans: DayFigures) -> Side:
    return Side(days=tuple(day(number, one) for one in plans))


@pytest.mark.parametrize(
    ("today", "then", "verdict", "ends"),
    [
        ((50, 30), (29, 10), Verdict.BETTER, (-40, -1)),
        # Its nearest neighbour: as good as today's bound is not better than it.
        ((50, 30), (30, 10), Verdict.NOT_PROVEN, (-40, 0)),
        ((50, 30), (60, 51), Verdict.WORSE, (1, 30)),
        ((50, 30), (60, 50), Verdict.NOT_PROVEN, (0, 30)),
        ((50, 50), (50, 50), Verdict.SAME, (0, 0)),
        ((50, 49), (50, 50), Verdict.NOT_PROVEN, (0, 1)),
    ],
)
def test_only_a_plan_beyond_the_others_bound_proves_a_difference(
    today: tuple[int, int], then: tuple[int, int], verdict: Verdict, ends: tuple[int, int]
) -> None:
    found = day_difference(day(0, plan(lateness=today)), day(1, plan(lateness=then)), Quantity.LATENESS)
    assert (found.verdict, (found.least, found.most)) == (verdict, ends)


def test_a_bound_counts_only_where_what_it_rests_on_is_kept() -> None:
    """Fewer changeovers bought with lateness prove nothing, for today's bound speaks of plans without any."""
    today = day(0, plan(changeover=(50, 40)))
    late = day_difference(today, day(1, plan(lateness=(1, 0), changeover=(30, 0))), Quantity.CHANGEOVER)
    assert (late.verdict, late.most) == (Verdict.NOT_PROVEN, None)
    on_time = day_difference(today, day(1, plan(changeover=(30, 0))), Quantity.CHANGEOVER)
    assert (on_time.verdict, on_time.most) == (Verdict.BETTER, -10)


def test_the_best_seed_counts_with_the_tightest_bound_that_holds_for_it() -> None:
    found = day(0, plan(lateness=(9, 4), changeover=(20, 19)), plan(lateness=(5, 3), changeover=(30, 12)))
    assert found.best.level("lateness") == 5
    assert found.amounts[Quantity.LATENESS] == Amount(value=5, bound=4)
    # The first seed's bound of 19 holds for plans with at most 9 late, so for those with at most 5 too.
    assert found.amounts[Quantity.CHANGEOVER] == Amount(value=30, bound=19)
    assert found.spread(Quantity.CHANGEOVER) == (20, 30)
    # A bound of 29 that was shown for plans on time says nothing of plans 9 late.
    other = day(0, plan(lateness=(9, 4), changeover=(20, 28)), plan(changeover=(30, 29), left_over=(1, 0)))
    assert other.amounts[Quantity.CHANGEOVER] == Amount(value=20, bound=28)


RATES = Rates(wage=20, overtime_wage=30, late_order=15)


def test_what_is_saved_in_money_by_hand() -> None:
    """Two hours of work at 20, of them one of overtime at 10 more, and one late order at 15: 40 + 10 + 15."""
    today = side(
        0, plan(work=(9 * HOUR, 8 * HOUR), overtime=(HOUR, 0), late_orders=(1, 1)), plan(work=(HOUR, HOUR))
    )
    then = side(1, plan(work=(7 * HOUR, 6 * HOUR)), plan(work=(HOUR, HOUR)))
    found = saved_a_day(today, then, RATES)
    assert found is not None
    assert found.planned == Fraction(65, 2)  # on average over two days
    assert found.least == Fraction(20 + 15, 2)  # from today's bounds: an hour of work and the late order
    assert found.most == Fraction(60 + 10 + 15, 2)
    running = saved_a_day(today, then, RATES, 10)
    assert running is not None
    assert running.planned == found.planned - 10


@pytest.mark.parametrize(
    ("paid_h", "work_h", "saved"),
    [
        (8, 5, 20),  # an hour freed
        (16, 6, -160),  # one more person whose hours nobody needs
        (16, 4, -120),  # two hours freed by one who is paid for eight
        (7, 6, 20),  # an hour less paid, nothing freed
        (7, 4, 40),  # the hour less paid is one of the two that are freed
    ],
)
def test_paid_hours_that_are_added_are_taken_off_and_none_counts_twice(
    paid_h: int, work_h: int, saved: int
) -> None:
    today = side(0, plan(work=(6 * HOUR, 0)))
    then = side(1, plan(paid=paid_h * HOUR, work=(work_h * HOUR, 0)))
    found = saved_a_day(today, then, RATES)
    assert found is not None
    assert found.planned == saved


@pytest.mark.parametrize(
    ("paid_h", "bound_h", "least", "besides", "alone"),
    [
        (6, 0, 40, -80, True),  # today's shop might do it in no time: two hours' wages, and no more
        (6, 4, 40, 0, True),
        (6, 5, 40, 20, False),  # an hour is freed for certain as well
        (8, 5, 20, 20, False),
        (8, 4, 0, 0, False),
    ],
)
def test_what_is_proven_by_fewer_paid_hours_alone_is_told_apart(
    paid_h: int, bound_h: int, least: int, besides: int, alone: bool
) -> None:
    today = side(0, plan(work=(6 * HOUR, bound_h * HOUR)))
    then = side(1, plan(paid=paid_h * HOUR, work=(4 * HOUR, 0)))
    found = saved_a_day(today, then, RATES)
    assert found is not None
    assert (found.least, found.besides, found.wages_alone) == (least, besides, alone)


def test_what_is_left_over_has_no_price() -> None:
    today, then = side(0, plan()), side(1, plan(left_over=(1, 0)))
    assert saved_a_day(today, then, RATES) is None
    assert saved_a_day(today, today, RATES) is not None


def test_overtime_at_less_than_the_wage_is_refused() -> None:
    with pytest.raises(ValueError, match="costs no less than an hour of work"):
        Rates(wage=20, overtime_wage=19)
    assert Rates(wage=20, overtime_wage=20).late_order == 0


def test_changes_are_ranked_by_proven_payback_and_pairs_say_when_they_do_not_add_up() -> None:
    """Each of two covers frees the same hour: together they free it once."""
    today = side(0, plan(work=(6 * HOUR, 6 * HOUR)))
    freed = side(1, plan(work=(5 * HOUR, 5 * HOUR)))
    unsure = side(2, plan(work=(6 * HOUR, HOUR)))
    cheap, dear, both, none = (
        compare(Version(name=name, price=Fraction(price), parts=parts), today, then, RATES)
        for name, price, parts, then in [
            ("cheap", 100, ("cheap",), freed),
            ("dear", 300, ("dear",), replace(freed)),
            ("cheap + dear", 400, ("cheap", "dear"), freed),
            ("none", 1, ("none",), unsure),
        ]
    )
    assert [one.version.name for one in ranked([none, both, dear, cheap])] == [
        "cheap",
        "dear",
        "cheap + dear",
        "none",
    ]
    assert cheap.payback_proven is not None
    assert (cheap.payback_proven.working_days, cheap.payback_proven.garments) == (5, 500)  # 100 / 20 a day
    assert (none.payback, none.payback_proven) == (None, None)
    pair = added_up(both, [cheap, dear])
    assert (pair.unit, pair.together, pair.added_up, pair.more) == ("money", 20, 40, -20)
    assert pair.proven
    without_money = [compare(one.version, today, freed, None) for one in (both, cheap, dear)]
    plans = added_up(without_money[0], without_money[1:])
    assert (plans.unit, plans.more, plans.proven) == ("changeover minutes", 0, False)


def test_a_change_that_touches_nothing_adds_up_for_certain_and_others_only_by_the_plans() -> None:
    today = side(0, plan(work=(6 * HOUR, 4 * HOUR)))
    plans = {"good": side(1, plan(work=(5 * HOUR, 4 * HOUR))), "none": today}
    plans["idle"] = side(2, plan(work=(6 * HOUR, 4 * HOUR)))
    for second, words in (("none", "they add up, proven"), ("idle", "by the plans they add up, not proven")):
        good, other, both = (
            compare(Version(name=name, parts=parts), today, then, RATES)
            for name, parts, then in [
                ("good", ("good",), plans["good"]),
                (second, (second,), plans[second]),
                ("both", ("good", second), plans["good"] if second == "none" else replace(plans["good"])),
            ]
        )
        if second == "idle":
            both = compare(both.version, today, side(3, plan(work=(5 * HOUR, 4 * HOUR))), RATES)
        assert together_line(added_up(both, [good, other])).endswith(f"added up 20: {words}.")


def test_what_is_proven_is_said_with_its_amount() -> None:
    today = side(0, plan(finish=(300, 250), lateness=(90, 80), late_orders=(3, 3)))
    then = side(1, plan(finish=(120, 120), lateness=(50, 40), late_orders=(4, 4)))
    words = proven_words(today, compare(Version(name="press"), today, then, None))
    # Ticks of 6 s: 250 - 120 are 13 minutes, 80 - 50 three; in late orders it is one more.
    assert words == "better by at least: late minutes 3, finish 13 minutes; worse by at least: late orders 1"


def test_paid_hours_are_a_difference_whatever_the_plans() -> None:
    today, then = side(0, plan(paid=8 * HOUR)), side(1, plan(paid=6 * HOUR))
    one = compare(Version(name="shorter"), today, then, RATES)
    assert one.saved is not None and one.saved.least == 40
    assert proven_words(today, one) == "2 paid hours less"
    more = side(1, plan(paid=10 * HOUR))
    assert proven_words(today, compare(Version(name="longer"), today, more, RATES)) == "2 paid hours more"
    # The same problem on each day is no difference at all.
    assert proven_words(today, compare(Version(name="same"), today, today, RATES)).startswith("no difference")


def test_what_is_saved_on_some_weekdays_only_pays_back_in_so_many_more_days() -> None:
    today, then = side(0, plan(paid=8 * HOUR)), side(1, plan(paid=6 * HOUR))
    one = compare(Version(name="shorter", price=Fraction(120)), today, then, RATES, share=Fraction(3, 5))
    assert one.saved is not None and one.saved.planned == 40
    assert one.payback is not None and one.payback.working_days == 5  # 120 / (40 x 3/5)


MONDAY_TO_FRIDAY = [date(2026, 3, 2) + timedelta(days=ahead) for ahead in range(5)]


@pytest.mark.parametrize(
    ("weekdays", "compared", "share"),
    [
        ((0, 1, 3), MONDAY_TO_FRIDAY[1:2], Fraction(3, 5)),
        ((0, 1, 3), MONDAY_TO_FRIDAY[2:3], 1),  # not one of hers: nothing of it is counted
        ((0, 1, 3), MONDAY_TO_FRIDAY, 1),  # all of them: it is in the average already
        ((0, 1, 3), MONDAY_TO_FRIDAY[:2] + MONDAY_TO_FRIDAY[4:], Fraction(9, 10)),
        ((0, 1, 2, 3, 4), MONDAY_TO_FRIDAY[1:2], 1),
    ],
)
def test_days_of_a_year_on_which_somebody_is_there(
    weekdays: tuple[int, ...], compared: list[date], share: Fraction
) -> None:
    """Ann is there from Monday to Friday; Bo, who stays home, on some of these days."""
    today = shop(crew=(person(), person("Bo", weekdays=weekdays)))
    both = [
        tuple(build_day(one, (order("1"),), day) for day in compared)
        for one in (today, replace(today, crew=today.crew[:1]))
    ]
    assert share_of_days(*both) == share
    assert share_of_days(both[0], both[0]) == 1


def test_plans_that_are_equal_otherwise_are_ranked_by_their_work() -> None:
    """Without money a change that costs work is last, whatever it is called."""
    today = side(0, plan(work=(6 * HOUR, 0)))
    versions = [
        compare(Version(name=name), today, side(number, plan(work=(work, 0), **later)), None)
        for number, (name, work, later) in enumerate(
            [
                ("A stand gone", 7 * HOUR, {}),
                ("finished later", 2 * HOUR, {"finish": (1, 0)}),
                ("no use", 6 * HOUR, {}),
                ("useful", 5 * HOUR, {}),
            ],
            start=1,
        )
    ]
    order = ["useful", "no use", "A stand gone", "finished later"]
    assert [one.version.name for one in ranked(versions)] == order


@pytest.mark.parametrize(
    ("seeds", "then", "said"),
    [
        (4, (3, 4), "no difference proven, though every seed agrees (-9 to 0)"),
        (4, (3, 5), "no difference proven (-9 to 0)"),
        (3, (3, 4), "no difference proven (-9 to 0)"),
    ],
)
def test_seeds_that_agree_are_said_only_when_there_are_enough(
    seeds: int, then: tuple[float, float], said: str
) -> None:
    row = Row(
        quantity=Quantity.LATE_ORDERS,
        today=Cell(plan=5, bound=0, low=5, high=9),
        then=Cell(plan=3, bound=0, low=then[0], high=then[1]),
        planned=-2,
        least=-9,
        most=0,
        verdict=Verdict.NOT_PROVEN,
        seeds=seeds,
    )
    assert row.words() == said
