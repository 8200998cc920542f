"""Standards held against recorded runs: what is off is found, and little data claims little."""

from __future__ import annotations

import random
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from math import exp

import pytest

from scheduler.timing.judged import Judged, Kind, Standard
from scheduler.timing.learning import unit_time
from scheduler.timing.recorded import Counted, Recorded
from scheduler.timing.standards import judge

CREW = ("Cleo", "Ana", "Ben")


def run(
    number: int,
    *,
    press: str = "Press 1",
    person: str = "Ana",
    placement: str = "front",
    transfer: str = "film",
    ratio: float = 1.0,
    pieces: int = 20,
    piece_s: float = 45.0,
) -> Recorded:
    planned = pieces * piece_s
    return Recorded(
        day=date(2027, 3, 9),
        run=str(number),
        number=number,
        order="1",
        started=datetime(2027, 3, 9, 8) + timedelta(minutes=20 * number),
        press=press,
        person=person,
        placement=placement,
        transfer=transfer,
        fabric="cotton",
        pieces=pieces,
        planned_s=planned,
        took_s=planned * ratio,
        counts=(Counted(pieces=pieces, took_s=planned * ratio),),
    )


def days(count: int, truth: Mapping[str, float], *, noise: float = 0.1, seed: int = 1) -> list[Recorded]:
    """Runs crossed at random over presses, people, placements and transfers; `truth` by name."""
    chance = random.Random(seed)
    runs = []
    for number in range(count):
        what = {
            "press": chance.choice(("Press 1", "Press 2", "Press 3")),
            "person": chance.choice(CREW),
            "placement": chance.choice(("front", "back", "neck label")),
            "transfer": chance.choice(("film", "vinyl")),
        }
        ratio = truth.get("", 1.0) * exp(chance.gauss(0, noise))
        for name in what.values():
            ratio *= truth.get(name, 1.0)
        runs.append(run(number, ratio=ratio, pieces=chance.randint(6, 40), **what))  # type: ignore[arg-type]
    return runs


def standard(judged: Judged, kind: Kind, name: str = "") -> Standard:
    return next(one for one in judged.standards if (one.kind, one.name) == (kind, name))


def test_what_is_off_is_found_with_what_it_should_be() -> None:
    """A third of the work takes 1.25 of the planned time, the rest the planned one."""
    judged = judge(days(300, {"Press 2": 1.25}), CREW)
    assert [(one.kind, one.name) for one in judged.standards if one.off] == [(Kind.PRESS, "Press 2")]
    press = standard(judged, Kind.PRESS, "Press 2")
    assert press.of_planned.best == pytest.approx(1.25, abs=0.04)
    assert press.of_planned.low < 1.25 < press.of_planned.high
    assert press.should_be_s == pytest.approx(45 * press.of_planned.best)
    assert press.chance > 0.99
    assert standard(judged, Kind.PRESS, "Press 1").of_planned.best == pytest.approx(1, abs=0.04)


def test_a_small_thing_is_found_when_the_runs_are_many() -> None:
    """Six percent at one of three presses, in two thousand runs; what shares its runs is left alone."""
    judged = judge(days(2000, {"Press 2": 1.06}, noise=0.15), CREW)
    press = standard(judged, Kind.PRESS, "Press 2")
    assert press.off
    assert press.of_planned.best == pytest.approx(1.06, abs=0.015)
    assert [one.name for one in judged.standards if one.off and one.kind is not Kind.ALL] == ["Press 2"]


def test_causes_that_come_together_by_half_are_told_apart() -> None:
    """Press 2 is slow; Ben is mostly there. A plain mean of his runs would blame him."""
    chance = random.Random(5)
    runs = []
    for number in range(400):
        person = chance.choice(("Ana", "Ben"))
        press = "Press 2" if chance.random() < (0.8 if person == "Ben" else 0.2) else "Press 1"
        ratio = (1.3 if press == "Press 2" else 1.0) * exp(chance.gauss(0, 0.1))
        runs.append(run(number, press=press, person=person, ratio=ratio))
    judged = judge(runs, ("Ana", "Ben"))
    ben, ana = standard(judged, Kind.PERSON, "Ben"), standard(judged, Kind.PERSON, "Ana")
    assert ben.of_planned.best / ana.of_planned.best == pytest.approx(1, abs=0.04)
    plain = [sum(one.ratio for one in runs if one.person == name) for name in ("Ana", "Ben")]
    assert plain[1] / plain[0] > 1.1


def test_of_many_sets_of_standards_that_hold_few_have_one_called_off() -> None:
    """Sixty sets at 95 %: three are to be expected; that more than eight come up has a chance of 1 in 200."""
    false = [any(one.off for one in judge(days(60, {}, seed=seed), CREW).standards) for seed in range(60)]
    assert sum(false) <= 8


def test_one_run_alone_changes_little_and_claims_nothing() -> None:
    judged = judge([run(1, ratio=1.5)], CREW)
    assert not any(one.off for one in judged.standards)
    assert all(1 < one.of_planned.best < 1.3 for one in judged.standards)
    assert all(one.beside_all.best == 1 for one in judged.standards)


def test_all_work_that_takes_longer_is_said_of_all_work() -> None:
    judged = judge(days(300, {"": 1.15}), CREW)
    every = standard(judged, Kind.ALL)
    assert every.of_planned.best == pytest.approx(1.15, abs=0.02)
    assert (every.off, every.runs, every.beside_all.best) == (True, 300, 1)
    assert [one.name for one in judged.standards if one.off] == [""]


def test_people_stand_in_the_crews_order_and_never_by_pace() -> None:
    truth = {"Cleo": 1.3, "Ana": 1.0, "Ben": 0.8}
    judged = judge(days(200, truth), CREW)
    people = [one for one in judged.standards if one.kind is Kind.PERSON]
    assert [one.name for one in people] == list(CREW)
    assert [
        one.name for one in judge(days(200, truth), CREW[::-1]).standards if one.kind is Kind.PERSON
    ] == list(CREW[::-1])
    assert [one.name for one in people] != [
        one.name for one in sorted(people, key=lambda one: one.beside_all.best)
    ]


def test_a_pace_is_held_against_all_work_alone() -> None:
    """Work takes 1.2 of its time with everybody but Ben, who is as fast as planned: his pace is off, up."""
    judged = judge(days(400, {"Ana": 1.2, "Cleo": 1.2}), CREW)
    ben = standard(judged, Kind.PERSON, "Ben")
    assert ben.off
    assert ben.of_planned.best == pytest.approx(1, abs=0.03)
    assert ben.beside_all.best == pytest.approx(1 / 1.2 ** (2 / 3), abs=0.03)


def test_somebody_who_is_no_longer_in_the_crew_comes_last() -> None:
    judged = judge([run(1, person="Zoe"), run(2, person="Ben"), run(3, person="")], ("Ana", "Ben"))
    assert [one.name for one in judged.standards if one.kind is Kind.PERSON] == ["Ben", "Zoe"]


def test_what_always_comes_together_is_said_not_to_be_told_apart() -> None:
    runs = [run(number, press="Press 2", person="Ben") for number in range(3)]
    runs += [run(number, press="Press 1", transfer="vinyl") for number in range(3, 6)]
    judged = judge(runs, CREW)
    assert standard(judged, Kind.PRESS, "Press 2").together_with == ("transfer film", "person Ben")
    assert standard(judged, Kind.ALL).together_with == ()


def test_a_run_unlike_the_rest_is_named_and_counts_less() -> None:
    runs = days(100, {}, noise=0.05)
    runs[7] = run(7, press="Press 1", ratio=4.0)
    judged = judge(runs, CREW)
    assert [one.number for one in judged.odd] == [7]
    assert not any(one.off for one in judged.standards)


def learnt(rate: float, *, kinds: int = 1, seed: int = 2) -> Judged:
    """Twelve runs of each new placement with the exact unit curve, and a little noise."""
    chance = random.Random(seed)
    runs = []
    for kind in range(kinds):
        done = 0
        for number in range(12):
            size = chance.randint(10, 30)
            mean = sum(unit_time(1.6, rate, k) for k in range(done + 1, done + size + 1)) / size
            ratio = mean * exp(chance.gauss(0, 0.05))
            press, person = chance.choice(("Press 1", "Press 2")), chance.choice(CREW)
            runs.append(
                run(
                    100 * kind + number,
                    placement=f"place {kind}",
                    press=press,
                    person=person,
                    ratio=ratio,
                    pieces=size,
                )
            )
            done += size
    return judge(runs, CREW)


def test_new_work_that_gets_faster_is_shown_with_its_rate() -> None:
    (one,) = learnt(0.85).learnt
    assert (one.transfer, one.placement, one.runs) == ("film", "place 0", 12)
    assert one.learning.rate == pytest.approx(0.85, abs=0.03)
    assert one.learning.rate_low < 0.85 < one.learning.rate_high


def test_work_that_does_not_get_faster_is_not_called_learning() -> None:
    assert [learnt(1.0, kinds=3, seed=seed).learnt for seed in range(4)] == [()] * 4


def test_more_runs_make_surer() -> None:
    few, many = (judge(days(count, {"vinyl": 1.2}), CREW) for count in (20, 500))
    widths = [
        share.high - share.low
        for share in (standard(one, Kind.TRANSFER, "vinyl").of_planned for one in (few, many))
    ]
    assert widths[1] < widths[0]
