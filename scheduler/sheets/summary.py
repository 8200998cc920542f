"""The owner's summary: what is late and why, how full the day is, what the plan saves; on one page."""

from __future__ import annotations

from scheduler.domain.chances import DayChance
from scheduler.domain.clock import clock, clock_up, how_late, long_date, short_date
from scheduler.domain.figures import counted
from scheduler.domain.plan import Load, Plan, PlannedOrder
from scheduler.domain.schedule import Status
from scheduler.sheets.day_load import load_shares, load_words
from scheduler.sheets.later import later_lines, later_title
from scheduler.sheets.left_over import MOST_ORDERS, left_by_order, others_left
from scheduler.sheets.lines import soft, stop_notes
from scheduler.sheets.packing import spare_minutes, tight_orders
from scheduler.sheets.run_sheets import version_words
from scheduler.sheets.sure import sure_lead
from scheduler.sheets.typeset import Paper, pdf
from scheduler.sheets.words import BY_PLANNING, COME_NOTE, WAITING_NOTE, bound_note, level_rows, why_words

MOST_RISKY = 6
"""So many orders at risk are named, the least sure first."""


def summary(
    plan: Plan,
    *,
    chances: DayChance | None = None,
    take_back: str = "",
    paper: Paper = "a4",
    system_fonts: bool = True,
) -> bytes:
    """The summary as a PDF: one page, or more when very many orders are late.

    Parameters
    ----------
    chances
        How sure the plan is; None: the summary says nothing of it.
    take_back
        Which sheets that are out don't hold any more; empty: none.
    paper
        "a4" or "letter".
    system_fonts
        False: only the typesetter's own fonts.
    """
    return pdf(plan, "summary.typ", summary_data(plan, chances, take_back), paper, system_fonts=system_fonts)


def summary_data(plan: Plan, chances: DayChance | None = None, take_back: str = "") -> dict[str, object]:
    """All texts of the summary, ready for the template."""
    return {
        "shop": soft(plan.shop.name),
        "version": version_words(plan),
        "date": long_date(plan.day),
        "facts": facts(plan),
        "stops": [soft(note) for note in stop_notes(plan)],
        "take_back": soft(take_back),
        "sure": "" if chances is None else soft(sure_lead(chances, names=MOST_RISKY)),
        "later": later_title(plan),
        "later_lines": [soft(line) for line in later_lines(plan)],
        "late": [late_row(order) for order in late_orders(plan)],
        "left_over": left_over_rows(plan),
        "tight": [tight_row(order) for order in tight_orders(plan)],
        "bound_note": bound_note(plan),
        "waiting_note": WAITING_NOTE,
        "levels": [list(row) for row in level_rows(plan)],
        "again": plan.at is not None,
        "come_note": COME_NOTE,
        "by_planning": BY_PLANNING,
        "presses": [load_row(load) for load in plan.press_loads],
        "crew": [load_row(load) for load in plan.crew_loads],
        "none_late": none_late(plan),
        "notes": [soft(note) for note in plan.notes],
        "search": search_words(plan),
    }


def left_over_rows(plan: Plan) -> list[dict[str, str]]:
    """What is left over of each order, and in a last row how many orders are not named."""
    found = left_by_order(plan)
    rows = [
        {"order": soft(one.order), "what": soft(one.what(", ", ": ")), "reason": soft(one.reason)}
        for one in found[:MOST_ORDERS]
    ]
    others = others_left(found)
    return [*rows, {"order": "", "what": others, "reason": ""}] if others else rows


def facts(plan: Plan) -> str:
    """The day in one line."""
    garments = sum(order.quantity for order in plan.orders)
    late = sum(order.late_minutes > 0 for order in plan.orders)
    undone = sum(order.finished is None for order in plan.orders)
    text = (
        f"{counted(len(plan.orders), 'order')}, {counted(garments, 'garment')}, "
        f"{counted(len(plan.runs), 'run')}; "
    )
    text += f"{late or 'no'} order{'' if late < 2 else 's'} late"
    if undone:
        text += f", {undone} not done whole"
    missing = sum(one.whole for one in plan.not_planned)
    if missing:
        text += f"; {counted(missing, 'order')} not planned"
    two = sum(bool(run.second_press) for run in plan.runs)
    if two:
        text += f"; {counted(two, 'run')} at two presses"
    later = sum(run.start.date() != plan.day for run in plan.runs)
    if later:
        text += f"; {later} run{'' if later == 1 else 's'} on a later day"
    return text + "."


def late_orders(plan: Plan) -> list[PlannedOrder]:
    """Orders that are late or not done whole, the worst first."""
    found = [order for order in plan.orders if order.late_minutes > 0 or order.finished is None]
    return sorted(found, key=lambda order: (order.finished is not None, -order.late_minutes, order.id))


def none_late(plan: Plan) -> str:
    """What stands for an empty list of late orders: nothing is known of those that were left out."""
    if any(one.whole for one in plan.not_planned):
        return "None of those that are planned."
    return "None of those that can be packed." if any(order.missing for order in plan.orders) else "None."


def late_row(order: PlannedOrder) -> list[str]:
    """A late order as cells: order, customer, cut-off, packed, late, reason."""
    packed = "not done"
    if order.finished is not None:
        packed = f"{short_date(order.finished.date())} {clock_up(order.finished)}"
    return [
        soft(order.id),
        soft(order.customer),
        f"{short_date(order.cut_off.date())} {clock(order.cut_off)}",
        packed,
        how_late(order.late_minutes) if order.late_minutes else "–",
        soft(why_words(order) or "no reason known"),
    ]


def tight_row(order: PlannedOrder) -> list[str]:
    """An order with little to spare as cells: order, customer, cut-off, packed, minutes to spare."""
    packed = f"{short_date(order.finished.date())} {clock_up(order.finished)}" if order.finished else ""
    return [
        soft(order.id),
        soft(order.customer),
        f"{short_date(order.cut_off.date())} {clock(order.cut_off)}",
        packed,
        f"{spare_minutes(order)} min",
    ]


def load_row(load: Load) -> dict[str, object]:
    """A load for a bar: shares of the longer of hours and work, and the figures in words."""
    shares = load_shares(load)
    return {
        "name": soft(load.name),
        "pressing": round(shares.pressing, 4),
        "changing": round(shares.changing, 4),
        "hours": round(shares.hours, 4),
        "words": load_words(load),
    }


def search_words(plan: Plan) -> str:
    """How the plan was found, so that it can be found again."""
    status = "cannot be better at any level" if plan.status == Status.PROVEN else plan.status
    text = f"The independent check passed. Search: {status or 'not stated'}"
    if plan.effort:
        text += f"; effort {plan.effort}, seed {plan.seed}, {plan.moves} moves tried"
    if plan.stopped_early:
        text += "; stopped early, so the same input need not give the same plan again"
    return text + "."
