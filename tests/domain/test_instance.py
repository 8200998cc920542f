"""What an instance may not be, each beside the nearest that it may."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from scheduler.domain.instance import Instance, Precedence
from scheduler.domain.instance_check import GREATEST, MOST_LATE, MOST_PRESSINGS, MOST_TICKS
from tests.engine.cpsat.shops import job, mode, shop, task

A, B, C = (task(name, mode(5), job="j") for name in "abc")
DAY = shop(A, B, C)


def with_rings(*pairs: str) -> Instance:
    return replace(DAY, precedences=tuple(Precedence(before=a, after=b) for a, b in pairs))


def late_by(weight: int) -> Instance:
    # Due at 100 of 200 ticks, cooling 20, packing 8: 128 ticks late at most.
    return shop(
        replace(A, cooling=20), B, jobs=[job("j", due=100, weight=weight, packing=8), job("k", due=0)]
    )


@pytest.mark.parametrize(
    ("good", "bad", "message"),
    [
        (
            lambda: shop(replace(A, bundles=("g", "h"))),
            lambda: shop(replace(A, bundles=("g", "g"))),
            "task a names a bundle twice: g, g",
        ),
        (
            lambda: shop(A, B, C, choices=[(("a", "b"), ("c",))]),
            lambda: shop(A, B, C, choices=[(("a", "a"), ("c",))]),
            "an option of choice choice0 names a task twice: a, a",
        ),
        (
            lambda: shop(A, B, C, choices=[(("a",),)]),
            lambda: shop(A, B, C, choices=[()]),
            "choice choice0 has no option: one of them is to be carried out",
        ),
        (
            lambda: shop(A, B, C, choices=[(("a",), ("b",))]),
            lambda: shop(A, B, C, choices=[(("a",), ())]),
            "an option of choice choice0 names no task",
        ),
        (
            lambda: with_rings("ab", "bc", "ac"),
            lambda: with_rings("ab", "bc", "ca"),
            "task (a|b|c) waits for itself: (a before b before c before a|b before c.*|c before a.*)$",
        ),
        (lambda: with_rings("ab"), lambda: with_rings("ab", "cc"), "task c waits for itself: c before c"),
        (
            lambda: with_rings("ab", "ac"),
            lambda: with_rings("ab", "ba", "bc"),
            "task (a|b) waits for itself: (a before b before a|b before a before b)$",
        ),
        (
            lambda: shop(A, levels=("left_over", "finish")),
            lambda: shop(A, levels=("finish",)),
            r"levels \('finish',\) lack left_over",
        ),
        (
            lambda: late_by((MOST_LATE - 200) // 128),
            lambda: late_by((MOST_LATE - 200) // 128 + 1),
            "late to the horizon, all jobs count 1099511627[0-9]*, of which job j [0-9]*; 10995",
        ),
        (
            lambda: shop(replace(A, pressings=MOST_PRESSINGS - 1), B),
            lambda: shop(replace(A, pressings=MOST_PRESSINGS), B),
            "all tasks have 268435457 pressings, of which task a 268435456; 268435456 are the most",
        ),
        (
            lambda: shop(task("a", mode(MOST_TICKS))),
            lambda: shop(task("a", mode(MOST_TICKS + 1))),
            "task a, mode m1:- has a time of 4294967297 ticks; 4294967296 are the most",
        ),
        (
            lambda: shop(A, jobs=[job("j", due=-MOST_TICKS, weight=0)]),
            lambda: shop(A, jobs=[job("j", due=-MOST_TICKS - 1, weight=0)]),
            "job j has a time of -4294967297 ticks; 4294967296 are the most",
        ),
        (
            lambda: shop(A, jobs=[job("j", weight=GREATEST)]),
            lambda: shop(A, jobs=[job("j", weight=GREATEST + 1)]),
            "the weight of job j is 1152921504606846977; 1152921504606846976 is the most",
        ),
    ],
)
def test_refused_by_name(good: Callable[[], Instance], bad: Callable[[], Instance], message: str) -> None:
    good()
    with pytest.raises(ValueError, match=message):
        bad()


def test_a_late_job_without_a_due_date_counts_nothing() -> None:
    shop(A, jobs=[job("j", weight=1 << 60)])
