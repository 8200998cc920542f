"""How sure a day is, in lines for the terminal and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scheduler.domain.figures import counted, fixed, nearest

if TYPE_CHECKING:
    from datetime import date

    from scheduler.domain.chances import DayChance, MinutesWon, OrderChance
    from scheduler.domain.plan import Plan


def sure_lines(plan: Plan, chances: DayChance) -> list[str]:
    """The day's chance, orders at risk, and where minutes won would help."""
    from scheduler.domain.clock import long_date
    from scheduler.sheets.sure import as_far, chance_words, finish_words, others_words, untold_words

    how = "as printed or later" if chances.as_printed else "as soon as all is ready"
    lines = [
        f"{long_date(plan.day)}, plan version {plan.version}: replayed {chances.replays} times, seed "
        f"{chances.seed}; runs begin {how}, in the order of the plan.",
        *(f"  {words}" for words in chances.spread),
        "",
        f"All orders on time{as_far(chances)}: on {chance_words(chances.on_time)} of the days "
        f"(in brackets where a chance lies, at {100 * chances.confidence:g} %).",
        *([others] if (others := others_words(chances)) else []),
        *([untold] if (untold := untold_words(chances)) else []),
        finish_words(plan.day, chances),
        _hours(chances),
        "",
        *_at_risk(plan.day, chances),
    ]
    return [*lines, "", *_won(chances)] if chances.won else lines


def _hours(chances: DayChance) -> str:
    from scheduler.sheets.sure import unfinished_words

    more = f"Pressing takes {nearest(100 + 100 * chances.work_more)} % of the planned time on average"
    overtime, planned = nearest(chances.overtime_minutes), nearest(chances.overtime_planned_minutes)
    over = f"overtime {overtime} min, {planned} planned"
    return f"{more}; {over}; {unfinished_words(chances)}"


def _at_risk(day: date, chances: DayChance) -> list[str]:
    from scheduler.answers.columns import columns_of
    from scheduler.sheets.sure import AT_RISK, why_late_words

    risky = [order for order in chances.orders if order.on_time.best < AT_RISK]
    rest = len(chances.orders) - len(risky)
    if not risky:
        return [f"No order at risk: each is on time on at least {100 * AT_RISK:g} % of the days."]
    head = ("Orders at risk", "on time", "cut-off", "packed by plan", "on 9 of 10 days by", "late on average")
    table = columns_of([head, *(_order(day, order) for order in risky)])
    lines = table[:1]
    for line, order in zip(table[1:], risky, strict=True):
        lines.append(line)
        if why := why_late_words(order, day):
            lines.append(f"      when late, mostly: {why}")
    if rest:
        lines.append(f"{counted(rest, 'other order')} on time on {100 * AT_RISK:g} % of the days or more.")
    return lines


def _order(day: date, order: OrderChance) -> tuple[str, ...]:
    from scheduler.sheets.sure import chance_words, late_words, moment_words

    return (
        f"  {order.id} {order.customer}",
        chance_words(order.on_time),
        moment_words(order.cut_off, day),
        moment_words(order.planned, day) if order.planned else "not whole",
        moment_words(order.careful, day),
        late_words(order),
    )


def _won(chances: DayChance) -> list[str]:
    minutes = f"{chances.won[0].minutes:g} minutes"
    return [
        f"{minutes} won at one of these runs would help most (orders more on time, on average; the best by "
        "weight first):",
        *(_one_won(one) for one in chances.won),
        "A box fetched by somebody else, artwork lined up before, an earlier start: it need not be haste.",
    ]


def _one_won(one: MinutesWon) -> str:
    by = f", {one.operator}" if one.operator else ""
    day = f", the whole day on {fixed(100 * one.day_gain, 1)} % more of the days" if one.day_gain > 0 else ""
    weight = ""
    if fixed(one.weight_gained, 2) != fixed(one.orders_gained, 2):
        weight = f" (weight {fixed(one.weight_gained, 2)})"
    orders = f"{fixed(one.orders_gained, 2)} orders"
    return f"  run {one.number} (order {one.order}, {one.press}{by}): {orders}{weight}{day}"


def sure_document(plan: Plan, chances: DayChance) -> dict[str, Any]:
    """The same for programs; chances and shares as parts of 1, times in minutes, moments as ISO texts."""
    from scheduler.domain.asjson import to_json

    return {
        "day": plan.day.isoformat(),
        "version": plan.version,
        "fingerprint": plan.fingerprint,
        **to_json(chances),
    }
