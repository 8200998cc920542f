"""The small picture of a day at the head of a sheet, as numbers between 0 and 1."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING

from scheduler.sheets.dayview import SheetDay, owners, warm_up_of
from scheduler.sheets.marks import Margin

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.domain.paper import Side
    from scheduler.domain.plan import Plan, PlannedRun


PICTURE_MM = 150.0
"""Width of the picture on the narrower paper, a little on the safe side."""

DIGIT_MM = 1.6
"""Room that a digit takes in the smallest type, in the widest of the fonts."""


def window(moments: Iterable[datetime]) -> tuple[datetime, datetime]:
    """Whole hours around some moments of one date."""
    known = sorted(moments)
    first = datetime.combine(known[0].date(), time(known[0].hour))
    last = known[-1]
    whole = datetime.combine(last.date(), time(last.hour))
    return first, whole if whole == last else whole + timedelta(hours=1)


def strip(plan: Plan, sheet: SheetDay) -> dict[str, object]:
    """Rows of bars for the template: a person's day by press, a press's day by person.

    Returns
    -------
    dict
        `hours` (place and text of each hour) and `rows` (label and bars; a bar has its kind, `a`
        and `b` between 0 and 1, and a text; a number that its bar is too short for stands at `a`
        and is of kind "above" or "below"). Both are empty where nothing is to be done any more.
    """
    warm = (
        [(run, one) for run in sheet.runs if (one := warm_up_of(plan, run, sheet.name))]
        if sheet.side == "press"
        else []
    )
    moments = [moment for item in sheet.items for moment in (item.start, item.end)]
    moments += [one.start for _, one in warm]
    if sheet.shift:
        moments += [sheet.shift.start, sheet.shift.end]
    if not moments:
        return {"hours": [], "rows": []}
    first, last = window(moments)
    length = (last - first).total_seconds()

    def at(when: datetime) -> float:
        return round(min(1.0, max(0.0, (when - first).total_seconds() / length)), 5)

    def numbers(run: PlannedRun, margin: Margin) -> list[dict[str, object]]:
        text, found = str(run.number), []
        for first, last in stretches(run):
            edges = at(first) * PICTURE_MM, at(last) * PICTURE_MM
            placed = margin.place(*edges, len(text) * DIGIT_MM + 0.3)
            if placed is None:
                continue
            where, middle = placed
            if where == "in":
                found.append(bar("mark", first, last, text))
            else:
                spot = round(middle / PICTURE_MM, 5)
                found.append({"kind": where, "a": spot, "b": spot, "text": text})
        return found

    def bar(kind: str, start: datetime, end: datetime, text: str = "") -> dict[str, object]:
        return {"kind": kind, "a": at(start), "b": at(end), "text": text}

    pauses = [
        bar("break", item.start, item.end) for item in sheet.items if getattr(item, "kind", "") == "break"
    ]
    across: Side = "press" if sheet.side == "operator" else "operator"
    labels = list(dict.fromkeys(name for run in sheet.runs for name in owners(run, across)))
    rows: list[dict[str, object]] = []
    for label in labels:
        bars = list(pauses)
        margin = Margin(left=0.0, right=PICTURE_MM, gap=0.6)
        # Heating stands with whoever switches the press on; who has no line here does it for the run's.
        bars += [
            bar("heat", one.start, one.ready)
            for run, one in warm
            if label == (one.by if one.by in labels else owners(run, across)[0])
        ]
        for run in sheet.runs:
            if label not in owners(run, across):
                continue
            if run.pressing_start > run.start:
                bars.append(bar("change", run.start, run.pressing_start))
            bars.append(bar("two" if run.second_press else "run", run.pressing_start, run.end))
            bars += [bar("break", *pause) for pause in run.pauses]
            bars += numbers(run, margin)
        rows.append({"label": label, "bars": bars})
    count = round(length / 3600)
    hours = [
        {"a": round(index / count, 5), "text": str((first + timedelta(hours=index)).hour)}
        for index in range(count + 1)
    ]
    return {"hours": hours, "rows": rows}


def stretches(run: PlannedRun) -> list[tuple[datetime, datetime]]:
    """The parts of a run's pressing that its breaks leave, in order of time."""
    edges = [run.pressing_start, *(edge for pause in run.pauses for edge in pause), run.end]
    return [(first, last) for first, last in zip(edges[::2], edges[1::2], strict=True) if first < last]
