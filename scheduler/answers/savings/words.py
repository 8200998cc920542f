"""What `pressday savings` answers: lines for people and a document for programs, from the same figures."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from scheduler.answers.numbers import plain
from scheduler.answers.savings.answer import Asked, Told
from scheduler.answers.savings.tables import elements_table, measures_table
from scheduler.answers.savings.worth import payback_json, payback_lines, worth, worth_lines
from scheduler.domain.figures import figure
from scheduler.sheets.answer_page import Table
from scheduler.sheets.drawn import Bar, PaybackLine

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from scheduler.savings.measures import Share, Together
    from scheduler.savings.presses import Servicing

MOST_TITLE = 80
"""Letters of the names of measures in a title."""

HANDS = (
    "Only for presses that open by themselves, and only where law and the makers' instructions allow one "
    "person at several. Platens burn and closing presses crush: close a press only when both hands are out "
    "of it, never reach into one while the other closes, keep guards and stop buttons on and working."
)


def by_seconds(seconds: Fraction, asked: Asked) -> Told:
    """What seconds on each garment are worth."""
    return Told(
        document=worth(seconds, asked, asked.price),
        title=f"What {figure(seconds)} s on each garment are worth",
        words=[*worth_lines(seconds, asked), *payback_lines(seconds, asked, asked.price)],
        paybacks=_drawn([("this saving", seconds, asked.price)], asked),
    )


def by_measures(
    taken: Together,
    asked: Asked,
    *,
    minutes: Fraction | None,
    allowance: Fraction,
    untimed: Mapping[str, Fraction],
) -> Told:
    """What measures on a cycle save together.

    Parameters
    ----------
    minutes
        Minutes of pressing a day, for the garments that they hold; None: not asked.
    allowance
        Share of basic time that comes on top of the cycles in those minutes.
    untimed
        Of today's cycle the seconds by element that nobody has timed: the program's own.
    """
    price = taken.price if asked.price is None else asked.price
    missing = _without_price(taken, asked)
    document = {
        **worth(taken.saved_s, asked, price),
        "cycle_before_s": plain(taken.before_s),
        "cycle_after_s": plain(taken.after_s),
        "elements_before_s": {name: plain(seconds) for name, seconds in taken.before.items()},
        "elements_after_s": {name: plain(seconds) for name, seconds in taken.after.items()},
        "measures": [_measure(share, asked) for share in taken.shares],
        "added_up_s": plain(taken.alone_sum_s),
        "measures_without_price": list(missing),
        "program_times_today": {name: plain(seconds) for name, seconds in untimed.items()},
    }
    lines = [_cycle_line(taken)]
    for share in taken.shares:
        lines.append(f"  {share.measure.name}: {figure(share.alone_s)} s alone, {_on_top(share, taken)}")
    if taken.alone_sum_s != taken.saved_s:
        lines.append(
            f"Added up they would promise {figure(taken.alone_sum_s)} s; together they save "
            f"{figure(taken.saved_s)} s, since one saves on what the other left."
        )
    lines += _untimed_lines(taken, untimed)
    lines += [*worth_lines(taken.saved_s, asked), *payback_lines(taken.saved_s, asked, price)]
    no_total = _no_total(missing) if missing and asked.wage is not None and asked.garments else ""
    lines += [no_total] if no_total else []
    for share in taken.shares if len(taken.shares) > 1 else ():
        lines += payback_lines(share.added_s, asked, share.measure.price, f"{share.measure.name}, on top")
    if minutes is not None:
        more, line = _capacity(taken, minutes, allowance)
        document.update(more)
        lines.append(line)
    tail = ", on top" if len(taken.shares) > 1 else ""
    each = [(f"{share.measure.name}{tail}", share.added_s, share.measure.price) for share in taken.shares]
    whole = [("all measures", taken.saved_s, price)] if len(each) > 1 or each[0][2] is None else []
    return Told(
        document=document,
        title=f"What {_listed([share.measure.name for share in taken.shares])} would save",
        words=lines,
        tables=(elements_table(taken), measures_table(taken, asked)),
        cycles=(_bar("today", taken.before), _bar("then", taken.after)),
        paybacks=_drawn([*each, *whole], asked),
        payback_note=no_total,
    )


def by_presses(servicing: Servicing, presses: int, asked: Asked, *, press_cost: Fraction) -> Told:
    """What one operator gets out of one, two and more presses that open by themselves."""
    saved = servicing.each_s(1) - servicing.each_s(presses)
    rows = []
    head: tuple[str, ...] = ("Presses", "one round s", "one garment s", "garments an hour")
    head += ("cost of each",) if asked.wage is not None else ()
    table = []
    for number in range(1, presses + 1):
        row = {
            "presses": number,
            "round_s": plain(servicing.round_s(number)),
            "each_s": plain(servicing.each_s(number)),
            "per_hour": plain(servicing.per_hour(number)),
        }
        cells: tuple[str, ...] = (
            str(number),
            figure(servicing.round_s(number)),
            figure(servicing.each_s(number)),
            figure(servicing.per_hour(number), 1),
        )
        if asked.wage is not None:
            cost = servicing.cost_each(number, wage=asked.wage, press_cost=press_cost)
            row["cost_each"] = plain(cost)
            cells = (*cells, figure(cost, 4))
        rows.append(row)
        table.append(cells)
    busy = "1 press" if servicing.most == 1 else f"{servicing.most} presses"
    words = [
        f"With {busy} the operator never waits ({figure(servicing.ideal)} exactly); a further press adds no "
        "output.",
        *worth_lines(saved, asked),
        *payback_lines(saved, asked, asked.price),
    ]
    document = {
        **worth(saved, asked, asked.price),
        "ideal_presses": plain(servicing.ideal),
        "most_presses": servicing.most,
        "presses": rows,
        "caution": HANDS,
    }
    return Told(
        document=document,
        title=f"One operator at {presses} presses",
        words=words,
        table=Table(label="One operator at several presses", head=head, rows=tuple(table)),
        caution=HANDS,
        paybacks=_drawn([(f"{presses} presses", saved, asked.price)], asked),
    )


def _bar(label: str, cycle: Mapping[str, Fraction]) -> Bar:
    return Bar(label=label, parts={name: float(seconds) for name, seconds in cycle.items()})


def _listed(names: Sequence[str]) -> str:
    """Names in a line: "cover, stand and practice"; only their number where they are many or long."""
    listed = " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
    if len(names) > 1 and len(listed) > MOST_TITLE:
        return f"{len(names)} measures"
    return listed


def _drawn(parts: Sequence[tuple[str, Fraction, Fraction | None]], asked: Asked) -> tuple[PaybackLine, ...]:
    """Of name, seconds and price: what pays back, as it is drawn."""
    found = [(name, price, asked.payback(seconds, price)) for name, seconds, price in parts]
    return tuple(
        PaybackLine(label=name, price=float(price), saved_a_day=float(paid.saved_a_day))
        for name, price, paid in found
        if price and paid is not None
    )


def _without_price(taken: Together, asked: Asked) -> tuple[str, ...]:
    """Measures for whose sake there is no payback of all of them, though others have a price."""
    prices = [share.measure.price for share in taken.shares]
    if asked.price is not None or not any(one is not None for one in prices):
        return ()
    return tuple(share.measure.name for share in taken.shares if share.measure.price is None)


def _no_total(names: Sequence[str]) -> str:
    has = "has" if len(names) == 1 else "have"
    free = "if it is free" if len(names) == 1 else "for what is free"
    return (
        f"No payback of all measures together: {_listed(names)} {has} no price; write price=0 {free}, or "
        "give --price for all."
    )


def _measure(share: Share, asked: Asked) -> dict[str, Any]:
    price = share.measure.price
    return {
        "name": share.measure.name,
        "alone_s": plain(share.alone_s),
        "added_s": plain(share.added_s),
        "price": plain(price),
        "program_times": {name: plain(seconds) for name, seconds in _program_times(share).items()},
        "payback_alone": payback_json(asked.payback(share.alone_s, price)),
        "payback_added": payback_json(asked.payback(share.added_s, price)),
    }


def _program_times(share: Share) -> dict[str, Fraction]:
    """The new times of a measure that are the program's own."""
    changes = share.measure.changes
    return {one.element: one.to_s for one in changes if one.untimed and one.to_s is not None}


def _untimed_lines(taken: Together, today: Mapping[str, Fraction]) -> list[str]:
    """Which of the times nobody has timed in the shop."""
    named = [("today", today), *((share.measure.name, _program_times(share)) for share in taken.shares)]
    parts = [
        f"{name}: " + ", ".join(f"{element} {figure(seconds)} s" for element, seconds in times.items())
        for name, times in named
        if times
    ]
    if not parts:
        return []
    return [f"The program's own times, not timed in your shop (see pressday times): {'; '.join(parts)}."]


def _on_top(share: Share, taken: Together) -> str:
    first = share is taken.shares[0]
    return "taken first" if first else f"{figure(share.added_s)} s on top of those above"


def _cycle_line(taken: Together) -> str:
    from scheduler.savings.worth import per_hour

    off = 100 * taken.saved_s / taken.before_s
    return (
        f"Cycle: {figure(taken.before_s)} s to {figure(taken.after_s)} s ({figure(off, 1)} % off), "
        f"{figure(per_hour(taken.before_s), 1)} to {figure(per_hour(taken.after_s), 1)} an hour"
    )


def _capacity(taken: Together, minutes: Fraction, allowance: Fraction) -> tuple[dict[str, Any], str]:
    from scheduler.savings.worth import garments_in

    counts = [garments_in(minutes, seconds, allowance) for seconds in (taken.before_s, taken.after_s)]
    document = {
        "minutes": plain(minutes),
        "allowance_of_basic_time": plain(allowance),
        "garments_before": counts[0],
        "garments_after": counts[1],
    }
    line = (
        f"In {figure(minutes)} min of pressing, allowance {figure(100 * allowance, 1)} % of basic time: "
        f"{counts[0]} garments today, {counts[1]} then."
    )
    return document, line
