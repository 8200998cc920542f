"""What `pressday compare --json` answers: the figures of `rows` as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scheduler.answers.compare.rows import Cell, Row, all_rows, blocks, paid_hours
from scheduler.answers.faults import fault_json
from scheduler.answers.numbers import plain
from scheduler.intake.files.labels import printable
from scheduler.savings.worth import fraction
from scheduler.scenarios.quantities import Quantity

if TYPE_CHECKING:
    from scheduler.savings.worth import Payback
    from scheduler.scenarios.changes import Compared, Together
    from scheduler.workflow.compare import Answer


def document(answer: Answer) -> dict[str, Any]:
    """The comparison as plain data."""
    rates = answer.money.rates
    return {
        "days": [
            {
                "day": one.day.isoformat(),
                "files": [printable(path.name) for path in one.files],
                "orders": day.best.orders,
                "garments": day.best.garments,
            }
            for one, day in zip(answer.scenarios.days, answer.today.days, strict=True)
        ],
        "effort": answer.search.effort,
        "plans_exchanged": answer.exchanged,
        "seeds": list(answer.search.seeds),
        "assumed": {
            "wage": None if rates is None else plain(fraction(rates.wage)),
            "overtime_wage": None if rates is None else plain(fraction(rates.overtime_wage)),
            "late_order": None if rates is None else plain(fraction(rates.late_order)),
            "working_days_per_year": plain(answer.money.days),
        },
        "versions": [_version(answer, one) for one in answer.versions],
        "together": [_together(one) for one in answer.together],
        "not_compared": [
            *(
                {"name": name, "faults": [fault_json(fault) for fault in faults]}
                for name, faults in answer.scenarios.failed.items()
            ),
            *({"name": name, "trouble": why} for name, why in answer.broken.items()),
            *({"name": name, "trouble": "stopped before it was planned"} for name in answer.unfinished),
        ],
    }


def _version(answer: Answer, one: Compared) -> dict[str, Any]:
    saved = one.saved
    year = answer.money.days * one.share
    return {
        "name": one.version.name,
        "parts": list(one.version.parts),
        "price": plain(one.version.price),
        "cost_a_day": plain(one.version.cost_a_day),
        "touches_these_orders": any(day.problem for day in one.side.days),
        "days": [
            {"day": answer.scenarios.days[day].day.isoformat(), "figures": _figures(rows)}
            for day, rows in blocks(answer.today, one)
            if day is not None
        ],
        "in_all": _figures(all_rows(answer.today, one)),
        "paid_hours": {
            name: plain(hours)
            for name, hours in zip(("today", "then"), paid_hours(answer.today, one.side), strict=True)
        },
        "proven_better": [quantity.value for quantity in one.proven_better],
        "saved_a_day": None
        if saved is None
        else {
            "planned": plain(saved.planned),
            "at_least": plain(saved.least),
            "at_most": plain(saved.most),
            "at_least_is_wages_alone": saved.wages_alone,
            "by_seed": [plain(one) for one in saved.by_seed],
            "days_a_year": plain(year),
            "planned_a_year": plain(saved.planned * year),
            "at_least_a_year": plain(saved.least * year),
        },
        "payback": _payback(one.payback),
        "payback_proven": _payback(one.payback_proven),
    }


def _payback(paid: Payback | None) -> dict[str, Any] | None:
    return None if paid is None else {"working_days": plain(paid.working_days), "garments": paid.garments}


def _figures(rows: list[Row]) -> dict[str, Any]:
    def cell(one: Cell) -> dict[str, Any]:
        return {
            "plan": plain(one.plan),
            "at_best": plain(one.bound),
            "seeds_low": plain(one.low),
            "seeds_high": plain(one.high),
        }

    names = {Quantity.NOT_THAT_DAY: "packed_that_day"}
    return {
        names.get(row.quantity, row.quantity.value): {
            "unit": "minutes after midnight" if row.quantity is Quantity.FINISH else row.unit,
            "today": cell(row.today),
            "then": cell(row.then),
            "difference": plain(row.planned),
            "at_least": plain(row.least),
            "at_most": plain(row.most),
            "verdict": row.verdict.value,
        }
        for row in rows
    }


def _together(one: Together) -> dict[str, Any]:
    return {
        "names": list(one.names),
        "unit": one.unit,
        "together": plain(one.together),
        "added_up": plain(one.added_up),
        "more_at_least": plain(one.least),
        "more_at_most": plain(one.most),
        "proven": one.proven,
    }
