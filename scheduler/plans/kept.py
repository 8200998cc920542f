"""The plan as the program keeps it beside the sheets, so that they can be printed again."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from scheduler.daybook.plan_text import PLAN_FORM as FORM
from scheduler.daybook.plan_text import READABLE, plan_of_data
from scheduler.domain.asjson import to_json
from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput
from scheduler.plans.places import KEPT, newest

if TYPE_CHECKING:
    from pathlib import Path

    from scheduler.domain.plan import Plan

NAME = KEPT


def kept_bytes(plan: Plan) -> bytes:
    """The whole plan, shop and instance included, as `read_kept` reads it."""
    document = {"pressday_kept_plan": FORM, "plan": to_json(plan)}
    return json.dumps(document, ensure_ascii=False, separators=(",", ":")).encode()


def read_kept(folder: Path) -> tuple[Plan, Path]:
    """The plan kept in a plan's folder, or the newest one below a folder of plans; and its folder.

    Raises
    ------
    BadInput
        When there is none, or it can't be read.
    """
    file = newest(folder, NAME)
    if file is None:
        raise _fault(
            str(folder), "no-kept-plan", f"no file {NAME} here", "the folder that pressday plan wrote"
        )
    try:
        document = json.loads(file.read_text(encoding="utf-8"))
        form = document.get("pressday_kept_plan") if isinstance(document, dict) else None
        if form not in READABLE:
            raise ValueError(f"form {form!r} of the file")
        return plan_of_data(document["plan"], form), file.parent
    except OSError as error:
        found = f"can't be read: {(error.strerror or str(error)).lower()}"
        raise _fault(str(file), "kept-plan-unreadable", found, "a kept plan") from error
    except (ValueError, KeyError, RecursionError) as error:
        # Json and unicode errors are ValueErrors.
        found = f"not a plan of this program: {' '.join(str(error).split())[:120]}"
        raise _fault(str(file), "kept-plan-unreadable", found, f"a kept plan of form {FORM}") from error


def _fault(file: str, code: str, found: str, expected: str) -> BadInput:
    mend = "Name a folder that holds a plan, or plan the day again."
    return BadInput([Fault(code=code, source=Source(file=file), found=found, expected=expected, mend=mend)])
