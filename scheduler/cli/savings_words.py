"""What `pressday savings` answers: lines for people and a document for programs, from the same figures."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from scheduler.cli.figures import figure, plain

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from scheduler.savings.measures import Share, Together
    from scheduler.savings.presses import Servicing
    from scheduler.savings.worth import Payback, WorkYear

HANDS = (
    "Only for presses that open by themselves, and only where law and the makers' instructions allow one "
    "person at several. Platens burn and closing presses crush: close a press only when both hands are out "
    "of it, never reach into one while the other closes, keep guards and stop buttons on and working."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked of any saving; None: not given."""

    garments: Fraction | None
    year: WorkYear
    price: Fraction | None
    wage: Fraction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """An answer in both forms, and what of it can be drawn.

    Attributes
    ----------
    cycles
        Label and seconds by element, of today's cycle and the one with all measures; empty: none was given.
    paybacks
        Label, price and what is saved a day; only what pays back.
    """

    document: dict[str, Any]
    lines: list[str]
    cycles: tuple[tuple[str, dict[str, float]], ...] = ()
    paybacks: tuple[tuple[str, float, float], ...] = ()


def by_seconds(seconds: Fraction, asked: Asked) -> Told:
    """What seconds on each garment are worth."""
    return Told(
        document=_worth(seconds, asked, asked.price),
        lines=[*_worth_lines(seconds, asked), *_payback_lines(seconds, asked, asked.price)],
        paybacks=_drawn([("this saving", seconds, asked.price)], asked),
    )


def by_measures(taken: Together, asked: Asked, *, minutes: Fraction | None, allowance: Fraction) -> Told:
    """What measures on a cycle save together.

    Parameters
    ----------
    minutes
        Minutes of pressing a day, for the garments that they hold; None: not asked.
    allowance
        Share of basic time that comes on top of the cycles in those minutes.
    """
    price = taken.price if asked.price is None else asked.price
    document = {
        **_worth(taken.saved_s, asked, price),
        "cycle_before_s": plain(taken.before_s),
        "cycle_after_s": plain(taken.after_s),
        "elements_before_s": {name: plain(seconds) for name, seconds in taken.before.items()},
        "elements_after_s": {name: plain(seconds) for name, seconds in taken.after.items()},
        "measures": [_measure(share, asked) for share in taken.shares],
        "added_up_s": plain(taken.alone_sum_s),
    }
    lines = [_cycle_line(taken)]
    for share in taken.shares:
        lines.append(f"  {share.measure.name}: {figure(share.alone_s)} s alone, {_on_top(share, taken)}")
    if taken.alone_sum_s != taken.saved_s:
        lines.append(
            f"Added up they would promise {figure(taken.alone_sum_s)} s; together they save "
            f"{figure(taken.saved_s)} s, since one saves on what the other left."
        )
    lines += [*_worth_lines(taken.saved_s, asked), *_payback_lines(taken.saved_s, asked, price)]
    for share in taken.shares if len(taken.shares) > 1 else ():
        lines += _payback_lines(share.added_s, asked, share.measure.price, f"{share.measure.name}, on top")
    if minutes is not None:
        more, line = _capacity(taken, minutes, allowance)
        document.update(more)
        lines.append(line)
    each = [(share.measure.name, share.added_s, share.measure.price) for share in taken.shares]
    whole = [("all measures", taken.saved_s, price)] if len(each) > 1 or each[0][2] is None else []
    return Told(
        document=document,
        lines=lines,
        cycles=(("today", _floats(taken.before)), ("then", _floats(taken.after))),
        paybacks=_drawn([*each, *whole], asked),
    )


def by_presses(servicing: Servicing, presses: int, asked: Asked, *, press_cost: Fraction) -> Told:
    """What one operator gets out of one, two and more presses that open by themselves."""
    saved = servicing.each_s(1) - servicing.each_s(presses)
    rows = []
    lines = ["Presses  one round s  one garment s  garments an hour"]
    for number in range(1, presses + 1):
        row = {
            "presses": number,
            "round_s": plain(servicing.round_s(number)),
            "each_s": plain(servicing.each_s(number)),
            "per_hour": plain(servicing.per_hour(number)),
        }
        line = (
            f"{number:>7}  {figure(servicing.round_s(number)):>11}  {figure(servicing.each_s(number)):>13}  "
            f"{figure(servicing.per_hour(number), 1):>16}"
        )
        if asked.wage is not None:
            cost = servicing.cost_each(number, wage=asked.wage, press_cost=press_cost)
            row["cost_each"] = plain(cost)
            line += f"  {figure(cost, 4)} each"
        rows.append(row)
        lines.append(line)
    busy = "1 press" if servicing.most == 1 else f"{servicing.most} presses"
    lines.append(
        f"With {busy} the operator never waits ({figure(servicing.ideal)} exactly); a further press adds no "
        "output."
    )
    lines += [*_worth_lines(saved, asked), *_payback_lines(saved, asked, asked.price), HANDS]
    document = {
        **_worth(saved, asked, asked.price),
        "ideal_presses": plain(servicing.ideal),
        "most_presses": servicing.most,
        "presses": rows,
        "caution": HANDS,
    }
    return Told(
        document=document,
        lines=lines,
        paybacks=_drawn([(f"{presses} presses", saved, asked.price)], asked),
    )


def _floats(cycle: Mapping[str, Fraction]) -> dict[str, float]:
    return {name: float(seconds) for name, seconds in cycle.items()}


def _drawn(
    parts: Sequence[tuple[str, Fraction, Fraction | None]], asked: Asked
) -> tuple[tuple[str, float, float], ...]:
    """Of name, seconds and price: what pays back, as it is drawn."""
    found = [(name, price, _payback(seconds, asked, price)) for name, seconds, price in parts]
    return tuple(
        (name, float(price), float(paid.saved_a_day))
        for name, price, paid in found
        if price is not None and paid is not None
    )


def _worth(seconds: Fraction, asked: Asked, price: Fraction | None) -> dict[str, Any]:
    """The figures that every answer has."""
    from scheduler.savings.worth import days_per_year, hours_per_year

    hours = days = None
    if asked.garments is not None:
        hours = plain(hours_per_year(seconds, asked.garments, asked.year))
        days = plain(days_per_year(seconds, asked.garments, asked.year))
    return {
        "seconds_per_garment": plain(seconds),
        "garments_per_day": plain(asked.garments),
        "working_days_per_year": plain(Fraction(asked.year.days)),
        "hours_per_working_day": plain(Fraction(asked.year.hours_a_day)),
        "hours_per_year": hours,
        "days_per_year": days,
        "price": plain(price),
        "wage_per_hour": plain(asked.wage),
        "payback": _payback_json(_payback(seconds, asked, price)),
    }


def _worth_lines(seconds: Fraction, asked: Asked) -> list[str]:
    from scheduler.savings.worth import days_per_year, hours_per_year

    if asked.garments is None:
        return [f"{figure(seconds)} s on each garment; with --garments a day: hours and days a year."]
    hours = hours_per_year(seconds, asked.garments, asked.year)
    days = days_per_year(seconds, asked.garments, asked.year)
    return [
        f"{figure(seconds)} s on each garment, {figure(asked.garments)} garments a day:",
        f"  {figure(hours)} hours a year ({figure(Fraction(asked.year.days))} working days a year)",
        f"  {figure(days)} working days a year (of {figure(Fraction(asked.year.hours_a_day))} hours)",
    ]


def _payback(seconds: Fraction, asked: Asked, price: Fraction | None) -> Payback | None:
    from scheduler.savings.worth import payback

    if price is None or asked.wage is None or asked.garments is None:
        return None
    return payback(price, asked.wage, seconds, asked.garments)


def _payback_json(paid: Payback | None) -> dict[str, Any] | None:
    if paid is None:
        return None
    return {
        "saved_per_day": plain(paid.saved_a_day),
        "working_days": plain(paid.working_days),
        "garments": paid.garments,
    }


def _payback_lines(seconds: Fraction, asked: Asked, price: Fraction | None, what: str = "") -> list[str]:
    if price is None or asked.wage is None or asked.garments is None:
        return []
    paid = _payback(seconds, asked, price)
    label = f"{what}: " if what else ""
    if paid is None:
        return [f"{label}{figure(price)} is never earned: no seconds are saved."]
    return [
        f"{label}{figure(paid.saved_a_day)} saved a working day at {figure(asked.wage)} an hour; "
        f"{figure(price)} has paid after {figure(paid.working_days)} working days, with garment "
        f"{paid.garments}."
    ]


def _measure(share: Share, asked: Asked) -> dict[str, Any]:
    price = share.measure.price
    return {
        "name": share.measure.name,
        "alone_s": plain(share.alone_s),
        "added_s": plain(share.added_s),
        "price": plain(price),
        "payback_alone": _payback_json(_payback(share.alone_s, asked, price)),
        "payback_added": _payback_json(_payback(share.added_s, asked, price)),
    }


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
