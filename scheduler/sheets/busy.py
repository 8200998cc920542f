"""The day's load as a picture for the page: how many people work at a time, beside those who are there."""

from __future__ import annotations

from html import escape

from scheduler.domain.clock import clock, long_date
from scheduler.domain.plan import Plan
from scheduler.sheets.day_load import WorkDay, work_days

COLUMN_PX = 40
LEFT_PX = 24
PERSON_PX = 22
"""Height of one person at work for the whole of a step."""


def busy_picture(plan: Plan) -> str:
    """Columns for each half hour of each planned day: people at changeovers and pressing, and people there.

    Empty when nobody is planned by name.
    """
    return "".join(map(_day, work_days(plan)))


def _day(work: WorkDay) -> str:
    height = max(1.0, work.most) * PERSON_PX
    width = LEFT_PX + len(work.steps) * COLUMN_PX
    parts = [_line(people, height, width) for people in range(1, int(work.most) + 1)]
    for number, step in enumerate(work.steps):
        left = LEFT_PX + number * COLUMN_PX
        parts.append(
            f"<g><title>{escape(step.words)}</title>"
            + _box("there", left, height, step.there)
            + _box("pressing", left, height, step.pressing)
            + _box("changing", left, height - step.pressing * PERSON_PX, step.changing)
            + "</g>"
        )
        parts.append(f'<text x="{left + COLUMN_PX / 2:g}" y="{height + 15:.1f}" text-anchor="middle">'
                     f"{clock(step.start)}</text>")  # fmt: skip
    label = escape(work.words, quote=True)
    return (
        f"<h3>People at work, {escape(long_date(work.day))}</h3>"
        '<p class="fine">By half hour: filled while pressing, hatched at changeovers; in the frame those '
        "who are there, breaks left out.</p>"
        f'<div class="scroll" tabindex="0" role="region" aria-label="{label}">'
        f'<svg class="busy" role="img" aria-label="{label}" width="{width + 2}" '
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
