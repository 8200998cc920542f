"""The versions of a shop in the order of what they save."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.answers.columns import columns_of
from scheduler.answers.compare.rows import NAMES, Row, all_rows, paid_hours, short, signed
from scheduler.domain.figures import figure
from scheduler.scenarios.differences import Verdict
from scheduler.scenarios.quantities import Quantity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from scheduler.scenarios.changes import Compared
    from scheduler.scenarios.side import Side
    from scheduler.workflow.compare import Answer


RANKED = (Quantity.LATE_ORDERS, Quantity.LATENESS, Quantity.CHANGEOVER, Quantity.OVERTIME, Quantity.WORK)
"""What the ranking shows of each version."""

_WORSE = {
    Quantity.LATE_ORDERS: "late orders",
    Quantity.LATENESS: "late minutes",
    Quantity.OVERTIME: "minutes of overtime",
}
"""What may become worse with fewer people."""


def ranking_lines(answer: Answer, width: int) -> Iterator[str]:
    """The ranking as a table, or one below the other where it is too wide."""
    money = answer.money.rates is not None
    if not money:
        yield "Ranked by the plans; with --wage also by payback"
    else:
        yield f"Ranked by {'payback' if answer.exchanged else 'what is saved'}, proven first"
    yield "Differences to today, of all days:" if len(answer.today.days) > 1 else "Differences to today:"
    head = ["", "late orders", "late min", "changeover min", "overtime min", "work h", "paid h"]
    head += ["price", "saved a day", "seeds", "proven a day"] if money else []
    head += ["pays back"] if money and answer.exchanged else []
    table = [(*head, "proven")]
    for rank, one in enumerate(answer.versions, start=1):
        rows = {row.quantity: row for row in all_rows(answer.today, one)}
        cells = [f"{rank}. {one.version.name}", *(signed(rows[quantity].planned) for quantity in RANKED)]
        paid, then = paid_hours(answer.today, one.side)
        cells.append(signed(then - paid))
        if money:
            cells += [
                "?" if one.version.price is None else figure(one.version.price),
                *_saved(one),
            ]
            cells += [_pays_back(one)] if answer.exchanged else []
        table.append((*cells, proven_words(answer.today, one)))
    table = _without_noughts(table, range(1, 2 + len(RANKED)))
    side_by_side = columns_of(table, right=False)
    if max(map(len, side_by_side)) <= width:
        yield from side_by_side
        return
    for cells_ in table[1:]:
        yield cells_[0]
        yield "    " + "; ".join(
            f"{name}: {cell}" for name, cell in zip(table[0][1:], cells_[1:], strict=True)
        )


def _without_noughts(table: list[tuple[str, ...]], columns: range) -> list[tuple[str, ...]]:
    """The table without those of some columns in which nothing differs."""
    empty = {column for column in columns if all(row[column] == "0" for row in table[1:])}
    return [tuple(cell for column, cell in enumerate(row) if column not in empty) for row in table]


def proven_words(today: Side, one: Compared) -> str:
    """The quantities that are better or worse for certain, and by how much, in words."""
    if all(day.problem == 0 for day in one.side.days):
        return "no difference: nothing of it touches these orders"
    rows = sorted(all_rows(today, one), key=lambda row: list(NAMES).index(row.quantity))
    found = []
    for verdict in (Verdict.BETTER, Verdict.WORSE):
        sure = [_amount(row, len(today.days)) for row in rows if row.verdict is verdict]
        found += [f"{verdict.value} by at least: {', '.join(sure)}"] if sure else []
    paid, then = paid_hours(today, one.side)
    if paid != then:
        # They follow from the shifts, whatever the plan.
        found.append(f"{short(abs(then - paid))} paid hours {'more' if then > paid else 'less'}")
    return "; ".join(found) or "no difference"


def wages_lines(answer: Answer) -> Iterator[str]:
    """Of versions of which only fewer paid hours are proven: that it is so, and what isn't proven."""
    for one in answer.versions:
        if one.saved is None or not one.saved.wages_alone:
            continue
        planned = {row.quantity: row.planned for row in all_rows(answer.today, one)}
        worse = [f"{signed(planned[which])} {name}" for which, name in _WORSE.items() if planned[which] > 0]
        plans = f": by the plans it is not, {', '.join(worse)}" if worse else ", though by the plans it is"
        paid, then = paid_hours(answer.today, one.side)
        days = " in all" if len(answer.today.days) > 1 else ""
        yield (
            f"{one.version.name}: proven are the wages of {short(paid - then)} hours{days} that are not "
            f"paid, and nothing else. Not proven is that the work is done as well without them{plans}; nor "
            "that anything but the hours brings it."
        )


def _amount(row: Row, days: int) -> str:
    """A quantity and by how much it is better or worse for certain; its unit once."""
    name, amount = NAMES[row.quantity], row.at_least()
    value, _, unit = amount.partition(" ")
    averaged = " on average" if days > 1 and row.quantity is Quantity.FINISH else ""
    return f"{name} {value if unit in name else amount}{averaged}"


def _saved(one: Compared) -> tuple[str, str, str]:
    """Money saved a day: by the plans, over the seeds, proven."""
    if one.saved is None:
        return ("?", "?", "?")
    low, high = figure(min(one.saved.by_seed)), figure(max(one.saved.by_seed))
    proven = figure(one.saved.least) if one.saved.least > 0 else "nothing"
    proven += " (wages)" if one.saved.wages_alone else ""
    return figure(one.saved.planned), low if low == high else f"{low} to {high}", proven


def _pays_back(one: Compared) -> str:
    if one.saved is None:
        return "?"
    if one.saved.planned <= 0:
        return "never"
    if one.payback is None:
        return "?"
    if not one.version.price:
        return "costs nothing"
    days = f"{figure(one.payback.working_days, 1)} days"
    if one.payback_proven is None:
        return f"not proven; {days} by the plans"
    by = " (wages)" if one.saved.wages_alone else ""
    return f"{days}; proven{by}: {figure(one.payback_proven.working_days, 1)} at most"
