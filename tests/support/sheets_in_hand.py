"""What sheets in hand say, read from their printed texts alone, against what a new print would say."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from scheduler.domain.plan import Plan
from scheduler.sheets.dayview import sheet_days
from scheduler.sheets.paper import PaperChange
from scheduler.sheets.run_sheets import section

OFF_MIN = 5
"""A start may be off by less than this; a minute more here, since sheets say no seconds."""

Duty = tuple[tuple[str, ...], datetime]


def check_kept(old: Plan, new: Plan, change: PaperChange, at: datetime) -> int:
    """Every sheet of the plan before that stays in hand asks for the same from the moment on; how many do."""
    over = {str(run.number) for run in new.runs if run.end <= at}
    going = {str(run.number) for run in new.runs if run.start <= at}
    looked = 0
    for kept in change.kept:
        if kept.version != old.version:
            continue
        there, now = (
            [
                duty
                for sheet in sheet_days(plan, kept.side, kept.name)
                if sheet.day == kept.day
                for duty in _duties(section(plan, sheet), sheet.day, over, at)
            ]
            for plan in (old, new)
        )
        assert [what for what, _ in there] == [what for what, _ in now], (kept.name, kept.day)
        for (what, was), (_, when) in zip(there, now, strict=True):
            begun = what[0] == "run" and what[1] in going
            assert begun or abs(was - when) <= timedelta(minutes=OFF_MIN), (kept.name, what)
        looked += 1
    return looked


def _duties(data: Any, day: Any, over: set[str], at: datetime) -> Iterator[Duty]:
    """Runs and presses to switch on, with what stands beside them and when."""

    def moment(clock: str) -> datetime:
        return datetime.combine(day, datetime.strptime(clock, "%H:%M").time())

    for entry in data["entries"]:
        if entry["type"] == "line":
            if "SWITCH" in entry["text"]:
                when = moment(entry["time"][:5])
                # What goes off at once stands at the moment itself.
                at_once = "SWITCH OFF" in entry["text"] and (when.hour, when.minute) == (at.hour, at.minute)
                if when > at or at_once:
                    yield ("switch", _timeless(entry["text"])), when
            continue
        if entry["number"] in over:
            continue
        cut_off = entry.get("cut_off", "").removesuffix(", will be late")
        texts = [entry[key] for key in ("number", "where", "platen", "order", "quantity", "temp", "dwell")]
        yield ("run", *texts, cut_off), moment(entry["start"])
        for text in (*entry["change"]["on"], *entry["notes"]):
            if "SWITCH ON" in text and moment(found := re.findall(r"\d\d:\d\d", text)[0]) > at:
                yield ("switch", _timeless(text)), moment(found)


def _timeless(text: str) -> str:
    return re.sub(r"\d\d:\d\d", "", text)
