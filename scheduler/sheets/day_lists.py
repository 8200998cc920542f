"""Switch-on list, pull list and packing list as one PDF: what must be ready when, before and after."""

from __future__ import annotations

from datetime import date, datetime

from scheduler.domain.clock import clock, clock_up, how_late, in_hours, long_date, short_date
from scheduler.domain.figures import counted
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.sheets.dayview import place, switched_on_by
from scheduler.sheets.lines import CAUTIONS, capital, soft
from scheduler.sheets.packing import Packed, packing, spare_minutes
from scheduler.sheets.pull import PulledGarments, PulledTransfers, SwitchOn, garments, switch_on, transfers
from scheduler.sheets.run_sheets import version_words
from scheduler.sheets.typeset import Paper, pdf


def day_lists(plan: Plan, *, paper: Paper = "a4", system_fonts: bool = True) -> bytes:
    """The switch-on list, the pull list and the packing list of every date, as one PDF.

    Parameters
    ----------
    paper
        "a4" or "letter".
    system_fonts
        False: only the typesetter's own fonts.
    """
    return pdf(plan, "day_lists.typ", list_data(plan), paper, system_fonts=system_fonts)


def list_data(plan: Plan) -> dict[str, object]:
    """All texts of the lists, ready for the template."""
    on, packed = switch_on(plan), packing(plan)
    boxes = sorted(garments(plan), key=lambda one: (one.have_by, one.first.number))
    films = sorted(transfers(plan), key=lambda one: (one.have_by, one.run.number))
    dates = [
        day
        for day in plan.dates
        if any(one.warm_up.start.date() == day for one in on)
        or any(run.start.date() == day for run in plan.runs)
        or any(one.day == day for one in packed)
    ]
    return {
        "shop": soft(plan.shop.name),
        "version": version_words(plan),
        "cautions": list(CAUTIONS),
        "dates": [
            {
                "date": long_date(day),
                "on_kind": _on_kind(plan, day),
                "on": [_on(plan, one) for one in on if one.warm_up.start.date() == day],
                "garments": [_garments(one, day) for one in boxes if one.first.start.date() == day],
                "transfers": [_transfers(one, day) for one in films if one.run.start.date() == day],
                "packing": [_packed(one, day) for one in packed if one.day == day],
            }
            for day in dates
        ],
    }


def _on_kind(plan: Plan, day: date) -> str:
    """What stands over the switch-on list; that of a day planned again begins at the moment."""
    if plan.at is not None and plan.at.date() == day:
        return f"From {clock(plan.at)} on"
    return "Before the first pressing"


def _on(plan: Plan, one: SwitchOn) -> dict[str, str]:
    warm = one.warm_up
    return {
        "time": "is on" if one.already else clock(warm.start),
        "press": soft(warm.press),
        "who": soft("–" if one.already else switched_on_by(plan, warm)),
        "temp": "–" if one.already else f"{warm.temp_c} °C",
        "ready": clock(one.ready) if one.ready else "–",
        "circuit": soft(f"{warm.circuit}, {warm.watts} W" if warm.circuit else f"{warm.watts} W"),
        "run": str(one.run) if one.run is not None else "",
        "off": clock_up(one.off) if one.off is not None else "",
    }


def _where(run: PlannedRun, have_by: datetime) -> dict[str, str]:
    return {
        "time": clock(have_by),
        "run": str(run.number),
        "press": soft(place(run)),
        "order": soft(run.content.order),
        "customer": soft(run.content.customer),
    }


def _arrives(ready: datetime | None, day: date) -> str:
    if ready is None or ready.date() < day:
        return ""
    return f"comes in at {clock(ready)}" if ready.date() == day else f"comes in {short_date(ready.date())}"


def _garments(one: PulledGarments, day: date) -> dict[str, object]:
    return {
        **_where(one.first, one.have_by),
        "what": soft(capital(", ".join(part for part in (one.garment, one.colour, one.fabric) if part))),
        "sizes": [{"size": soft(size), "quantity": str(pieces)} for size, pieces in one.sizes],
        "quantity": str(one.quantity),
        "note": _garments_note(one, day),
    }


def _garments_note(one: PulledGarments, day: date) -> str:
    if one.asked is not None:
        on = "" if one.asked.date() == day else f"{short_date(one.asked.date())} "
        return f"on the list since {on}{clock(one.asked)}: only what is not there yet"
    return "unless they are there" if one.under_way else _arrives(one.ready, day)


def _transfers(one: PulledTransfers, day: date) -> dict[str, object]:
    laid = one.laid
    return {
        **_where(one.run, one.have_by),
        "artwork": soft(laid.artwork),
        "what": soft(f"{laid.transfer}, {laid.width_mm} × {laid.height_mm} mm, {laid.placement.lower()}"),
        "quantity": str(one.quantity),
        "named": f"{len(one.names)} with a name or number of their own:" if one.names else "",
        "names": [soft(" ".join(filter(None, (each.size, each.name, each.number)))) for each in one.names],
        "spare": str(laid.spare),
        "total": str(one.quantity + laid.spare),
        "note": f"fetched for run {one.fetched}" if one.fetched is not None else _arrives(one.ready, day),
    }


def _packed(one: Packed, day: date) -> dict[str, object]:
    order, spare = one.order, spare_minutes(one.order)
    cut_off = clock(order.cut_off)
    if order.cut_off.date() != day:
        cut_off = f"{short_date(order.cut_off.date())} {cut_off}"
    packed, left = "not whole", "a part is left over"
    if order.missing:
        left = f"{counted(order.missing, 'piece')} missing"
    if order.finished is not None and spare is not None:
        packed = clock_up(order.finished)
        if order.finished.date() != day:
            packed = f"{short_date(order.finished.date())} {packed}"
        left = f"LATE {how_late(order.late_minutes)}" if order.late_minutes > 0 else spare_words(spare)
    return {
        "time": clock_up(one.complete),
        "order": soft(order.id),
        "customer": soft(order.customer),
        "quantity": str(order.quantity),
        "packed": packed,
        "cut_off": cut_off,
        "spare": left,
    }


def spare_words(spare: int) -> str:
    """Minutes to spare, from two hours on in hours: "14 min", "3 h 5 min", "over a day"."""
    return "over a day" if spare >= 1440 else in_hours(spare)
