"""All figures of a comparison as a workbook."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.answers.compare.ranking import proven_words
from scheduler.answers.compare.rows import Row, all_rows, blocks, paid_hours
from scheduler.answers.compare.words import notes
from scheduler.domain.figures import rounded
from scheduler.sheets.figures_book import Sheet, figures_book

if TYPE_CHECKING:
    from collections.abc import Iterator
    from fractions import Fraction

    from scheduler.scenarios.changes import Compared
    from scheduler.sheets.cells import Value
    from scheduler.workflow.compare import Answer

FIGURES = (
    "Version", "Day", "What", "Today", "Today at best", "Today, seeds from", "to",
    "Then", "Then at best", "Then, seeds from", "to ", "Difference", "Lies between", "and", "Known",
)  # fmt: skip
NOT_SEARCHED: tuple[Value, ...] = (None, None, None)
"""Paid hours have no best and no seeds: they follow from the shifts."""


def comparison_book(answer: Answer) -> bytes:
    """Sheets: Ranking, Pairs, Figures, Notes. Moments of finishing are minutes after midnight."""
    sheets: list[Sheet] = [
        ("Ranking", *_ranking(answer)),
        ("Pairs", *_pairs(answer)),
        ("Figures", FIGURES, list(_figures(answer))),
        ("Notes", ("What this rests on",), [(line,) for line in notes(answer) if line]),
    ]
    return figures_book("Versions of a shop compared", sheets, day=answer.scenarios.days[0].day)


def _ranking(answer: Answer) -> tuple[tuple[str, ...], list[tuple[Value, ...]]]:
    shown = all_rows(answer.today, answer.versions[0]) if answer.versions else []
    head = (
        "Rank", "Version", "Price", "Cost a day", "Saved a day", "At least", "Pays back by the plans, days",
        "Proven, days at most", "Proven", "paid, hours",
        *(row.title.replace("clock", "minutes") for row in shown),
    )  # fmt: skip
    rows: list[tuple[Value, ...]] = []
    for rank, one in enumerate(answer.versions, start=1):
        saved = one.saved
        rows.append(
            (
                rank,
                one.version.name,
                _number(one.version.price),
                _number(one.version.cost_a_day),
                _number(saved.planned if saved else None),
                _number(saved.least if saved else None),
                _number(one.payback.working_days if one.payback else None),
                _number(one.payback_proven.working_days if one.payback_proven else None),
                proven_words(answer.today, one),
                _more_paid(answer, one),
                *(_number(row.planned) for row in all_rows(answer.today, one)),
            )
        )
    return head, rows


def _pairs(answer: Answer) -> tuple[tuple[str, ...], list[tuple[Value, ...]]]:
    head = (
        "First", "Second", "What", "Together", "Added up", "Together less added up", "Lies between", "and",
        "Proven",
    )  # fmt: skip
    return head, [
        (
            *one.names,
            "money a day" if one.unit == "money" else f"{one.unit} taken off",
            _number(one.together),
            _number(one.added_up),
            _number(one.more),
            _number(one.least),
            _number(one.most),
            "yes" if one.proven else "no",
        )
        for one in answer.together
    ]


def _figures(answer: Answer) -> Iterator[tuple[Value, ...]]:
    for one in answer.versions:
        for day, rows in blocks(answer.today, one):
            when = None if day is None else answer.scenarios.days[day].day
            for row in rows:
                yield (one.version.name, when or "all days", *_row(row))
            today, then = paid_hours(answer.today, one.side, day)
            paid = (_number(today), *NOT_SEARCHED, _number(then), *NOT_SEARCHED, _number(then - today))
            yield (one.version.name, when or "all days", "paid, hours", *paid, None, None, None)


def _more_paid(answer: Answer, one: Compared) -> float | None:
    """Paid hours of all days more than today's."""
    today, then = paid_hours(answer.today, one.side)
    return _number(then - today)


def _row(row: Row) -> Iterator[Value]:
    yield row.title.replace("clock", "minutes after midnight")
    for cell in (row.today, row.then):
        yield from map(_number, (cell.plan, cell.bound, cell.low, cell.high))
    yield from map(_number, (row.planned, row.least, row.most))
    yield row.verdict.value


def _number(value: Fraction | float | None) -> float | None:
    return None if value is None else rounded(value, 2)
