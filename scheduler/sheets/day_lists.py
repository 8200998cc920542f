"""Switch-on list and pull list as one PDF: what must be ready before the first pressing, and when."""

from __future__ import annotations

from datetime import date, datetime

from scheduler.domain.plan import Plan, PlannedRun
from scheduler.sheets.clock import clock, clock_up, long_date, short_date
from scheduler.sheets.lines import CAUTIONS, soft
from scheduler.sheets.pull import PulledGarments, PulledTransfers, SwitchOn, garments, switch_on, transfers
from scheduler.sheets.typeset import Paper, pdf


def day_lists(plan: Plan, *, paper: Paper = "a4", system_fonts: bool = True) -> bytes:
    """The switch-on list and the pull list of every date, as one PDF.

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
    on, boxes, films = switch_on(plan), garments(plan), transfers(plan)
    dates = [
        day
        for day in plan.dates
        if any(one.warm_up.start.date() == day for one in on)
        or any(run.start.date() == day for run in plan.runs)
    ]
    return {
        "shop": soft(plan.shop.name),
        "version": f"Sheet version {plan.version} · plan {plan.fingerprint}",
        "cautions": list(CAUTIONS),
        "dates": [
            {
                "date": long_date(day),
                "on": [_on(one) for one in on if one.warm_up.start.date() == day],
                "garments": [_garments(one, day) for one in boxes if one.first.start.date() == day],
                "transfers": [_transfers(one, day) for one in films if one.run.start.date() == day],
            }
            for day in dates
        ],
    }


def _on(one: SwitchOn) -> dict[str, str]:
    warm = one.warm_up
    return {
        "time": clock(warm.start),
        "press": soft(warm.press),
        "temp": f"{warm.temp_c} °C",
        "hot": clock(warm.ready),
        "circuit": soft(f"{warm.circuit}, {warm.watts} W" if warm.circuit else f"{warm.watts} W"),
        "run": str(one.run) if one.run is not None else "",
        "off": clock_up(one.off) if one.off is not None else "",
    }


def _where(run: PlannedRun) -> dict[str, str]:
    return {
        "time": clock(run.start),
        "run": str(run.number),
        "press": soft(run.press),
        "order": soft(run.content.order),
        "customer": soft(run.content.customer),
    }


def _arrives(ready: datetime | None, day: date) -> str:
    if ready is None or ready.date() < day:
        return ""
    return f"comes in at {clock(ready)}" if ready.date() == day else f"comes in {short_date(ready.date())}"


def _garments(one: PulledGarments, day: date) -> dict[str, object]:
    return {
        **_where(one.first),
        "what": soft(", ".join(part for part in (one.garment, one.colour, one.fabric) if part)),
        "sizes": [{"size": soft(size), "quantity": str(pieces)} for size, pieces in one.sizes],
        "quantity": str(one.quantity),
        "note": _arrives(one.ready, day),
    }


def _transfers(one: PulledTransfers, day: date) -> dict[str, object]:
    laid = one.laid
    return {
        **_where(one.run),
        "artwork": soft(laid.artwork),
        "what": soft(f"{laid.transfer}, {laid.width_mm} × {laid.height_mm} mm, for {laid.placement.lower()}"),
        "quantity": str(one.quantity),
        "spare": str(laid.spare) if laid.spare else "–",
        "total": str(one.quantity + laid.spare),
        "note": _arrives(one.run.content.ready, day),
    }
