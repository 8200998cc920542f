"""Which instances there are, and what counts as their value."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.best_known import levels_of
from tests.benchmarks.catalogue import (
    CLAIMED,
    KEPT,
    OPEN,
    PROVEN,
    UnknownError,
    chosen,
    entries,
    value_of,
)

HEADING = (
    "instance,file,position,jobs,machines,operations,objective,best_known,proven_optimal,value_source,checked"
)


@pytest.mark.parametrize("set_name", ["wtsds", "wt", "fjsp", "fjsp_sdst"])
def test_kept_instances_are_found_and_read(set_name: str) -> None:
    for entry in entries(set_name):
        assert entry.best is not None
        assert entry.proof in (PROVEN, CLAIMED)
        assert entry.read().tasks


def test_a_folder_laid_out_by_set(tmp_path: Path) -> None:
    folder = tmp_path / "wt"
    folder.mkdir()
    (folder / "wt40.txt").write_text((KEPT / "wt" / "wt40.txt").read_text(encoding="utf-8"), encoding="utf-8")
    rows = [
        "wt40-003,wt40.txt,3,40,1,40,total weighted tardiness,537,yes per source; proof not repeated,x,y",
        'wt40-051,wt40.txt,51,40,1,40,total weighted tardiness,0,"yes (zero, as low as can be)",x,y',
        "wt40-011,wt40.txt,11,40,1,40,total weighted tardiness,17465,not proven in 1996,x,y",
    ]
    (folder / "best_known.csv").write_text("\n".join([HEADING, *rows]), encoding="utf-8")
    found = entries("wt", tmp_path)
    assert [(entry.name, entry.best, entry.proof) for entry in found] == [
        ("wt40-003", 537, CLAIMED),
        ("wt40-051", 0, PROVEN),
        ("wt40-011", 17465, OPEN),
    ]
    assert len(found[0].read().jobs) == 40
    assert [entry.name for entry in chosen(found, ["wt40-051", "wt40-003", "wt40-051"])] == [
        "wt40-051",
        "wt40-003",
    ]


def test_what_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(UnknownError, match=r"'tsp' is no set; sets are wtsds, wt, .*, days"):
        entries("tsp")
    with pytest.raises(
        UnknownError, match=r"best_known.csv is not there; it lists the instances of the set wt"
    ):
        entries("wt", tmp_path)
    with pytest.raises(
        UnknownError, match="no instance of the set jsp_tt is kept here; name a folder with --data"
    ):
        entries("jsp_tt")
    with pytest.raises(UnknownError, match=r"no instance wt40-999 in the set; its names are like wt40-001, "):
        chosen(entries("wt"), ["wt40-001", "wt40-999"])


def test_values() -> None:
    assert value_of("fjsp", {"left_over": 0, "finish": 17}) == 17
    assert value_of("wt", {"left_over": 0, "lateness": 23}) == 23
    # With something left over there is no makespan to publish.
    assert value_of("fjsp", {"left_over": 1, "finish": 3}) is None
    day = {"left_over": 2, "lateness": 3, "changeover": 50, "changeovers": 9, "overtime": 8, "finish": 4600}
    # Two pressings at 1000 minutes each, 0.3 minutes late at 10, 5 of changeover, a tenth of the 70 from
    # 06:30 to 07:40, in 1/100.
    assert value_of("days", day) == 200_000 + 300 + 500 + 700
    # Until 18:00 that is 690 minutes; the night counts nothing, and the next day goes on at 06:30.
    for finish, ticks in ((3000, 0), (10_800, 6900), (18_300, 6900), (18_301, 6901), (25_200, 13_800)):
        assert value_of("days", day | {"finish": finish}) == 200_000 + 300 + 500 + ticks


def test_days_come_with_the_best_plan_known() -> None:
    found = entries("days")
    known = [entry for entry in found if entry.best_levels]
    assert known
    for entry in known:
        assert levels_of(entry.name) == entry.best_levels
        assert entry.best == value_of("days", entry.best_levels)
    assert len(chosen(found, ["days-8-085-1"])[0].read().machines) > 1
