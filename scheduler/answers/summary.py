"""The owner's summary of a plan on the terminal, in plain words."""

from __future__ import annotations

import shutil
import sys
import textwrap
from typing import TYPE_CHECKING

from scheduler.answers.columns import WIDE, columns_of, width_of
from scheduler.answers.stopped import stopped_line
from scheduler.domain.figures import counted, in_percent, nearest
from scheduler.workflow.stopped import why_stopped

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from scheduler.domain.chances import DayChance
    from scheduler.domain.plan import Cure, Load, Plan, PlannedOrder
    from scheduler.domain.schedule import Result


MOST_RISKY = 6
"""Orders at risk named in the summary."""


def columns_here() -> int:
    """Columns of the terminal that standard output is; `WIDE` when it is none."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else WIDE


def summary(plan: Plan, width: int = WIDE, *, result: Result | None = None) -> list[str]:
    """The lines of the summary: what is late and why, how full the day is, what the plan saves.

    Parameters
    ----------
    width
        Columns of the terminal; where the comparison does not fit, it is laid out one below the other.
    result
        Of the search, to say what stopped it.
    """
    return [
        *_head(plan),
        *_stopped(plan, result),
        "",
        *_late(plan),
        *_missing(plan),
        *_tight(plan),
        *_left_over(plan),
        "",
        *_loads(plan),
        "",
        *_beside(plan, width),
        *([""] if plan.notes else []),
        *(line for note in plan.notes for line in textwrap.wrap(note, width)),
    ]


def sure_summary(sure: DayChance | None, folder: Path) -> list[str]:
    """How sure the plan is, in a line, and how to learn more."""
    from scheduler.sheets.sure import sure_lead

    if sure is None:
        return []
    return ["", f'How sure it is: {sure_lead(sure, names=MOST_RISKY)} More: pressday sure "{folder}"']


def surer_lines(sure: DayChance | None) -> list[str]:
    """How to plan such a day with slack, where orders are at risk that some slack might help."""
    from scheduler.sheets.sure import AT_RISK

    orders = () if sure is None else sure.orders
    if not any(0 < order.on_time.best < AT_RISK for order in orders):
        return []
    return [
        "Surer with slack, for changeovers, overtime or work put off, never for lateness: plan again "
        "with --sure 90%"
    ]


def same_plan(plan: Plan) -> str:
    """What is said when planning again gave the plan that was there already."""
    return f"This is the same plan as version {plan.version}; sheets in hand stay valid."


def files_lines(folder: Path, files: Iterable[str]) -> list[str]:
    """Where the plan's files are."""
    return [f"In {folder}:", *(f"  {name}" for name in files)]


def _head(plan: Plan) -> list[str]:
    from scheduler.domain.clock import long_date

    garments = sum(order.quantity for order in plan.orders)
    lines = [
        f"{long_date(plan.day)}, plan version {plan.version}: {counted(len(plan.orders), 'order')}, "
        f"{counted(garments, 'garment')}, {counted(len(plan.runs), 'run')}. The independent check passed."
    ]
    two = sum(bool(run.second_press) for run in plan.runs)
    if two:
        verb = "is" if two == 1 else "are"
        lines.append(f"{counted(two, 'run')} {verb} at two presses side by side.")
    return lines + _later(plan)


def _later(plan: Plan) -> list[str]:
    """What is pressed on a later day: how many runs, of which orders, and why not on the planned one."""
    from scheduler.sheets.later import later_lines, later_title

    title = later_title(plan)
    return [f"{title}:", *(f"  {line}" for line in later_lines(plan))] if title else []


def _stopped(plan: Plan, result: Result | None) -> list[str]:
    if not plan.stopped_early:
        return []
    return [stopped_line(None if result is None else why_stopped(result))]


def _late(plan: Plan) -> list[str]:
    from scheduler.sheets.summary import none_late

    late = [order for order in plan.orders if order.late_minutes > 0]
    if not late:
        return [f"Late orders: {none_late(plan).lower()}"]
    late.sort(key=lambda order: (-order.late_minutes * order.weight, order.id))
    lines = [f"Late orders: {len(late)} of {len(plan.orders)}"]
    for order in late:
        lines.append(f"  {_late_line(order)}")
        lines += _help_lines(order.cures)
    return lines


def _missing(plan: Plan) -> list[str]:
    """Orders that can't be packed since garments lack something that no run presses, and the mend."""
    from scheduler.domain.clock import clock, short_date

    lines = [
        f"  {order.id} {order.customer}: {order.lacks_and_mend} "
        f"(cut-off {short_date(order.cut_off.date())} {clock(order.cut_off)})"
        for order in plan.orders
        if order.missing
    ]
    title = "Can't be packed, since no run presses again what is spoiled or missing"
    return ["", f"{title}: {counted(len(lines), 'order')}", *lines] if lines else []


def _help_lines(cures: Sequence[Cure]) -> list[str]:
    """What would help: each with what it is worth; those that no search confirmed in one line."""
    from scheduler.sheets.words import cure_words

    lines = [f"      would help: {cure_words(cure)}" for cure in cures if cure.confirmed]
    tried = [cure.words for cure in cures if not cure.confirmed]
    if tried:
        lines.append(f"      might help, no search has confirmed it: {'; '.join(tried)}")
    return lines


def _late_line(order: PlannedOrder) -> str:
    from scheduler.domain.clock import clock, clock_up, how_long, short_date

    done = (
        f", packed {short_date(order.finished.date())} {clock_up(order.finished)}" if order.finished else ""
    )
    reason = f": {order.reason}" if order.reason else ""
    return (
        f"{order.id} {order.customer}: {how_long(order.late_minutes)} late "
        f"(cut-off {short_date(order.cut_off.date())} {clock(order.cut_off)}{done}){reason}"
    )


def _tight(plan: Plan) -> list[str]:
    from scheduler.domain.clock import clock, clock_up, how_long, short_date
    from scheduler.sheets.packing import TIGHT_MIN, spare_minutes, tight_orders

    lines = [
        f"  {order.id} {order.customer}: {how_long(spare_minutes(order) or 0)} to spare "
        f"(cut-off {short_date(order.cut_off.date())} {clock(order.cut_off)}, "
        f"packed {short_date(order.finished.date())} {clock_up(order.finished)})"
        for order in tight_orders(plan)
        if order.finished
    ]
    title = f"Tight, less than {TIGHT_MIN} minutes to spare: {counted(len(lines), 'order')}"
    return [title, *lines] if lines else []


def _left_over(plan: Plan) -> list[str]:
    if not plan.left_over:
        return []
    from scheduler.sheets.left_over import MOST_ORDERS, left_by_order, others_left

    cures = {order.id: order.cures for order in plan.orders}
    found = left_by_order(plan)
    lines = ["", f"Left over, fits nowhere in the planned days: {counted(len(plan.left_over), 'run')}"]
    for left in found[:MOST_ORDERS]:
        lines.append(f"  order {left.order}, {left.what(' + ', ', ')}: {left.reason}")
        lines += _help_lines(cures.get(left.order, ()))
    others = others_left(found)
    return [*lines, f"  {others}"] if others else lines


def _loads(plan: Plan) -> list[str]:
    rows: list[tuple[str, ...]] = [("How full the day is", "pressing", "changing", "of", "full", "overtime")]
    loads = (*plan.press_loads, *plan.crew_loads)
    rows += [_load_row(load) for load in loads]
    if not any(load.overtime for load in loads):
        rows = [row[:-1] for row in rows]
    return [*columns_of(rows), "Minutes; changing is hands-on work at changeovers."]


def _load_row(load: Load) -> tuple[str, ...]:
    over = str(nearest(load.overtime)) if load.overtime else ""
    return (
        f"  {load.name}",
        str(nearest(load.pressing)),
        str(nearest(load.changing)),
        str(nearest(load.available)),
        in_percent(load.full),
        over,
    )


def _beside(plan: Plan, width: int) -> list[str]:
    from scheduler.sheets.words import BY_PLANNING, bound_note, level_rows

    note = textwrap.wrap(bound_note(plan), width)
    head = ("The plan", "reached", "best possible", "taken as they come", BY_PLANNING)
    levels = level_rows(plan)
    rows: list[tuple[str, ...]] = [head[: len(levels[0])]]
    rows += [(f"  {title}", *others) for title, *others in levels]
    if plan.at is not None:
        return [*columns_of(rows, right=False), *note]
    side_by_side = columns_of(rows, right=False)
    if max(width_of(line) for line in side_by_side) <= width:
        return [*side_by_side, *note]
    lines = ["The plan, and the same orders taken as they come"]
    for title, planned, best, other, change in rows[1:]:
        lines += [f"{title}: {planned} ({best})", f"    as they come: {other}; {BY_PLANNING}: {change}"]
    return [*lines, *note]
