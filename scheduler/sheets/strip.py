"""The small picture of a day at the head of a sheet, as numbers between 0 and 1."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING

from scheduler.sheets.dayview import SheetDay, warm_up_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.domain.plan import Plan, PlannedRun


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
        and `b` between 0 and 1, and a text).
    """
    warm = [one for run in sheet.runs if (one := warm_up_of(plan, run))] if sheet.side == "press" else []
    moments = [moment for item in sheet.items for moment in (item.start, item.end)]
    moments += [one.start for one in warm]
    if sheet.shift:
        moments += [sheet.shift.start, sheet.shift.end]
    first, last = window(moments)
    length = (last - first).total_seconds()

    def at(when: datetime) -> float:
        return round(min(1.0, max(0.0, (when - first).total_seconds() / length)), 5)

    def bar(kind: str, start: datetime, end: datetime, text: str = "") -> dict[str, object]:
        return {"kind": kind, "a": at(start), "b": at(end), "text": text}

    pauses = [
        bar("break", item.start, item.end) for item in sheet.items if getattr(item, "kind", "") == "break"
    ]
    labels = list(
        dict.fromkeys(run.press if sheet.side == "operator" else run.operator for run in sheet.runs)
    )
    rows: list[dict[str, object]] = []
    for label in labels:
        bars = list(pauses)
        if not rows:
            bars += [bar("heat", one.start, one.ready) for one in warm]
        for run in sheet.runs:
            if label != (run.press if sheet.side == "operator" else run.operator):
                continue
            if run.pressing_start > run.start:
                bars.append(bar("change", run.start, run.pressing_start))
            bars.append(bar("run", run.pressing_start, run.end))
            bars += [bar("break", *pause) for pause in run.pauses]
            bars.append(bar("mark", *_longest(run), str(run.number)))
        rows.append({"label": label, "bars": bars})
    count = round(length / 3600)
    hours = [
        {"a": round(index / count, 5), "text": str((first + timedelta(hours=index)).hour)}
        for index in range(count + 1)
    ]
    return {"hours": hours, "rows": rows}


def _longest(run: PlannedRun) -> tuple[datetime, datetime]:
    """The longest stretch of a run without a pause: where its number has most room."""
    edges = [run.pressing_start, *(edge for pause in run.pauses for edge in pause), run.end]
    stretches = list(zip(edges[::2], edges[1::2], strict=True))
    return max(stretches, key=lambda pair: pair[1] - pair[0])
