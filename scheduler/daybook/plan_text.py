"""A whole plan as the text that is kept of it, and back."""

from __future__ import annotations

import json

from scheduler.domain.asjson import from_json, to_json
from scheduler.domain.plan import Plan

PLAN_FORM = 1
"""Number of the form that plans are kept in; raised when an older program couldn't read it."""


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
    if form != PLAN_FORM:
        raise ValueError(f"a plan of form {form}; this program reads form {PLAN_FORM}")
    return from_json(Plan, json.loads(text))
