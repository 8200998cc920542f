"""The cost at every level, against sums worked by hand."""

from __future__ import annotations

from scheduler.domain.instance import LEVELS_AGAIN, Day, Instance, Job, Machine, Operator, Platen, Shift, Task
from scheduler.domain.schedule import Schedule
from scheduler.verify import check
from tests.support.tiny import at, breaks, instance, part, plan, task, way

# Two orders. 1001 has weight 3 and is due at 40, 1002 has no due date; packing takes 4 and 2.
ANN = Operator(id="Ann", shifts=(Shift(start=0, end=50, overtime_end=70, breaks=((20, 24), (54, 56))),))
PARTS = (
    part("platen", 2, 4, goes_with_platen=True),
    part("artwork", 2, 2, goes_with_platen=True),
    part("temperature", 2, 8, hands_off=True, ends_when_cold=True),
)


def run(name: str, job: str, work: int, state: tuple[int, int, int], cooling: int = 0) -> Task:
    kind = ("wide", "small")[state[0]]
    mode = way(platen=kind, state=state, operators=(("Ann", work),), warm_up=6)
    return task(name, mode, job=job, cooling=cooling, pressings=work)


DAY: Instance = instance(
    run("a", "1001", 10, (0, 0, 0)),
    run("b", "1001", 10, (0, 1, 1), cooling=5),
    run("c", "1002", 12, (1, 1, 1)),
    run("d", "1002", 7, (1, 1, 0)),
    machines=(Machine(id="A", tables=(0, 0, 0), initial=(0, None, None), mounted="wide"),),
    platens=(Platen(id="wide", count=1), Platen(id="small", count=1)),
    setup_parts=PARTS,
    jobs=(Job(id="1001", due=40, weight=3, packing=4), Job(id="1002", packing=2)),
    operators=(ANN,),
    days=(Day(start=0, end=80),),
    horizon=80,
)
PLAN: Schedule = plan(
    # a: platen kept from the evening before, artwork lined up [4, 6); cold: its warm-up stands in
    #    for the temperature. Changeover max(2, 0) = 2. Pressed [6, 16).
    at("a", 6, 16, setup=2, by="Ann"),
    # b: new artwork 2 by hand, temperature 8 without hands from 16: pressing from 24, but the
    #    setting up would fall into the break [20, 24). After it: [24, 26), pressed [26, 36).
    #    Changeover max(2, 8) = 8. Cooled at 41, packed at 45: 5 late, weight 3.
    at("b", 26, 36, setup=2, by="Ann"),
    # c: the small platen 4, artwork again 2; same temperature. Changeover 6, [36, 42), pressed
    #    [42, 50) and, in overtime, [50, 54): 12 ticks of work end as the second break begins.
    #    Packed at 56.
    at("c", 42, 54, setup=6, by="Ann", mounts=True),
    warm_ups=(("A", 0, 6),),
    left_over=("d",),
)


def test_every_level_by_hand() -> None:
    verdict = check(DAY, PLAN)
    assert verdict.breaks == ()
    assert verdict.values == {
        "left_over": 7,
        "lateness": 15,
        "moved": 0,
        "changeover": 2 + 8 + 6,
        "changeovers": 3,
        "overtime": 4,
        "finish": 56,
    }
    assert tuple(verdict.values) == LEVELS_AGAIN
    assert verdict.finished == {"1001": 45, "1002": 56}
    assert verdict.late_ticks == {"1001": 5, "1002": 0}


def test_overtime_leaves_breaks_out_and_counts_setting_up() -> None:
    # c starts a tick later: [43, 54) is 11 ticks, the pause [54, 56), the twelfth [56, 57).
    # Paid until 50: 4 + 1 ticks of overtime.
    later = plan(
        *PLAN.tasks[:2],
        at("c", 43, 57, setup=6, by="Ann", mounts=True),
        warm_ups=(("A", 0, 6),),
        left_over=("d",),
    )
    assert check(DAY, later).passed
    assert check(DAY, later).values["overtime"] == 5
    # Set up wholly in overtime [56, 62), pressed [62, 69): 6 + 7. Same platen and artwork would
    # cost nothing; given up and put back it costs 6, and the temperature 8 from 54.
    d = at("d", 62, 69, setup=6, by="Ann", mounts=True)
    all_done = plan(*PLAN.tasks, d, warm_ups=(("A", 0, 6),))
    verdict = check(DAY, all_done)
    assert verdict.passed
    assert verdict.values["overtime"] == 4 + 13
    assert verdict.values["changeover"] == 16 + 8
    assert verdict.values["left_over"] == 0


def test_nothing_done_costs_only_what_is_left_over() -> None:
    verdict = check(DAY, plan(left_over=("a", "b", "c", "d")))
    assert verdict.passed
    assert verdict.values == {
        "left_over": 39,
        "lateness": 0,
        "moved": 0,
        "changeover": 0,
        "changeovers": 0,
        "overtime": 0,
        "finish": 0,
    }
    assert (verdict.finished, verdict.late_ticks) == ({}, {})


def test_cost_is_not_read_from_the_schedule() -> None:
    # Claiming to keep the platen for c makes its changeover no cheaper: the plate changes value.
    lie = plan(*PLAN.tasks[:2], at("c", 42, 54, setup=6, by="Ann"), warm_ups=(("A", 0, 6),), left_over=("d",))
    verdict = check(DAY, lie)
    assert {each.rule for each in verdict.breaks} == {"platens", "changeover"}
    assert verdict.values["changeover"] == 2 + 8 + 4


def test_temperature_is_paid_again_once_the_press_is_hot() -> None:
    # On the second day the press is cold: no temperature part, but the warm-up of 6 ticks.
    days = (Day(start=0, end=80), Day(start=100, end=180))
    hot = instance(
        task("a", way(state=(0,), warm_up=6)),
        task("b", way(state=(1,), warm_up=6)),
        machines=(Machine(id="A", tables=(0,), initial=(None,)),),
        setup_parts=(part("temperature", 2, 8, hands_off=True, ends_when_cold=True),),
        days=days,
        horizon=180,
        operators=(),
    )
    same_day = plan(at("a", 6, 16), at("b", 24, 34), warm_ups=(("A", 0, 6),))
    next_day = plan(at("a", 6, 16), at("b", 106, 116), warm_ups=(("A", 0, 6), ("A", 100, 106)))
    assert breaks(hot, same_day) == breaks(hot, next_day) == ()
    assert check(hot, same_day).values["changeover"] == 8
    assert check(hot, next_day).values["changeover"] == 0
