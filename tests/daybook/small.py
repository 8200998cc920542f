"""A small day by hand: two presses, two people, six runs, so that every expected minute can be followed.

| run | what | press | platen | who | pieces | °C | set up | pressing | seconds a piece |
|---|---|---|---|---|---|---|---|---|---|
| 1 | A-front | Press 1 | adult | Ana | 30 | 150 | | 8:12-8:42 | 60 |
| 2 | B-front | Press 2 | youth | Ben | 20 | 160 | 8:08 | 8:12-8:52 | 120 |
| 3 | A-back | Press 1 | adult | Ana | 30 | 160 | | 8:43-9:13 | 60 |
| 4 | C-front | Press 2 | youth | Ben | 60 | 160 | | 8:52-9:52 | 60 |
| 5 | D-front | Press 1 | adult | Ana | 60 | 180 | | 9:15-10:30 | 60 |
| 6 | E-front | Press 2 | adult | Ben | 20 | 150 | 9:52 | 9:56-10:31 | 60 |

Both have their break from 10:00 to 10:15, which falls into runs 5 and 6. Swapping a platen takes 4 minutes by
hand; presses heat by 10 °C a minute, cool by 5, and take 12 minutes from cold. Press 1 has its platen on in
the morning. Packing takes 5 minutes an order. Runs 1 and 3 are the same garments.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

from scheduler.domain import instance as model
from scheduler.domain import shop as trade
from scheduler.domain.day_problem import Laid, Pieces, RunContent
from scheduler.domain.plan import Absence, Plan, PlannedOrder, PlannedRun, PlannedWarmUp
from scheduler.domain.schedule import LevelValue, Schedule, ScheduledTask, WarmUp

DAY = date(2027, 3, 9)
TICK_S = 6
TEMPS = (150, 160, 180)
PLATENS = ("adult", "youth")
BREAK = ("10:00", "10:15")

# id, press, platen, who, pieces, temperature, set up from, pressing from, until, seconds a piece
RUNS = (
    ("A-front", "Press 1", "adult", "Ana", 30, 150, "8:12", "8:12", "8:42", 60),
    ("B-front", "Press 2", "youth", "Ben", 20, 160, "8:08", "8:12", "8:52", 120),
    ("A-back", "Press 1", "adult", "Ana", 30, 160, "8:43", "8:43", "9:13", 60),
    ("C-front", "Press 2", "youth", "Ben", 60, 160, "8:52", "8:52", "9:52", 60),
    ("D-front", "Press 1", "adult", "Ana", 60, 180, "9:15", "9:15", "10:30", 60),
    ("E-front", "Press 2", "adult", "Ben", 20, 150, "9:52", "9:56", "10:31", 60),
)
CUT_OFFS = {"A": "9:30", "B": "9:00", "C": "10:00", "D": "11:00", "E": "10:40"}


def at(clock: str, day: date = DAY) -> datetime:
    hour, minute = clock.split(":")
    return datetime.combine(day, time(int(hour), int(minute)))


def tick(clock: str) -> int:
    return int((at(clock) - datetime.combine(DAY, time())).total_seconds()) // TICK_S


def _state(platen: str, temp: int) -> tuple[int, int]:
    return PLATENS.index(platen), TEMPS.index(temp)


def _heat() -> model.SetupTable:
    def ticks(before: int, after: int) -> int:
        return (after - before) if after > before else (before - after) * 2

    rows = tuple(tuple(ticks(one, other) for other in TEMPS) for one in TEMPS)
    return model.SetupTable(from_none=(0,) * len(TEMPS), ticks=rows)


def _mode(press: str, platen: str, temp: int, work: int) -> model.Mode:
    return model.Mode(
        id=f"{press} / {platen}",
        machine=press,
        platen=platen,
        state=_state(platen, temp),
        operators=(("Ana", work), ("Ben", work)),
        warm_up=120,
    )


def instance() -> model.Instance:
    tasks = []
    for name, _, platen, _, pieces, temp, _, _, _, seconds in RUNS:
        work = pieces * seconds // TICK_S
        modes = tuple(_mode(press, platen, temp, work) for press in ("Press 1", "Press 2"))
        bundles = ("A's garments",) if name.startswith("A") else ()
        tasks.append(model.Task(id=name, job=name[0], bundles=bundles, pressings=pieces, modes=modes))
    shift = model.Shift(
        start=tick("8:00"),
        end=tick("16:00"),
        overtime_end=tick("17:00"),
        breaks=((tick(BREAK[0]), tick(BREAK[1])),),
    )
    swap = model.SetupTable(from_none=(40, 40), by_target=(40, 40))
    return model.Instance(
        name="small day",
        horizon=tick("18:00"),
        days=(model.Day(start=tick("8:00"), end=tick("18:00")),),
        setup_parts=(
            model.SetupPart(name="platen", goes_with_platen=True, tables=(swap,)),
            model.SetupPart(name="temperature", hands_off=True, ends_when_cold=True, tables=(_heat(),)),
        ),
        machines=(
            model.Machine(id="Press 1", tables=(0, 0), initial=(0, None), mounted="adult"),
            model.Machine(id="Press 2", tables=(0, 0), initial=(None, None)),
        ),
        platens=(model.Platen(id="adult", count=2), model.Platen(id="youth", count=1)),
        operators=(model.Operator(id="Ana", shifts=(shift,)), model.Operator(id="Ben", shifts=(shift,))),
        jobs=tuple(model.Job(id=name, due=tick(cut), packing=50) for name, cut in CUT_OFFS.items()),
        tasks=tuple(tasks),
        levels=("left_over", "lateness"),
    )


def schedule() -> Schedule:
    done = tuple(
        ScheduledTask(
            task=name,
            mode=f"{press} / {platen}",
            operator=who,
            setup_start=tick(begin),
            start=tick(start),
            end=tick(end),
            mounts_platen=begin != start,
        )
        for name, press, platen, who, _, _, begin, start, end, _ in RUNS
    )
    warm = tuple(
        WarmUp(machine=press, start=tick("8:00"), end=tick("8:12")) for press in ("Press 1", "Press 2")
    )
    return Schedule(tasks=done, warm_ups=warm)


def shop() -> trade.Shop:
    press = trade.Press(
        name="Press 1",
        temp_min_c=100,
        temp_max_c=200,
        heat_c_per_min=10,
        cool_c_per_min=5,
        watts=1500,
        platens=PLATENS,
        mounted="adult",
    )
    return trade.Shop(
        name="Small shop",
        presses=(press, replace(press, name="Press 2", mounted=None)),
        platens=(),
        placements=(),
        recipes=(),
        crew=(
            trade.Operator(
                name="Ana",
                hours=dict.fromkeys(trade.USUAL_WEEK, trade.OperatorHours(start=time(8), end=time(16))),
            ),
            trade.Operator(
                name="Ben",
                hours=dict.fromkeys(trade.USUAL_WEEK, trade.OperatorHours(start=time(8), end=time(16))),
            ),
        ),
        hours={1: trade.OpenHours(open=time(8), close=time(16))},
        elements={},
    )


def _recipe(temp: int) -> trade.Recipe:
    return trade.Recipe(
        transfer="film",
        fabric="cotton",
        temp_c=temp,
        pressure=trade.Pressure.MEDIUM,
        dwell_s=10,
        peel=trade.Peel.HOT,
    )


def _content(name: str, pieces: int, temp: int) -> RunContent:
    return RunContent(
        task=name,
        order=name[0],
        customer=f"Customer {name[0]}",
        size_group="adult",
        pieces=(Pieces(garment="t-shirt", colour="navy", fabric="cotton", size="M", quantity=pieces),),
        laid=(
            Laid(
                placement=name.split("-")[1],
                position="4 cm below the collar",
                inside=False,
                transfer="film",
                artwork=f"artwork {name[0]}",
                width_mm=90,
                height_mm=90,
            ),
        ),
        recipe=_recipe(temp),
    )


def small_plan(*, version: int = 1, fingerprint: str = "ACDE3479", note: str = "") -> Plan:
    """The day as a plan."""
    runs = tuple(
        PlannedRun(
            id=name,
            number=number,
            content=_content(name, pieces, temp),
            press=press,
            platen=platen,
            operator=who,
            start=at(begin),
            pressing_start=at(start),
            end=at(end),
            pauses=((at(BREAK[0]), at(BREAK[1])),) if at(start) < at(BREAK[0]) < at(end) else (),
            temp_c=temp,
            cycle_s=float(seconds),
            mounts_platen=begin != start,
        )
        for number, (name, press, platen, who, pieces, temp, begin, start, end, seconds) in enumerate(RUNS, 1)
    )
    ends = {order: max(run.end for run in runs if run.content.order == order) for order in CUT_OFFS}
    orders = tuple(
        PlannedOrder(
            id=order,
            customer=f"Customer {order}",
            cut_off=at(cut),
            weight=1,
            quantity=next(run.content.quantity for run in runs if run.content.order == order),
            finished=ends[order] + timedelta(minutes=5),
            late_minutes=0.0,
        )
        for order, cut in CUT_OFFS.items()
    )
    people = ("Ana", "Ben")
    return Plan(
        day=DAY,
        dates=(DAY,),
        version=version,
        fingerprint=fingerprint,
        shop=shop(),
        orders=orders,
        runs=runs,
        changeovers=(),
        warm_ups=tuple(
            PlannedWarmUp(press=press, start=at("8:00"), ready=at("8:12"), temp_c=temp)
            for press, temp in (("Press 1", 150), ("Press 2", 160))
        ),
        levels=(LevelValue(name="left_over", value=0), LevelValue(name="lateness", value=0)),
        as_they_come=(LevelValue(name="left_over", value=0), LevelValue(name="lateness", value=0)),
        breaks=tuple(Absence(operator=who, start=at(BREAK[0]), end=at(BREAK[1])) for who in people),
        shifts=tuple(Absence(operator=who, start=at("8:00"), end=at("16:00")) for who in people),
        instance=instance(),
        schedule=schedule(),
        notes=(note,) if note else (),
    )
