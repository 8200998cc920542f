"""One operator at two self-opening presses: cycle, which runs may be done so, and the plan of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from fractions import Fraction

import pytest

from scheduler.daybook.state import state_at
from scheduler.domain.day_problem import DayProblem
from scheduler.domain.disruptions import Disruptions, PressDown
from scheduler.domain.instance import Instance
from scheduler.domain.plan import Plan
from scheduler.domain.shop import Peel, PressPair, Shop
from scheduler.engine.solve import solve
from scheduler.planning import assemble_plan, build_day
from scheduler.planning.again import merged, plan_again
from scheduler.planning.beside import Side, recipes_beside, round_s, waits_open
from scheduler.planning.rest import plan_rest
from scheduler.savings.presses import Servicing
from scheduler.verify.check import check
from tests.planning.shops import MONDAY, line, order, person, platen, press, print_, recipe, shop


def each_s(attended: float, alone: float, walk: float = 0) -> Fraction:
    one = Side(attended=Fraction(str(attended)), alone=Fraction(str(alone)))
    return round_s(one, one, Fraction(str(walk))) / 2


def test_two_presses_alike_are_the_handbook_s_synchronous_servicing() -> None:
    # B. W. Niebel and A. Freivalds, Methods, Standards, and Work Design: l 1.0, m 2.0, w 0.1 min give
    # a cycle of 3.0 min at two machines.
    assert 2 * each_s(1.0, 2.0, 0.1) == 3
    # Own figures for presses: 26 + 15 s and 2 s of walking are 28 s a garment; 15 + 15 s are 17 s.
    assert each_s(26, 15, 2) == 28
    assert each_s(15, 15, 2) == 17
    assert each_s(12, 30, 2) == 21


@pytest.mark.parametrize("attended", [5, 12, 15, 26])
@pytest.mark.parametrize("alone", [8, 15, 30])
@pytest.mark.parametrize("walk", [0, 2])
def test_it_agrees_with_the_model_of_the_savings(attended: int, alone: int, walk: int) -> None:
    servicing = Servicing(load_s=attended, press_s=alone, walk_s=walk)
    assert each_s(attended, alone, walk) == servicing.each_s(2)


def test_of_two_unlike_presses_the_slower_one_sets_the_pace() -> None:
    slow, quick = (
        Side(attended=Fraction(10), alone=Fraction(30)),
        Side(attended=Fraction(10), alone=Fraction(5)),
    )
    assert round_s(slow, quick, Fraction(1)) == 40
    # The quick one is open long before anybody comes.
    assert waits_open(slow, quick, Fraction(1))
    assert not waits_open(slow, slow, Fraction(1))


def pair_shop(dwell_s: int = 40, *, peel: Peel = Peel.HOT, big: int = 2, **more: object) -> Shop:
    """Two self-opening presses side by side and one person."""
    presses = tuple(
        press(name, self_opening=True, mounted="big" if name == "Left" or big > 1 else None)
        for name in ("Left", "Right")
    )
    base = shop()
    platens = (platen("big", count=big), *base.platens[1:])
    given: dict[str, object] = {
        "presses": presses,
        "platens": platens,
        "recipes": (recipe(dwell_s=dwell_s, peel=peel),),
        "press_pairs": (PressPair(first="Left", second="Right", walk_s=2.0),),
    }
    return shop(**(given | more))


def modes(base: Shop, quantity: int = 60, place: str = "front") -> dict[str, tuple[int, float]]:
    problem = build_day(base, (order("1", line(print_(place), sizes={"M": quantity})),), MONDAY)
    task = problem.instance.tasks[0]
    return {mode.id: (mode.operators[0][1], problem.cycle_s[task.id, mode.id]) for mode in task.modes}


def test_a_run_may_be_done_at_either_press_or_at_both() -> None:
    # load 10, lay 4, close 2, peel 3, unload 5 = 24 s attended; dwell 40 + 1 s alone: 65 s at one press, and
    # a round of max(65, 2 x 26) = 65 s for two garments. 61 x 32.5 s and the 2 min of a run, in 6 s.
    found = modes(pair_shop())
    assert set(found) == {
        "Left / big",
        "Right / big",
        "Left + Right / big",
        *(name for name in found if "double" in name),
    }
    assert found["Left / big"] == (670, 65.0)
    assert found["Left + Right / big"] == (351, 32.5)


def test_what_is_peeled_hot_needs_the_operator_when_the_press_opens() -> None:
    # Dwell 12 s: 37 s at one press, but the operator takes 52 s for both: a garment would lie and cool.
    assert "Left + Right / big" not in modes(pair_shop(12))
    assert modes(pair_shop(12, peel=Peel.NONE))["Left + Right / big"][1] == (2 * 21 + 4) / 2
    assert modes(pair_shop(12, peel=Peel.COLD))["Left + Right / big"][1] == 26.0


def test_what_comes_back_for_a_second_pressing_after_cooling_goes_to_one_press() -> None:
    def at_both(**changes: int) -> bool:
        patch = recipe(dwell_s=40, peel=Peel.NONE, second_press_s=20, **changes)
        return "Left + Right / big" in modes(pair_shop(recipes=(patch,)))

    assert at_both()
    assert not at_both(cooling_s=40)


def test_the_recipes_that_can_use_a_pair_are_those_that_runs_do() -> None:
    recipes = (
        recipe(dwell_s=40),
        recipe("quick", dwell_s=12),  # peeled hot: it would lie and cool
        recipe("quick cold", dwell_s=12, peel=Peel.COLD),
        recipe("twice", dwell_s=40, second_press_s=20, cooling_s=40),
        recipe("too hot", dwell_s=40, temp_c=210),
    )
    base = pair_shop(recipes=recipes)
    pair = base.press_pairs[0]
    assert [one.transfer for one in recipes_beside(base, pair)] == ["film", "quick cold"]
    for one in recipes[:4]:
        found = modes(replace(base, recipes=(replace(one, transfer="film"),)))
        assert ("Left + Right / big" in found) == (one in recipes_beside(base, pair))
    assert recipes_beside(pair_shop(recipes=recipes, big=1), pair) == ()


def test_a_platen_for_each_press_and_somebody_for_both_are_needed() -> None:
    assert "Left + Right / big" not in modes(pair_shop(big=1))
    skilled = tuple(replace(one, skill=skill) for one, skill in zip(pair_shop().presses, "ab", strict=True))
    two = (person("Ann", skills=("a",)), person("Bea", skills=("b",)))
    assert "Left + Right / big" not in modes(pair_shop(presses=skilled, crew=two))
    assert "Left + Right / big" in modes(pair_shop(presses=skilled, crew=(person("Ann", skills=("a", "b")),)))
    assert "Left + Right / big" not in modes(pair_shop(press_pairs=()))


def test_pieces_with_a_pre_press_stay_attended() -> None:
    base = pair_shop(recipes=(recipe(dwell_s=40, pre_press_s=5),))
    # 24 + 2 (close and open) + 5 = 31 attended, 41 alone: 72 s a round at one; both 2 x 33 = 66.
    assert modes(base)["Left + Right / big"][1] == 36.0
    assert modes(base)["Left / big"][1] == 72.0


TEN_THIRTY = datetime(2026, 3, 2, 10, 30)


def planned(base: Shop, quantity: int, cut_off: datetime) -> tuple[DayProblem, Instance]:
    orders = (order("1", line(print_("front"), sizes={"M": quantity}), cut_off=cut_off),)
    problem = build_day(base, orders, MONDAY)
    return problem, problem.instance


def test_the_plan_uses_both_where_one_press_is_too_slow_and_says_so() -> None:
    # 150 garments are 164 min at one press and 84 at both; packed in 30, due at 10:30.
    problem, instance = planned(pair_shop(), 150, TEN_THIRTY)
    result = solve(instance, effort="quick", seed=1)
    assert result.schedule is not None
    verdict = check(instance, result.schedule)
    assert verdict.passed
    assert verdict.values["lateness"] == 0
    plan = assemble_plan(problem, result, verdict, ())
    assert plan.runs[0].presses == ("Left", "Right")
    assert {warm.press for warm in plan.warm_ups} == {"Left", "Right"}
    # The person is counted once, each press for its own.
    crew, presses = plan.crew_loads[0], {load.name: load for load in plan.press_loads}
    assert presses["Left"].pressing == presses["Right"].pressing == crew.pressing
    assert crew.changing == presses["Left"].changing + presses["Right"].changing


def test_one_press_alone_is_provably_too_slow_for_it() -> None:
    alone = solve(planned(pair_shop(press_pairs=()), 150, TEN_THIRTY)[1], effort="quick", seed=1)
    late = next(level for level in alone.levels if level.name == "lateness")
    assert late.bound > 0


def both_planned() -> Plan:
    problem, instance = planned(pair_shop(), 150, TEN_THIRTY)
    result = solve(instance, effort="quick", seed=1)
    assert result.schedule is not None
    return assemble_plan(problem, result, check(instance, result.schedule), ())


def test_both_presses_are_at_the_run_under_way() -> None:
    plan = both_planned()
    state = state_at(plan, (), datetime(2026, 3, 2, 8, 40))
    assert {(press.running, press.platen, press.hot) for press in state.presses} == {
        (plan.runs[0].id, "big", True)
    }


def test_when_one_of_them_fails_the_rest_is_pressed_at_the_other() -> None:
    plan = both_planned()
    at = datetime(2026, 3, 2, 8, 40)
    rest = plan_rest(plan, (), state_at(plan, (), at), between=Disruptions(down=(PressDown(press="Right"),)))
    result = solve(rest.instance, effort="quick", seed=1, near=rest.kept)
    assert result.schedule is not None
    verdict = check(rest.instance, result.schedule)
    whole = check(rest.problem.instance, merged(rest, result.schedule))
    new = plan_again(rest, result, verdict, whole, (), version=2)
    later = [run for run in new.runs if run.start >= at]
    assert later
    assert {run.presses for run in later} == {("Left",)}
    assert sum(run.content.quantity for run in new.runs) == 150
