"""One slow press is named, and the rest is not blamed for it: a shop in which caps have their own press."""

from __future__ import annotations

import random
from collections.abc import Mapping
from math import exp

import pytest

from scheduler.timing.judged import Judged, Kind
from scheduler.timing.recorded import Recorded
from scheduler.timing.standards import judge
from tests.timing.test_standards import CREW, run, standard

SEEDS = range(15)


def three_days(truth: Mapping[str, float], seed: int, *, noise: float = 0.06) -> list[Recorded]:
    """Sixty-seven runs; a fifth are caps, which only the cap press does. `truth` by name, "" for all."""
    chance = random.Random(seed)
    runs = []
    for number in range(67):
        place = chance.random()
        if place < 0.2:
            what = ("Cap press", "cap front", chance.choice(("flock", "low bleed")), chance.choice(CREW))
        elif place < 0.65:
            placement = chance.choice(("full back", "left chest", "full front"))
            what = ("Press 2", placement, chance.choice(("film", "low bleed")), chance.choice(("Ana", "Ben")))
        else:
            placement = chance.choice(("full back", "left chest", "sleeve"))
            what = ("Press 1", placement, chance.choice(("film", "vinyl")), chance.choice(CREW))
        ratio = truth.get("", 1.0) * exp(chance.gauss(0, noise))
        for name in what:
            ratio *= truth.get(name, 1.0)
        press, placement, transfer, person = what
        runs.append(
            run(
                number,
                press=press,
                placement=placement,
                transfer=transfer,
                person=person,
                ratio=ratio,
                pieces=chance.randint(6, 60),
            )
        )
    return runs


def judged(truth: Mapping[str, float], seed: int, *, noise: float = 0.06) -> Judged:
    return judge(three_days(truth, seed, noise=noise), CREW)


def off(found: Judged) -> list[str]:
    return [one.name for one in found.standards if one.off]


@pytest.mark.parametrize("slow", [1.3, 1.6])
def test_one_slow_press_is_named_with_its_placement_and_nothing_else_is(slow: float) -> None:
    found = [judged({"Cap press": slow}, seed) for seed in SEEDS]
    assert [off(one) for one in found].count(["Cap press", "cap front"]) >= len(SEEDS) - 1
    assert not any(one.alike for one in found)
    presses = [standard(one, Kind.PRESS, "Cap press") for one in found]
    assert sum(one.of_planned.best for one in presses) / len(SEEDS) == pytest.approx(slow, rel=0.03)
    rests = [one.rest for one in found if one.rest is not None]
    assert sum(rest.of_planned.best for rest in rests) / len(rests) == pytest.approx(1, abs=0.01)
    assert all(rest.of_planned.side == 0 for rest in rests)


def test_what_always_came_together_has_one_share_of_all_of_it() -> None:
    found = judged({"Cap press": 1.3}, 3)
    press, cap = standard(found, Kind.PRESS, "Cap press"), standard(found, Kind.PLACEMENT, "cap front")
    assert (press.together_with, cap.together_with) == (("placement cap front",), ("press Cap press",))
    assert (press.of_planned, press.off, press.should_be_s) == (cap.of_planned, True, cap.should_be_s)
    assert press.should_be_s == pytest.approx(45 * 1.3, rel=0.06)
    # each alone would be given a part of the delay only
    assert press.beside_all.best < press.of_planned.best


def test_all_work_that_takes_longer_is_told_from_one_press() -> None:
    found = [judged({"": 1.1}, seed) for seed in SEEDS]
    assert all(off(one) == [""] for one in found)
    assert sum(one.alike for one in found) >= len(SEEDS) - 1
    assert all(one.rest is None for one in found)


def test_all_work_and_one_press_more_are_both_said() -> None:
    found = judged({"": 1.1, "Cap press": 1.4}, 1)
    assert off(found) == ["", "Cap press", "cap front"]
    assert found.rest is not None
    assert found.rest.of_planned.best == pytest.approx(1.1, abs=0.02)
    assert found.alike
    press = standard(found, Kind.PRESS, "Cap press")
    assert press.of_planned.low < 1.54 < press.of_planned.high


@pytest.mark.parametrize("noise", [0.06, 0.15])
def test_where_nothing_is_off_hardly_anything_is_said(noise: float) -> None:
    """At 95 % one of twenty may be; that four of thirty or more are has a chance of 6 in 100 at most."""
    found = [judged({}, seed, noise=noise) for seed in range(30)]
    assert sum(bool(off(one)) for one in found) <= 3


def test_an_excess_that_one_group_carries_is_not_called_that_of_all() -> None:
    """One cap is pressed elsewhere: press and placement share the blame, and neither is sure by itself."""
    runs = three_days({"Cap press": 1.2}, 4)
    caps = [place for place, one in enumerate(runs) if one.press == "Cap press"]
    for place in caps[:2]:
        old = runs[place]
        runs[place] = run(
            old.number, press="Press 1", placement="cap front", transfer=old.transfer, person=old.person
        )
    found = judge(runs, CREW)
    assert not found.alike
    if standard(found, Kind.ALL).off:
        assert "cap" in found.carried_by.casefold()


def test_somebody_whose_pace_is_off_takes_away_that_all_are_alike() -> None:
    found = judged({"": 1.2, "Ben": 0.8}, 2)
    assert standard(found, Kind.PERSON, "Ben").off
    assert not found.alike
    assert "Ben" not in found.carried_by
