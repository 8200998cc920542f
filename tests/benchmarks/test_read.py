"""The readers of benchmark files: tiny files of our own, and the full sets where a folder is given."""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest

from scheduler.domain.instance import SetupTable
from scheduler.verify import check
from tests.benchmarks.read import objective, read
from tests.support.enumerator import best_schedule, in_sequence
from tests.support.tiny import plan

FULL_SETS = os.environ.get("PRESSDAY_BENCHMARKS")
"""Folder with one folder for each set and a `best_known.csv` in each; not needed."""


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8", newline="")
    return path


def test_wtsds(tmp_path: Path) -> None:
    text = (
        "Problem Instance: 7\nBegin Generator Parameters\nTau: 0.3\nEnd Generator Parameters\n"
        "Begin Problem Specification\nProcess Times:\n5\n7\nWeights:\n2\n1\nDuedates:\n6\n9\n"
        "Setup Times:\n-1 0 3\n-1 1 4\n0 1 2\n1 0 6\nEnd Problem Specification\n"
    )
    problem = read("wtsds", written(tmp_path, "two.instance", text))
    assert problem.setup_parts[0].tables == (SetupTable(from_none=(3, 4), ticks=((0, 2), (6, 0))),)
    # 0 then 1: 3 + 5 = 8, 2 late at weight 2; 8 + 2 + 7 = 17, 8 late: 12.
    assert objective(problem, check(problem, in_sequence(problem, [("0", "M0"), ("1", "M0")]))) == 12
    # 1 then 0: 4 + 7 = 11, 2 late; 11 + 6 + 5 = 22, 16 late at weight 2: 34.
    assert objective(problem, check(problem, in_sequence(problem, [("1", "M0"), ("0", "M0")]))) == 34
    # All work and the worst setup before each: (5 + 6) + (7 + 4).
    assert problem.horizon == 22


def test_wt_by_position(tmp_path: Path) -> None:
    first = [n % 9 + 1 for n in range(120)]
    second = [n % 7 + 1 for n in range(120)]
    text = "\n".join(" ".join(map(str, row)) for row in (first[:70], first[70:] + second[:30], second[30:]))
    path = written(tmp_path, "wt40.txt", text)
    problem = read("wt", path, 2)
    assert [task.modes[0].work for task in problem.tasks] == second[:40]
    assert [job.weight for job in problem.jobs] == second[40:80]
    assert [job.due for job in problem.jobs] == second[80:]
    for position in (0, 3):
        with pytest.raises(ValueError, match=f"wt40.txt has 2 instances, not number {position}"):
            read("wt", path, position)


def test_upmsp_sdst(tmp_path: Path) -> None:
    text = (
        "2  2  1\r\n2\r\n\t0\t4\t1\t9\r\n\t0\t5\t1\t6\r\nSSD\r\nM0\r\n0\t1\r\n2\t0\r\nM1\r\n0\t3\r\n8\t0\r\n"
    )
    problem = read("upmsp_sdst", written(tmp_path, "I_2.txt", text))
    assert [[(mode.machine, mode.work) for mode in task.modes] for task in problem.tasks] == [
        [("M0", 4), ("M1", 9)],
        [("M0", 5), ("M1", 6)],
    ]
    assert [machine.tables for machine in problem.machines] == [(0,), (1,)]
    # Apart max(4, 6) = 6; together on M0 4 + 1 + 5 = 10 or 5 + 2 + 4 = 11.
    found = best_schedule(problem)
    assert found is not None and found[0] == (0, 6)
    both = in_sequence(problem, [("1", "M0"), ("0", "M0")])
    assert objective(problem, check(problem, both)) == 11


def test_machines_with_equal_tables_share_one(tmp_path: Path) -> None:
    text = "2 2 1\n2\n0 4 1 9\n0 5 1 6\nSSD\nM0\n0 1\n2 0\nM1\n0 1\n2 0\n"
    problem = read("upmsp_sdst", written(tmp_path, "I_2.txt", text))
    assert len(problem.setup_parts[0].tables) == 1
    assert [machine.tables for machine in problem.machines] == [(0,), (0,)]


def test_fjsp(tmp_path: Path) -> None:
    problem = read("fjsp", written(tmp_path, "two.txt", "2 2\n2 2 0 3 1 4 1 1 5\n1 1 1 6\n"))
    assert [task.id for task in problem.tasks] == ["0.0", "0.1", "1"]
    assert [(pair.before, pair.after) for pair in problem.precedences] == [("0.0", "0.1")]
    assert [mode.work for mode in problem.tasks[0].modes] == [3, 4]
    # M0: 0.0 to 3; M1: 1 to 6, then 0.1 to 11 - or 0.1 from 3 to 8 and 1 to 14.
    found = best_schedule(problem)
    assert found is not None and found[0] == (0, 11)


def test_fjsp_line_with_a_number_too_many(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="1 numbers too many in the line of a job"):
        read("fjsp", written(tmp_path, "odd.txt", "1 2\n1 1 1 6 9\n"))


def test_fjsp_sdst(tmp_path: Path) -> None:
    text = (
        "2 2 1.5\n2 2 1 3 2 4 1 2 5\n1 1 2 6\n\n"
        "9 1000000 1000000\n1000000 1000000 1000000\n1000000 1000000 1000000\n"
        "9 1 2\n3 9 4\n5 6 9\n"
    )
    problem = read("fjsp_sdst", written(tmp_path, "two.fjs", text))
    assert problem.setup_parts[0].tables[0].ticks == ((0, 0, 0), (0, 0, 0), (0, 0, 0))
    assert problem.setup_parts[0].tables[1].ticks == ((0, 1, 2), (3, 0, 4), (5, 6, 0))
    # M0: 0.0 to 3. M1: 1 to 6, setup 6, 0.1 to 17; or 0.1 from 3 to 8, setup 4, 1 to 18. A setup
    # may run while the job is elsewhere; all on M1: 0.0 to 4, 1, 0.1 to 10, 4, 1 to 20.
    found = best_schedule(problem)
    assert found is not None and found[0] == (0, 17)


def test_jsp_tt_durations_stand_in_machine_order(tmp_path: Path) -> None:
    text = "2\t2\nProcessing times: \n3\t4\n5\t6\nRoutes of jobs: \n2\t1\n1\t2\nDue dates: \n7\t\n10\t\n"
    problem = read("jsp_tt", written(tmp_path, "P0.txt", text))
    assert [(task.modes[0].machine, task.modes[0].work) for task in problem.tasks] == [
        ("M1", 4),
        ("M0", 3),
        ("M0", 5),
        ("M1", 6),
    ]
    # Job 0: M1 to 4, then M0 behind job 1 (to 5) to 8, 1 late; job 1: M1 from 5 to 11, 1 late: 2.
    # The other way on M0, job 1 would end at 4 + 3 + 5 + 6 = 18.
    found = best_schedule(problem)
    assert found is not None and found[0] == (0, 2)


def test_unknown_set_and_needless_position(tmp_path: Path) -> None:
    path = written(tmp_path, "two.txt", "1 1\n1 1 0 6\n")
    assert read("fjsp", path).horizon == 6
    with pytest.raises(ValueError, match="flow is none of the sets wtsds, wt, upmsp_sdst"):
        read("flow", path)
    with pytest.raises(ValueError, match=r"two\.txt: a position is needed for set wt, and only there"):
        read("fjsp", path, 1)
    with pytest.raises(ValueError, match="a position is needed for set wt"):
        read("wt", path)


def test_objective_is_only_that_of_a_whole_plan(tmp_path: Path) -> None:
    problem = read("fjsp", written(tmp_path, "one.txt", "1 1\n1 1 0 6\n"))
    assert objective(problem, check(problem, in_sequence(problem, [("0", "M0")]))) == 6
    with pytest.raises(ValueError, match="one: not everything is scheduled"):
        objective(problem, check(problem, plan(left_over=("0",))))
    with pytest.raises(ValueError, match="one: 0 is neither done nor left over"):
        objective(problem, check(problem, plan()))


def full_sets() -> list[tuple[str, str, int | None, int]]:
    if FULL_SETS is None:
        return []
    found = []
    for table in sorted(Path(FULL_SETS).glob("*/best_known.csv")):
        with table.open(encoding="utf-8", newline="") as stream:
            for row in csv.DictReader(stream):
                position = int(row["position"]) if row["position"] else None
                found.append((table.parent.name, row["file"], position, int(row["best_known"])))
    return found


@pytest.mark.skipif(FULL_SETS is None, reason="PRESSDAY_BENCHMARKS names no folder of benchmark sets")
@pytest.mark.parametrize(("set_name", "file", "position", "best"), full_sets())
def test_every_file_of_the_full_sets_is_read(
    set_name: str, file: str, position: int | None, best: int
) -> None:
    problem = read(set_name, Path(FULL_SETS or "") / set_name / file, position)
    # In reading order, each on the first of its machines: a plan, and no better than the best known.
    schedule = in_sequence(problem, [(task.id, task.modes[0].id) for task in problem.tasks])
    assert objective(problem, check(problem, schedule)) >= best


SMALL = ("I_8_4_S_1-9_1.txt",)


@pytest.mark.skipif(FULL_SETS is None, reason="PRESSDAY_BENCHMARKS names no folder of benchmark sets")
@pytest.mark.parametrize("row", [row for row in full_sets() if row[1] in SMALL], ids=str)
def test_small_parallel_machines_by_enumeration(row: tuple[str, str, int | None, int]) -> None:
    set_name, file, _, best = row
    problem = read(set_name, Path(FULL_SETS or "") / set_name / file)
    found = best_schedule(problem, ceiling=(0, best))
    assert found is not None
    assert found[0] == (0, best)
