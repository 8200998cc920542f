"""Several measures on one cycle: never added up, and overlapping ones count once."""

from __future__ import annotations

from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.savings.measures import Change, Measure, cycle_after, together


def cycle(**seconds: int) -> dict[str, Fraction]:
    return {name: Fraction(value) for name, value in seconds.items()}


def to(name: str, price: int | None = None, **seconds: int) -> Measure:
    changes = tuple(Change(element=element, to_s=Fraction(value)) for element, value in seconds.items())
    return Measure(name=name, changes=changes, price=None if price is None else Fraction(price))


def off(name: str, **percent: int) -> Measure:
    return Measure(
        name=name,
        changes=tuple(
            Change(element=element, share_off=Fraction(share, 100)) for element, share in percent.items()
        ),
    )


@pytest.mark.parametrize(
    ("before", "after", "saved", "percent"),
    [(41, 30, 11, 26.8), (41, 26, 15, 36.6), (82, 46, 36, 43.9), (100, 46, 54, 54.0), (120, 46, 74, 61.7)],
)
def test_whole_cycles(before: int, after: int, saved: int, percent: float) -> None:
    """Differences of whole cycles by stopwatch (common practice, no source)."""
    taken = together(cycle(cycle=before), [to("better", cycle=after)])
    assert taken.saved_s == saved
    assert float(100 * taken.saved_s / taken.before_s) == pytest.approx(percent, abs=0.05)


def test_41_to_30_to_26_saves_15_and_not_26() -> None:
    """A cover saves 11 s, the same with a stand and self-opening 15 s: together 15, 11 and then 4."""
    taken = together(cycle(cycle=41), [to("cover", cycle=30), to("cover and stand", cycle=26)])
    assert [share.alone_s for share in taken.shares] == [11, 15]
    assert [share.added_s for share in taken.shares] == [11, 4]
    assert (taken.saved_s, taken.alone_sum_s) == (15, 26)


def test_on_one_element_the_shorter_time_counts_once_and_other_elements_add() -> None:
    """By hand: load 13 to 4 and unload 7 to 3; the cover's 6 s of loading is beaten by the stand's 4."""
    taken = together(cycle(load=13, dwell=12, unload=7), [to("cover", load=6, unload=3), to("stand", load=4)])
    assert taken.after == cycle(load=4, dwell=12, unload=3)
    assert [share.added_s for share in taken.shares] == [11, 2]


def test_a_share_saves_on_what_is_left() -> None:
    """By hand: 13 s come down to 6; ten percent of 6 are 0.6, not 1.3; two halves leave a quarter."""
    assert cycle_after(cycle(load=13), [to("cover", load=6), off("practice", load=10)]) == {
        "load": Fraction("5.4")
    }
    assert cycle_after(cycle(load=8), [off("one", load=50), off("two", load=50)]) == cycle(load=2)


MEASURES = [to("a", load=6, unload=3), to("b", load=4), off("c", load=10), off("d", load=30, unload=50)]


@pytest.mark.parametrize("order", list(permutations(MEASURES)))
def test_the_order_changes_who_added_what_and_nothing_else(order: tuple[Measure, ...]) -> None:
    taken = together(cycle(load=13, unload=7), order)
    assert taken.after_s == together(cycle(load=13, unload=7), MEASURES).after_s
    assert sum(share.added_s for share in taken.shares) == taken.saved_s


@given(
    st.lists(
        st.one_of(
            st.builds(lambda s: to("new time", load=s), st.integers(0, 20)),
            st.builds(lambda p: off("share", load=p), st.integers(0, 100)),
        ),
        max_size=5,
    )
)
def test_measures_that_shorten_save_at_least_the_best_and_at_most_all_of_it(measures: list[Measure]) -> None:
    taken = together(cycle(load=20, dwell=12), measures)
    alone = [share.alone_s for share in taken.shares]
    assert max(alone, default=Fraction(0)) <= taken.saved_s <= min(taken.alone_sum_s, taken.before_s)


def test_a_measure_may_make_an_element_longer_but_not_beside_another_on_it() -> None:
    longer = to("stand", load=15, unload=2)
    assert cycle_after(cycle(load=13, unload=7), [longer]) == cycle(load=15, unload=2)
    with pytest.raises(ValueError, match="load: one measure makes it longer and another changes it too"):
        cycle_after(cycle(load=13, unload=7), [longer, to("cover", load=6)])
    practice = off("practice", load=10)
    with pytest.raises(ValueError, match="load: one measure makes it longer and another changes it too"):
        cycle_after(cycle(load=13, unload=7), [practice, longer])
    shorter = to("stand", load=12)
    assert cycle_after(cycle(load=13), [practice, shorter]) == {"load": Fraction(108, 10)}


def test_an_element_that_is_not_in_the_cycle_is_refused() -> None:
    with pytest.raises(ValueError, match=r'"cover": no element \'lod\' in the cycle \(load\)'):
        cycle_after(cycle(load=13), [to("cover", lod=6)])


def test_the_price_of_all_is_known_when_each_is() -> None:
    both = [to("a", 150, load=6), to("b", 900, load=4)]
    assert together(cycle(load=13), both).price == 1050
    assert together(cycle(load=13), [*both, to("c", load=5)]).price is None


@pytest.mark.parametrize(
    ("make", "wrong"),
    [
        (lambda: Change(element="load"), "a new time or a share off"),
        (lambda: Change(element="load", to_s=Fraction(1), share_off=Fraction(0)), "one of the two"),
        (lambda: Change(element="load", to_s=Fraction(-1)), "load: a time of -1 s is negative"),
        (lambda: Change(element="load", share_off=Fraction(2)), "load: a share off of 200%"),
        (lambda: Measure(name="cover", changes=()), '"cover" changes nothing'),
        (lambda: Measure(name="c", changes=to("x", load=1).changes * 2), '"c" changes load twice'),
        (lambda: to("cover", -1, load=6), '"cover": a price of -1 is negative'),
        (lambda: together({}, []), "a cycle needs elements"),
        (lambda: together(cycle(load=0), []), "and one above 0"),
        (lambda: together(cycle(load=5), [to("all", load=0)]), "leave nothing of the cycle"),
    ],
)
def test_what_cannot_be_is_refused(make: object, wrong: str) -> None:
    with pytest.raises(ValueError, match=wrong):
        make()  # type: ignore[operator]
