"""A whole plan as the text that is kept of it, and back."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from scheduler.domain.asjson import from_json, to_json
from scheduler.domain.disruptions import PartKind
from scheduler.domain.orders import Order
from scheduler.domain.plan import Plan, PlannedOrder
from scheduler.domain.shop import USUAL_WEEK

PLAN_FORM = 8
"""Number of the form that plans are kept in; raised when an older program couldn't read it."""

READABLE = (1, 2, 3, 4, 5, 6, 7, PLAN_FORM)
"""Forms that this program reads. One of form 1 doesn't say which orders came on top of another, one of form 2
not which sizes are pressed again, one of form 3 not which of these pieces are spoiled, one of form 4 not how
far runs under way were, nor how changed orders were in the morning, one of form 5 not which orders lacked
something that no run pressed, nor which presses had gone off. One of form 6 has the same hours of a person on
all weekdays, and doesn't say since when presses are down. One of form 7 doesn't say what a rest was to have
before its run was counted."""


_HOURS = ("start", "end", "overtime_end", "breaks")


def plan_text(plan: Plan) -> str:
    """The plan, shop and instance included, as one line of JSON."""
    return json.dumps(to_json(plan), ensure_ascii=False, separators=(",", ":"))


def plan_of_text(text: str, form: int) -> Plan:
    """The plan that `plan_text` made the text of.

    Raises
    ------
    ValueError
        When it is of another form or damaged; says where.
    """
    if form not in READABLE:
        raise ValueError(f"a plan of form {form}; this program reads form {PLAN_FORM}")
    return plan_of_data(json.loads(text), form)


def plan_of_data(data: object, form: int) -> Plan:
    """The plan that `to_json` made the data of.

    Raises
    ------
    ValueError
        When they are damaged; says where.
    """
    plan = from_json(Plan, _with_hours_by_weekday(data) if form < 7 else data)
    if form < 4:
        plan = _all_spoiled(plan)
    return _told_apart(plan) if form == 1 else plan


def _with_hours_by_weekday(data: Any) -> Any:
    """The data of a plan of form 1 to 6, each person's hours put down for every weekday of theirs.

    What is damaged in them stays as it is, to be refused by its place.
    """
    try:
        crew = [_person(one) for one in data["shop"]["crew"]]
        return {**data, "shop": {**data["shop"], "crew": crew}}
    except (KeyError, TypeError):
        return data


def _person(data: Any) -> Any:
    if not isinstance(data, dict) or "hours" in data:
        return data
    hours = {key: data[key] for key in _HOURS if key in data}
    weekdays = data.get("weekdays", USUAL_WEEK)
    rest = {key: one for key, one in data.items() if key not in (*_HOURS, "weekdays")}
    return {**rest, "hours": [[weekday, hours] for weekday in weekdays]}


def _all_spoiled(plan: Plan) -> Plan:
    """A plan of form 1 to 3, in which new garments are asked for all pieces that are pressed again.

    Whether these are spoiled or were not done it doesn't say. A garment too many does less harm than one that
    is not there.
    """
    return replace(
        plan,
        parts=tuple(
            replace(part, spoiled=part.pieces) if part.name is PartKind.AGAIN else part for part in plan.parts
        ),
    )


def _told_apart(plan: Plan) -> Plan:
    """A plan of form 1 with what came on top of orders marked as such.

    That form has no other sign of it than the id, so it has to be read here, and only here: of orders that
    came in during the day, for the customer of the order that the id names.
    """
    customers = {order.id: order.customer for order in plan.given}
    came = {one.order for one in plan.between.came}

    def base(order: Order | PlannedOrder) -> str:
        name, more, number = order.id.rpartition(" more")
        marked = more and (not number or number[1:].isdecimal()) and order.id in came
        return name if marked and customers.get(name) == order.customer else ""

    return replace(
        plan,
        given=tuple(replace(order, on_top_of=base(order)) for order in plan.given),
        orders=tuple(replace(order, on_top_of=base(order)) for order in plan.orders),
    )
