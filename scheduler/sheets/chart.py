"""The day as a picture for the page: one lane for each press or person, drawn as SVG."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from html import escape

from scheduler.domain.clock import clock, long_date
from scheduler.domain.figures import counted
from scheduler.domain.paper import Side
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.sheets.dayview import changeovers_of, in_time, names, owners, place
from scheduler.sheets.marks import Margin
from scheduler.sheets.strip import stretches, window

HOUR_PX = 104
LANE_PX = 40
MARK_PX = 13
"""Height of the numbers above and below a lane."""

LETTER_PX = 7.4
"""Room that a letter of a bar's label takes, a little on the safe side."""

PATTERNS = (
    '<svg class="defs" aria-hidden="true" focusable="false" width="0" height="0"><defs>'
    '<pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<line class="ink" x1="0" y1="0" x2="0" y2="6" stroke-width="2.4"/></pattern>'
    '<pattern id="dots" width="6" height="6" patternUnits="userSpaceOnUse">'
    '<circle class="dot" cx="2" cy="2" r="1.1"/></pattern></defs></svg>'
)
"""Fills used by every lane; they tell a changeover from a break without colour."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Where a moment lies on the picture, in pixels from its left edge."""

    first: datetime
    last: datetime

    @property
    def width(self) -> int:
        """Width of the picture."""
        return round((self.last - self.first).total_seconds() / 3600 * HOUR_PX) + 1

    def x(self, when: datetime) -> float:
        """Pixels from the left edge, kept within the picture."""
        seconds = (min(max(when, self.first), self.last) - self.first).total_seconds()
        return round(seconds / 3600 * HOUR_PX, 1)


def charts(plan: Plan) -> str:
    """All pictures of the plan as HTML: for each date, presses first, then people."""
    parts = [PATTERNS]
    for day in sorted({run.start.date() for run in plan.runs}):
        for side, title in (("press", "presses"), ("operator", "people")):
            parts.append(_chart(plan, day, "press" if side == "press" else "operator", title))
    return "".join(parts)


def _chart(plan: Plan, day: date, side: Side, title: str) -> str:
    runs = [run for run in in_time(plan) if run.start.date() == day]
    scale = _scale(plan, day, runs)
    lanes = "".join(
        _lane(plan, day, side, name, [run for run in runs if name in owners(run, side)], scale)
        for name in names(plan, side)
        if any(name in owners(run, side) for run in runs)
    )
    label = escape(f"{long_date(day)}, {title}")
    return (
        f"<h3>{label}</h3>"
        f'<div class="scroll" tabindex="0" role="region" aria-label="Chart: {label}">'
        f'<div class="chart">{_axis(scale)}{lanes}</div></div>'
    )


def _scale(plan: Plan, day: date, runs: list[PlannedRun]) -> Scale:
    moments = [moment for run in runs for moment in (run.start, run.end)]
    moments += [one.start for one in plan.warm_ups if one.start.date() == day]
    moments += [edge for one in plan.shifts if one.start.date() == day for edge in (one.start, one.end)]
    return Scale(*window(moments))


def _hours(scale: Scale) -> list[datetime]:
    count = round((scale.last - scale.first).total_seconds() / 3600)
    return [scale.first + timedelta(hours=index) for index in range(count + 1)]


def _axis(scale: Scale) -> str:
    hours = _hours(scale)
    marks = "".join(
        f'<text x="{scale.x(hour)}" y="15" text-anchor='
        f'"{"start" if hour == hours[0] else "end" if hour == hours[-1] else "middle"}">{hour:%H:%M}</text>'
        for hour in hours
    )
    return f'<svg class="axis" aria-hidden="true" width="{scale.width}" height="20">{marks}</svg>'


def _lane(plan: Plan, day: date, side: Side, name: str, runs: list[PlannedRun], scale: Scale) -> str:
    parts = [
        f'<line class="hour" x1="{scale.x(hour)}" x2="{scale.x(hour)}" y1="{-MARK_PX}" '
        f'y2="{LANE_PX + MARK_PX}"/>'
        for hour in _hours(scale)
    ]
    if side == "operator":
        for shift in plan.shifts:
            if shift.operator == name and shift.start.date() == day:
                parts.append(_box("shift", scale, shift.start, shift.end, 3))
        for rest in plan.breaks:
            if rest.operator == name and rest.start.date() == day:
                parts.append(
                    _box("break", scale, rest.start, rest.end, 3, f"Break {_span(rest.start, rest.end)}")
                )
    else:
        for warm in plan.warm_ups:
            if warm.press == name and warm.start.date() == day:
                words = f"Heating to {warm.temp_c} °C, {clock(warm.start)}–{clock(warm.ready)}"
                parts.append(_box("warm", scale, warm.start, warm.ready, 7, words))
    late = {order.id for order in plan.orders if order.late_minutes > 0 or order.finished is None}
    margin = Margin(left=0.0, right=float(scale.width), gap=4.0)
    # Before the runs, so that it hides none of their numbers.
    if plan.at is not None and plan.at.date() == day:
        parts.append(
            f'<line class="moment" x1="{scale.x(plan.at)}" x2="{scale.x(plan.at)}" y1="{-MARK_PX}" '
            f'y2="{LANE_PX + MARK_PX}"><title>Planned again from {clock(plan.at)} on</title></line>'
        )
    parts += [_run(plan, run, scale, run.content.order in late, margin) for run in runs]
    above = MARK_PX if margin.above > 0 else 0
    height = LANE_PX + above + (MARK_PX if margin.below > 0 else 0)
    return (
        f'<div class="lane"><div class="name">{escape(name or "nobody needed")}</div>'
        f'<svg role="group" aria-label="{escape(name or "nobody needed", quote=True)}" '
        f'width="{scale.width}" height="{height}"><g transform="translate(0 {above})">'
        f"{''.join(parts)}</g></svg></div>"
    )


def _box(kind: str, scale: Scale, start: datetime, end: datetime, inset: int, title: str = "") -> str:
    left, right = scale.x(start), scale.x(end)
    inner = f"<title>{escape(title)}</title>" if title else ""
    return (
        f'<rect class="{kind}" x="{left}" y="{inset}" width="{round(max(right - left, 1), 1)}" '
        f'height="{LANE_PX - 2 * inset}">{inner}</rect>'
    )


def _two(scale: Scale, start: datetime, end: datetime) -> str:
    """The mark of a run at two presses, in both lanes: a frame inside the frame tells without colour."""
    left, right = scale.x(start) + 3, scale.x(end) - 3
    if right - left < 2:
        return ""
    return f'<rect class="two" x="{left:.1f}" y="7" width="{right - left:.1f}" height="{LANE_PX - 14}"/>'


def _run(plan: Plan, run: PlannedRun, scale: Scale, late: bool, margin: Margin) -> str:
    words = run_words(plan, run) + (" The order is late or not done whole." if late else "")
    parts = [f"<title>{escape(words)}</title>"]
    if run.pressing_start > run.start:
        parts.append(_box("change", scale, run.start, run.pressing_start, 7))
    parts.append(_box("bar", scale, run.pressing_start, run.end, 4))
    if run.second_press:
        parts.append(_two(scale, run.pressing_start, run.end))
    parts += [_box("break", scale, start, end, 5) for start, end in run.pauses]
    mark = f"{run.number}!" if late else str(run.number)
    parts += [_number(run, scale, mark, span, margin) for span in stretches(run)]
    return (
        f'<a class="run{" late" if late else ""}" href="#run-{run.number}" data-run="{run.number}">'
        f"{''.join(parts)}</a>"
    )


def _number(run: PlannedRun, scale: Scale, mark: str, span: tuple[datetime, datetime], margin: Margin) -> str:
    """A run's number, with its order where the bar is long enough; beside the bar where it is short."""
    left, right = scale.x(span[0]), scale.x(span[1])
    text = f"{mark} · {run.content.order}"
    if len(text) * LETTER_PX > right - left - 4:
        text = mark
    placed = margin.place(left, right, len(text) * LETTER_PX + 4)
    if placed is None:
        return ""
    where, middle = placed
    y = {"in": LANE_PX / 2 + 4.5, "above": -1.0, "below": LANE_PX + 9.5}[where]
    beside = "" if where == "in" else ' class="beside"'
    return f'<text{beside} x="{round(middle, 1)}" y="{y}" text-anchor="middle">{escape(text)}</text>'


def run_words(plan: Plan, run: PlannedRun) -> str:
    """A run in one or two sentences, for whoever points at it or has it read out."""
    content = run.content
    text = (
        f"Run {run.number}, {clock(run.pressing_start)}–{clock(run.end)}: order {content.order}, "
        f"{content.customer}; {' + '.join(content.placements)}, {counted(content.quantity, 'piece')}; "
        f"{place(run)}, platen {run.platen or 'none'}{' at each' if run.second_press else ''}, "
        f"{run.operator or 'nobody needed'}; "
        f"{run.temp_c} °C, {content.recipe.dwell_s} s."
    )
    changes = changeovers_of(plan, run)
    if changes:
        names_of = dict.fromkeys(part.name for change in changes for part in change.parts)
        text += f" Changeover before it: {', '.join(names_of)}."
    if run.pauses:
        text += f" Break in it: {', '.join(_span(*pause) for pause in run.pauses)}."
    return text


def _span(start: datetime, end: datetime) -> str:
    return f"{clock(start)}–{clock(end)}"
