"""How sure the day is, for the page: the chance of each order as a bar, and in figures."""

from __future__ import annotations

from datetime import date, datetime
from html import escape

from scheduler.domain.chances import Chance, DayChance, LateCause, OrderChance
from scheduler.domain.clock import clock, clock_up, how_late, short_date
from scheduler.domain.figures import counted, nearest
from scheduler.sheets.lines import capital

AT_RISK = 0.95
"""Orders with less than this chance to be on time are at risk."""

NAMED = 5
"""Orders named that are late on every day."""

WIDTH_PX = 160


def chance_words(chance: Chance) -> str:
    """A chance with its interval: "62 % (60 to 64)"; without when both of its ends read the same."""
    best, low, high = (percent(share) for share in (chance.best, chance.low, chance.high))
    return f"{best} %" if low == high else f"{best} % ({low} to {high})"


def percent(share: float) -> str:
    """Whole percent; what is neither impossible nor certain is not called 0 or 100."""
    shown = nearest(100 * share)
    if shown == 0 and share > 0:
        return "less than 1"
    return "more than 99" if shown == 100 and share < 1 else str(shown)


def sure_lead(chances: DayChance, *, names: int = 0) -> str:
    """In two or three sentences: the whole day, what is late anyway, and how many orders are at risk.

    Parameters
    ----------
    names
        So many of them are named, the least sure first.
    """
    risky = [order.id for order in chances.orders if order.on_time.best < AT_RISK]
    rest = f"{counted(len(risky), 'order')} at risk" if risky else "No order at risk"
    if names and risky:
        rest += f" ({', '.join(risky[:names])}{' ...' if len(risky) > names else ''})"
    whole = (
        f"All orders on time{as_far(chances)}: on {chance_words(chances.on_time)} of the days like this one."
    )
    return " ".join(
        part for part in (whole, others_words(chances), f"{rest}.", untold_words(chances)) if part
    )


def as_far(chances: DayChance) -> str:
    """Put behind "on time" where of some orders it is known up to the end of the planned days only."""
    return ", as far as the days are planned" if _untold(chances) else ""


def untold_words(chances: DayChance) -> str:
    """Orders due after the planned days that may not be done within them: whether in time, nobody can tell.

    Empty when there is none.
    """
    names = [f"{order.id} (on {percent(order.beyond)} %)" for order in _untold(chances)]
    if not names:
        return ""
    more = " ..." if len(names) > NAMED else ""
    which = f"{', '.join(names[:NAMED])}{more}"
    return f"Due after the planned days and not always done within them, which need not be late: {which}."


def _untold(chances: DayChance) -> list[OrderChance]:
    found = [order for order in chances.orders if order.due_later and order.beyond > 0]
    return sorted(found, key=lambda order: (-order.beyond, order.id))


def others_words(chances: DayChance) -> str:
    """How sure the other orders are when some are late on every day; empty when none is."""
    late = chances.never_on_time
    if not late:
        return ""
    missing = {order.id: order.missing for order in chances.orders if order.missing}
    named = [
        f"{one} with {counted(missing[one], 'piece')} missing" if one in missing else one
        for one in late[:NAMED]
    ]
    names = ", ".join(named) + (" ..." if len(late) > NAMED else "")
    words = f"{counted(len(late), 'order')} late on every one ({names})"
    if chances.others_on_time is None:
        return f"{words}."
    return f"{words}; all others on time: on {chance_words(chances.others_on_time)}."


def sure_rows(day: date, chances: DayChance) -> list[tuple[str, ...]]:
    """Cells of the orders at risk, the bar as SVG: order, customer, on time, bar, times, why."""
    return [
        (
            order.id,
            order.customer,
            chance_words(order.on_time),
            _bar(order.on_time),
            moment_words(order.cut_off, day),
            moment_words(order.planned, day) if order.planned else "not whole",
            moment_words(order.careful, day),
            late_words(order),
            why_late_words(order, day) or "–",
        )
        for order in chances.orders
        if order.on_time.best < AT_RISK
    ]


SURE_HEAD = (
    "Order",
    "Customer",
    "On time, % of the days",
    "",
    "Cut-off",
    "Packed by plan",
    "On 9 of 10 days by",
    "Late on average",
    "When late, mostly",
)


def why_late_words(order: OrderChance, day: date) -> str:
    """What makes an order late mostly; empty where that is left over."""
    if order.missing:
        return f"{counted(order.missing, 'piece')} spoiled or missing, in no plan"
    return cause_words(order.cause, day) if order.cause else ""


def cause_words(cause: LateCause, day: date) -> str:
    """Which run ends an order when it is late, on how many of those days, and the shift end behind it."""
    by = f", {cause.operator}" if cause.operator else ""
    words = f"run {cause.number} ({cause.press}{by}) ends it, on {percent(cause.share)} % of those days"
    over = cause.shift_over
    if over is None:
        return words
    ends = moment_words(over.at, day) + (", overtime included" if over.after_hours else "")
    rest = "the rest is not done in the planned days"
    if over.goes_on is not None:
        rest = f"the rest goes on {short_date(over.goes_on.date())} {clock(over.goes_on)}"
    return f"{words}: the shift of {over.operator} ends ({ends}) before the sheet is done; {rest}"


def moment_words(moment: datetime | None, day: date) -> str:
    """A moment, with its date when that is another one; None: beyond the planned days."""
    if moment is None:
        return "not in the planned days"
    on = "" if moment.date() == day else f"{short_date(moment.date())} "
    return on + clock_up(moment)


def unfinished_words(chances: DayChance) -> str:
    """On how many days a shift ends before its sheet is done, and what the replays make of the rest."""
    words = f"on {percent(chances.unfinished.best)} % of the days a shift ends before its sheet is done"
    if not chances.unfinished.best:
        return f"{words}."
    return (
        f"{words}: the rest goes on at that person's next shift, and what is planned behind it at its press "
        "waits until then. Where somebody else finishes it or lays it aside, the day is surer than this."
    )


def finish_words(day: date, chances: DayChance) -> str:
    """When all is packed: by plan, and on how many of the days by when."""
    by_plan = "part of it in none of the planned days by plan"
    if chances.finish_planned is not None:
        by_plan = f"{moment_words(chances.finish_planned, day)} by plan"
    if chances.finish_usual is None:
        return f"All packed: {by_plan}, and on half of the days or more not within the planned days."
    usual = f"{moment_words(chances.finish_usual, day)} or earlier on half of the days"
    if chances.finish_careful is None:
        return f"All packed: {by_plan}, {usual}, and on one day in ten or more not within the planned days."
    careful = f"{moment_words(chances.finish_careful, day)} or earlier on nine of ten"
    return f"All packed: {by_plan}, {usual}, {careful}."


def late_words(order: OrderChance) -> str:
    """Minutes late on average, and whether some of them are only those to the end of the planned days."""
    words = how_late(order.late_minutes)
    return f"{words}, counted to the end of the planned days" if order.beyond > 0 else words


def sure_notes(day: date, chances: DayChance) -> list[str]:
    """What stands below the table: finish, overtime, minutes won, and what times were drawn from."""
    lines = [f"{finish_words(day, chances)} {capital(unfinished_words(chances))}"]
    if chances.won:
        runs = ", ".join(f"{one.number} (order {one.order})" for one in chances.won)
        lines.append(f"{chances.won[0].minutes:g} minutes won at one of these runs would help most: {runs}.")
    lines.append(
        f"By {chances.replays} replays of the plan in its order; in brackets where a chance lies, at "
        f"{100 * chances.confidence:g} %. Drawn from: {'; '.join(chances.spread)}."
    )
    return lines


def sure_section(day: date, chances: DayChance, table: str) -> str:
    """The part of the page; `table` is that of the orders at risk, ready made."""
    notes = "".join(f'<p class="fine">{escape(line)}</p>' for line in sure_notes(day, chances))
    body = table if any(order.on_time.best < AT_RISK for order in chances.orders) else ""
    return (
        f'<section id="sure"><h2>How sure it is</h2><p class="lead">{escape(sure_lead(chances))}</p>'
        f"{body}{notes}</section>"
    )


def _bar(chance: Chance) -> str:
    """The chance as a bar in its frame, and the interval as a line; the cell beside it says both in words."""
    best, low, high = (round(share * WIDTH_PX, 1) for share in (chance.best, chance.low, chance.high))
    return (
        f'<svg class="load" aria-hidden="true" width="{WIDTH_PX + 2}" height="16">'
        f'<rect class="free" x="1" y="1" width="{WIDTH_PX}" height="14"/>'
        f'<rect class="full" x="1" y="1" width="{best}" height="14"/>'
        f'<line class="rim" x1="{low}" x2="{2 + high}" y1="8" y2="8"/>'
        f'<line class="reach" x1="{1 + low}" x2="{1 + high}" y1="8" y2="8"/></svg>'
    )
