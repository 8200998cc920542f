"""The day's load as a picture for the page: how many people work at a time, beside those who are there."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from html import escape

from scheduler.domain.plan import Plan
from scheduler.sheets.clock import clock, long_date

STEP = timedelta(minutes=30)
COLUMN_PX = 40
LEFT_PX = 24
PERSON_PX = 22
"""Height of one person at work for the whole of a step."""


def busy_picture(plan: Plan) -> str:
    """Columns for each half hour of each planned day: people at changeovers and pressing, and people there.

    Empty when nobody is planned by name.
    """
    days = sorted({run.start.date() for run in plan.runs if run.operator})
    return "".join(_day(plan, day) for day in days)


def _day(plan: Plan, day: date) -> str:
    steps = _steps(plan, day)
    if not steps:
        return ""
    columns = [_people(plan, step, step + STEP) for step in steps]
    most = max(max(there, work) for there, _, work in columns)
    height = max(1.0, most) * PERSON_PX
    width = LEFT_PX + len(steps) * COLUMN_PX
    parts = [_line(people, height, width) for people in range(1, int(most) + 1)]
    for number, (step, (there, pressing, work)) in enumerate(zip(steps, columns, strict=True)):
        left = LEFT_PX + number * COLUMN_PX
        words = (
            f"{clock(step)}–{clock(step + STEP)}: {there:.1f} people there, {pressing:.1f} pressing, "
            f"{work - pressing:.1f} at changeovers"
        )
        parts.append(
            f"<g><title>{escape(words)}</title>"
            + _box("there", left, height, there)
            + _box("pressing", left, height, pressing)
            + _box("changing", left, height - pressing * PERSON_PX, work - pressing)
            + "</g>"
        )
        parts.append(f'<text x="{left + COLUMN_PX / 2:g}" y="{height + 15:.1f}" text-anchor="middle">'
                     f"{clock(step)}</text>")  # fmt: skip
    busiest = max(range(len(steps)), key=lambda number: columns[number][2])
    label = (
        f"{long_date(day)}: people at work by half hour, at most {columns[busiest][2]:.1f} from "
        f"{clock(steps[busiest])}, of {columns[busiest][0]:.1f} there"
    )
    return (
        f"<h3>People at work, {escape(long_date(day))}</h3>"
        '<p class="fine">By half hour: filled while pressing, hatched at changeovers; in the frame those '
        "who are there, breaks left out.</p>"
        f'<div class="scroll" tabindex="0" role="region" aria-label="{escape(label, quote=True)}">'
        f'<svg class="busy" role="img" aria-label="{escape(label, quote=True)}" width="{width + 2}" '
        f'height="{height + 20:.0f}">{"".join(parts)}</svg></div>'
    )


def _line(people: int, height: float, width: int) -> str:
    """The height of so many people, with their number at its left."""
    y = height - people * PERSON_PX
    return (
        f'<line class="hour" x1="{LEFT_PX}" x2="{width}" y1="{y:.1f}" y2="{y:.1f}"/>'
        f'<text x="{LEFT_PX - 6}" y="{y + 9:.1f}" text-anchor="end">{people}</text>'
    )


def _box(kind: str, left: float, bottom: float, people: float) -> str:
    tall = people * PERSON_PX
    return (
        f'<rect class="{kind}" x="{left + 3:g}" y="{bottom - tall:.1f}" width="{COLUMN_PX - 6}" '
        f'height="{tall:.1f}"/>'
    )


def _steps(plan: Plan, day: date) -> list[datetime]:
    runs = [run for run in plan.runs if run.operator and run.start.date() == day]
    first = min(run.start for run in runs)
    last = max(run.end for run in runs)
    shifts = [one for one in plan.shifts if one.start.date() == day]
    first = min([first, *(one.start for one in shifts)])
    last = max([last, *(one.end for one in shifts)])
    midnight = datetime.combine(day, time())
    begin = midnight + (first - midnight) // STEP * STEP
    return [begin + number * STEP for number in range(-((begin - last) // STEP))]


def _people(plan: Plan, start: datetime, end: datetime) -> tuple[float, float, float]:
    """People there, pressing, and at work altogether, on average over a stretch; breaks left out."""
    there = sum(_share(one.start, one.end, start, end) for one in plan.shifts)
    there -= sum(_share(one.start, one.end, start, end) for one in plan.breaks)
    pressing = changing = 0.0
    for run in plan.runs:
        if run.operator:
            changing += _share(run.start, run.pressing_start, start, end)
            pressing += _share(run.pressing_start, run.end, start, end)
            pressing -= sum(_share(first, last, start, end) for first, last in run.pauses)
    return max(0.0, there), max(0.0, pressing), max(0.0, pressing + changing)


def _share(first: datetime, last: datetime, start: datetime, end: datetime) -> float:
    return max(0.0, (min(last, end) - max(first, start)).total_seconds()) / (end - start).total_seconds()
