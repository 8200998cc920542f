"""Rule: work lies in shifts and days, pauses over breaks, and takes as long as it takes."""

from __future__ import annotations

from scheduler.domain.instance import Operator, Shift
from scheduler.domain.schedule import Break
from scheduler.verify.view import Run, View


def check_calendar(view: View) -> list[Break]:
    """Check shifts, breaks, the length of every run, and the days in which presses are hot.

    With an operator, `[b_j, e_j)` lies in one shift up to the end of its overtime, no break meets
    the setting up, pressing starts in no break and ends where the working time from its start,
    breaks left out, first reaches the work. Without one, `e_j = s_j + work`. All lies in one
    heating day and ends by the horizon.
    """
    breaks = []
    for run in view.runs:
        breaks += _day_breaks(view, run)
        shift = None
        if run.operator is not None:
            shift = _shift(run, run.operator)
            breaks += _shift_breaks(run, run.operator, shift)
        if run.work is not None:
            expected = _end(run.start, run.work, () if shift is None else shift.breaks)
            if run.end != expected:
                message = (
                    f"{run.id} on {run.machine.id} ends at tick {run.end}; "
                    f"started at {run.start}, with {run.work} ticks of work, it ends at {expected}"
                )
                breaks.append(_break(run, run.end, abs(run.end - expected), message))
        elif run.end < run.start:
            message = f"{run.id} on {run.machine.id} ends at tick {run.end}, before it starts at {run.start}"
            breaks.append(_break(run, run.end, run.start - run.end, message))
    return breaks


def _break(run: Run, at: int, amount: int, message: str) -> Break:
    return Break(
        rule="calendar", tasks=(run.id,), machine=run.machine.id, at=at, amount=amount, message=message
    )


def _end(start: int, work: int, pauses: tuple[tuple[int, int], ...]) -> int:
    """Tick at which `work` ticks from `start` are done, pausing over `pauses` (sorted, disjoint).

    Work that can be finished when a pause begins is finished there: 4 ticks from tick 6 with a
    pause over [10, 15) end at 10; 5 ticks end at 16.
    """
    at = start
    left = work
    for first, last in pauses:
        if last <= at:
            continue
        if left == 0 or left <= first - at:
            break
        left -= max(0, first - at)
        at = last
    return at + left


def _overlap(first: tuple[int, int], second: tuple[int, int]) -> int:
    return max(0, min(first[1], second[1]) - max(first[0], second[0]))


def _shift(run: Run, person: Operator) -> Shift | None:
    """The shift that the run meant: the one that it lies in for longest."""
    inside = [
        shift for shift in person.shifts if shift.start <= run.setup_start <= run.end <= shift.overtime_end
    ]
    if inside:
        return inside[0]
    if not person.shifts:
        return None
    span = (run.setup_start, run.end)
    return max(person.shifts, key=lambda shift: _overlap(span, (shift.start, shift.overtime_end)))


def _shift_breaks(run: Run, person: Operator, shift: Shift | None) -> list[Break]:
    breaks = []
    where = f"{run.id} on {run.machine.id}"
    present = (shift.start, shift.overtime_end) if shift is not None else (0, 0)
    span = (run.setup_start, run.end)
    outside = run.end - run.setup_start - _overlap(span, present)
    if shift is None or outside > 0 or not present[0] <= run.setup_start <= present[1]:
        message = (
            f"{where} takes {person.id} over [{span[0]}, {span[1]}), "
            f"{max(1, outside)} ticks of it outside one shift"
        )
        breaks.append(_break(run, run.setup_start, max(1, outside), message))
    for first, last in () if shift is None else shift.breaks:
        met = _overlap((run.setup_start, run.start), (first, last))
        if met:
            message = f"{where} is set up for {met} ticks inside the break [{first}, {last}) of {person.id}"
            breaks.append(_break(run, max(first, run.setup_start), met, message))
        if first <= run.start < last:
            message = f"{where} starts at tick {run.start} inside the break [{first}, {last}) of {person.id}"
            breaks.append(_break(run, run.start, last - run.start, message))
    return breaks


def _day_breaks(view: View, run: Run) -> list[Break]:
    where = f"{run.id} on {run.machine.id}"
    day = view.days[run.day] if run.day >= 0 else None
    if day is None or run.setup_start >= day.end:
        away = min(
            each.start - run.setup_start if run.setup_start < each.start else run.setup_start - each.end + 1
            for each in view.days
        )
        message = f"{where} begins at tick {run.setup_start}, {away} ticks outside the days"
        return [_break(run, run.setup_start, away, message)]
    if run.end > min(day.end, view.instance.horizon):
        # A day that reaches beyond the horizon ends there: one break, not two.
        limit = min(day.end, view.instance.horizon)
        name = "its day" if view.instance.days and day.end == limit else "the planned time"
        message = (
            f"{where} ends at tick {run.end}, {run.end - limit} ticks after the end of {name} at {limit}"
        )
        return [_break(run, run.end, run.end - limit, message)]
    return []
