"""Points for what stands elsewhere than on the sheets in hand: each printed place and its nearest other."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.asjson import from_json, to_json
from scheduler.domain.instance import (
    MOVED_LATER,
    MOVED_ORDER,
    MOVED_PLACE,
    MOVED_PLATEN,
    Instance,
    Mode,
    Platen,
    Printed,
)
from scheduler.domain.schedule import Schedule
from scheduler.verify import check
from tests.support.tiny import at, instance, plan, task, way

PLATENS = (Platen(id="wide", count=2), Platen(id="small", count=2))
THERE = Printed(task="a", machine="A", operator=None, before=None, start=0, platen="wide")


def on(platen: str | None, machine: str = "A", mate: str | None = None) -> Mode:
    return replace(way(machine, platen=platen), mate=mate)


def points(printed: Printed, mode: Mode) -> int:
    """Of one run that is done in a mode at the printed time."""
    problem = instance(task("a", mode), platens=PLATENS, printed=(printed,))
    mounts = mode.platen is not None
    run = replace(at("a", 0, 10, mode=mode.id, mounts=mounts), mate_mounts=mounts and mode.mate is not None)
    verdict = check(problem, plan(run))
    assert verdict.passed, verdict.breaks
    return verdict.values["moved"]


@pytest.mark.parametrize(
    ("printed", "platen", "expected"),
    [
        ("wide", "wide", 0),
        ("wide", "small", MOVED_PLATEN),
        ("wide", None, MOVED_PLATEN),
        ("", None, 0),
        ("", "wide", MOVED_PLATEN),
        (None, "wide", 0),
        (None, None, 0),
    ],
)
def test_another_kind_of_platen_than_on_the_sheet(
    printed: str | None, platen: str | None, expected: int
) -> None:
    """A sheet says which kind, or that there is none; of what it does not tell, nothing is another one."""
    assert points(replace(THERE, platen=printed), on(platen)) == expected


def test_at_another_press_the_platen_counts_no_more() -> None:
    assert points(THERE, on("small", "B")) == points(THERE, on("wide", "B")) == MOVED_PLACE


def test_a_run_at_two_presses_counts_its_kind_of_platen_once() -> None:
    there = replace(THERE, mate="B")
    assert points(there, on("wide", mate="B")) == 0
    assert points(there, on("small", mate="B")) == MOVED_PLATEN


def day(platen: str) -> tuple[Instance, Schedule]:
    """Two runs at one press that change places; the first on the sheet comes much later, on a platen."""
    tasks = task("a", on(platen)), task("b", on(platen))
    printed = THERE, replace(THERE, task="b", before="a", start=10)
    problem = instance(*tasks, platens=PLATENS, printed=printed, horizon=3000)
    return problem, plan(at("b", 10, 20, mounts=True), at("a", 2010, 2020))


def test_platen_order_and_time_add_up_to_less_than_another_place() -> None:
    values = [check(*day(platen)).values["moved"] for platen in ("wide", "small")]
    assert values == [2 * MOVED_ORDER + MOVED_LATER, 2 * (MOVED_PLATEN + MOVED_ORDER) + MOVED_LATER]
    assert 0 < MOVED_ORDER < MOVED_PLATEN
    assert MOVED_PLATEN + MOVED_ORDER + MOVED_LATER < MOVED_PLACE


def test_an_unknown_platen_is_refused_and_one_that_is_not_told_is_not() -> None:
    for platen in (None, "", "wide"):
        instance(task("a"), platens=PLATENS, printed=(replace(THERE, platen=platen),))
    with pytest.raises(ValueError, match="printed task a names platen large, which is not there"):
        instance(task("a"), platens=PLATENS, printed=(replace(THERE, platen="large"),))


def test_a_place_that_was_kept_before_platens_were_told_is_read() -> None:
    kept = to_json(THERE)
    del kept["platen"]
    assert from_json(Printed, kept) == replace(THERE, platen=None)
