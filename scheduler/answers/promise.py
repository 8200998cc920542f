"""The answers of `pressday promise` in words and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scheduler.answers.stopped import stopped_line
from scheduler.domain.clock import how_long, in_hours
from scheduler.domain.figures import counted, nearest
from scheduler.workflow.help_words import overtime_words, person_words

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from scheduler.domain.orders import Order
    from scheduler.planning.promise import MadeLate
    from scheduler.workflow.promise import Asked
    from scheduler.workflow.promise_questions import HelpAnswer


def promise_lines(asked: Asked) -> list[str]:
    """The answers for the owner."""
    from scheduler.domain.clock import long_date

    answer = asked.answer
    lines = [
        f"{long_date(asked.plan.day)}, asked as of {asked.said(asked.at)}, into plan version "
        f"{asked.plan.version}. Nothing was changed.",
        "",
    ]
    fate = (
        "with nothing else made late" if not answer.beside else "with as little else made late as was found"
    )
    together = "all of them together, " if len(asked.new) > 1 else ""
    lines.append(f"Earliest, {together}{fate}:")
    for order in asked.new:
        tick = answer.earliest.get(order.id)
        ready = "fits nowhere in the planned days"
        if tick is not None:
            in_time = tick <= answer.by[order.id]
            at = asked.moment(tick)
            fits = "in time for" if in_time else f"{_late(at, asked.wanted[order.id])} after"
            ready = f"ready at {asked.said(at)}, {fits} {_wanted(asked, order)}"
            ready += _past_cut_off(asked, order, tick)
        named = f"{order.id} {order.customer}, {counted(order.quantity, 'piece')}"
        lines.append(f"  {named}: {ready}{_alone(asked, order.id)}")
    lines += _late_lines(asked, answer.beside)
    if answer.fits:
        lines += ["", f"It fits: {_then(asked)}nothing else becomes late{_overtime(asked)}."]
        lines += _how_to_hold(asked)
    else:
        lines += ["", *_by_lines(asked), "", *_help_lines(asked)]
    if answer.stopped is not None:
        lines += ["", stopped_line(answer.stopped, same="the same answer")]
    return lines


def _then(asked: Asked) -> str:
    """When they are ready so that all are in time, where that is not as early as each can be."""
    at_by = asked.answer.at_by
    return f"with {_times(asked, at_by)} all are in time, and " if at_by else ""


def _times(asked: Asked, ready: dict[str, int]) -> str:
    return ", ".join(f"{order} at {asked.said(asked.moment(tick))}" for order, tick in ready.items())


def _overtime(asked: Asked) -> str:
    """What it takes of overtime beyond what the day has as it stands."""
    there, before = (asked.minutes(ticks) for ticks in asked.answer.overtime)
    if there <= before:
        return ""
    return f", with {there:g} minutes of overtime in all ({f'{before:g}' if before else 'none'} without it)"


def _wanted(asked: Asked, order: Order) -> str:
    """The hour by which an order is wanted, and whose hour that is: "its cut-off, 14:30"."""
    wanted = asked.wanted[order.id]
    return f"{'its cut-off' if wanted == order.cut_off else 'the hour asked for'}, {asked.said(wanted)}"


def _how_to_hold(asked: Asked) -> list[str]:
    """How an hour that is promised is kept to: another cut-off may have the plan put it later."""
    times = "; ".join(
        f"{order}: {asked.said(asked.moment(tick))}"
        if asked.moment(tick) >= asked.wanted[order]
        else f"{order}: {asked.said(asked.moment(tick))} to {asked.said(asked.wanted[order])}"
        for order, tick in (asked.answer.at_by or asked.answer.earliest).items()
    )
    lines = [
        f"Promise an hour from the earliest to the one wanted ({times}) and write it as the cut-off; then "
        "accept it with pressday rush."
    ]
    early = [order for order in asked.new if order.cut_off < asked.wanted[order.id]]
    if early:
        named = ", ".join(f"{order.id}: {asked.said(order.cut_off)}" for order in early)
        lines.append(
            f"The hour asked for is after what the file has as the cut-off ({named}): an hour after that one "
            "holds only if the order may leave later."
        )
    return lines


def _alone(asked: Asked, order: str) -> str:
    tick = asked.answer.never_before.get(order)
    if tick is None:
        return ""
    return f" (before {asked.said(asked.moment(tick))} no plan of the day as it stands can have it ready)"


def _late(ready: datetime, hour: datetime) -> str:
    return in_hours(max(1, nearest((ready - hour).total_seconds() / 60)))


def _past_cut_off(asked: Asked, order: Order, tick: int) -> str:
    """That an order in time for the hour asked for misses its own cut-off all the same."""
    ready = asked.moment(tick)
    if tick > asked.answer.by[order.id] or ready <= order.cut_off:
        return ""
    return f", but {_late(ready, order.cut_off)} after its cut-off, {asked.said(order.cut_off)}"


def _by_lines(asked: Asked) -> list[str]:
    answer = asked.answer
    who = "they" if len(asked.new) > 1 else "it"
    lines = [f"If {who} must be ready by then and other orders yield:"]
    for order in asked.new:
        tick = answer.at_by.get(order.id)
        if tick is None:
            lines.append(f"  {order.id} fits nowhere in the planned days, whatever yields to it")
        elif tick > answer.by[order.id]:
            when = asked.said(asked.moment(tick))
            never = answer.never_before.get(order.id, 0) > answer.by[order.id]
            helped = any(one.ready.get(order.id, tick) <= answer.by[order.id] for one in answer.helps)
            if helped:
                lines.append(
                    f"  {order.id} can't be without help: {when} is the earliest that was found, whatever "
                    "yields to it; what helps stands below"
                )
                continue
            why = "no plan can have it by then" if never else "no way was found, whatever yields to it"
            lines.append(f"  {order.id} can't be: {why}; {when} is the earliest that was found")
        else:
            when = asked.said(asked.moment(tick))
            lines.append(f"  {order.id} is ready at {when}{_past_cut_off(asked, order, tick)}")
    if not answer.late:
        lines.append("  Nothing else becomes late.")
    return lines + _late_lines(asked, answer.late)


def _late_lines(asked: Asked, late: Iterable[MadeLate]) -> list[str]:
    orders = {order.id: order for order in asked.plan.orders}
    lines = []
    for one in late:
        order = orders[one.order]
        before = f", {how_long(asked.minutes(one.before))} as it stands" if one.before else ""
        lines.append(
            f"  late then: {one.order} {order.customer}, by {how_long(asked.minutes(one.late))}{before} "
            f"(cut-off {asked.said(order.cut_off)})"
        )
    return lines


def _help_lines(asked: Asked) -> list[str]:
    helps = asked.answer.helps
    if not helps:
        return ["No help was tried: nobody is left who could stay or come."]
    some = any(one.fits for one in helps)
    title = "What would make it fit with nothing else late" if some else "No help that was tried makes it fit"
    lines = [f"{title}, cheapest first, each searched anew and checked:"]
    return lines + [f"  {_help_words(asked, one)}: {_worth(asked, one)}" for one in helps]


def _help_words(asked: Asked, one: HelpAnswer) -> str:
    if one.kind == "split":
        return "splitting it over presses or people"
    if one.kind == "overtime":
        return overtime_words(one.who)
    span = None
    if one.span is not None:
        span = asked.moment(one.span[0], up=False), asked.moment(one.span[1])
    return person_words(span, one.places, asked.plan.day)


def _worth(asked: Asked, one: HelpAnswer) -> str:
    ready = _times(asked, one.ready)
    if one.fits:
        return f"fits, ready {ready}"
    late = ""
    if one.beside:
        late = f", and {counted(one.beside, 'other order')} late for it"
    return f"not enough in a short search ({ready or 'not ready in the planned days'}{late})"


def promise_json(asked: Asked) -> dict[str, Any]:
    """The answers as data."""
    answer = asked.answer

    def iso(tick: int | None, *, up: bool = True) -> str | None:
        return None if tick is None else asked.moment(tick, up=up).isoformat()

    def late(ones: Iterable[MadeLate]) -> list[dict[str, Any]]:
        orders = {order.id: order for order in asked.plan.orders}
        return [
            {
                "order": one.order,
                "customer": orders[one.order].customer,
                "cut_off": orders[one.order].cut_off.isoformat(),
                "late_minutes": asked.minutes(one.late),
                "late_minutes_without": asked.minutes(one.before),
            }
            for one in ones
        ]

    return {
        "day": asked.plan.day.isoformat(),
        "at": asked.at.isoformat(timespec="seconds"),
        "version": asked.plan.version,
        "fits": answer.fits,
        "orders": [
            {
                "id": order.id,
                "customer": order.customer,
                "pieces": order.quantity,
                "by": asked.wanted[order.id].isoformat(),
                "cut_off": order.cut_off.isoformat(),
                "earliest": iso(answer.earliest.get(order.id)),
                "never_before": iso(answer.never_before.get(order.id)),
                "ready_if_all_yields": iso(answer.at_by.get(order.id)),
            }
            for order in asked.new
        ],
        "late_at_the_earliest": late(answer.beside),
        "late_if_by": late(answer.late),
        "help": [
            {
                "kind": one.kind,
                "who": list(one.who),
                "from": iso(one.span[0], up=False) if one.span else None,
                "to": iso(one.span[1]) if one.span else None,
                "presses": list(one.places),
                "fits": one.fits,
                "others_late": one.beside,
                "ready": {order: iso(tick) for order, tick in one.ready.items()},
                "words": _help_words(asked, one),
            }
            for one in answer.helps
        ],
        "stopped_early": answer.stopped is not None,
        "overtime_minutes": asked.minutes(answer.overtime[0]),
        "overtime_minutes_without": asked.minutes(answer.overtime[1]),
    }
