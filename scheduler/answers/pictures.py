"""What is drawn of answers: how full a day is, chances, savings and paybacks, studies."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.domain.figures import counted
from scheduler.exceptions import WrongUsage

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from scheduler.answers.savings.answer import Told
    from scheduler.domain.chances import DayChance
    from scheduler.domain.plan import Plan
    from scheduler.sheets.canvas import Picture
    from scheduler.sheets.drawn import Dots, PaybackLine, ShareLine
    from scheduler.timing.judged import Judged
    from scheduler.timing.study import ElementStudy
    from scheduler.workflow.compare import Answer

PROVEN = "{}, proven"
"""Name of the line of what a version saves for certain."""

MOST_PAYBACKS = 8
"""Lines that can be told apart in one picture."""

NEARLY_SURE = 0.99
"""Orders with at least this chance are drawn as one bar."""


def draw_saving(path: Path, told: Told) -> Picture:
    """Draw the cycle by element today and then, and what is earned over time.

    Raises
    ------
    WrongUsage
        When there is nothing to draw.
    """
    from scheduler.sheets.canvas import kind_of
    from scheduler.sheets.pictures import saving_picture

    if not told.cycles and not told.paybacks:
        raise WrongUsage(
            "a cycle with measures can be drawn, and a payback: --price, --wage and --garments.",
            option="--picture",
        )
    return saving_picture(told.cycles, told.paybacks, kind_of(path), note=told.payback_note)


def draw_chances(path: Path, chances: DayChance) -> Picture:
    """Draw how sure the whole day and each of its orders is."""
    from scheduler.sheets.canvas import kind_of
    from scheduler.sheets.drawn import ChanceBar
    from scheduler.sheets.pictures import chance_picture

    rows = [("all orders", chances.on_time)]
    if chances.others_on_time is not None:
        rows.append((f"all but {counted(len(chances.never_on_time), 'order')}", chances.others_on_time))
    firsts = len(rows)
    rows += [
        (f"{order.id} {order.customer}", order.on_time)
        for order in chances.orders
        if order.on_time.best < NEARLY_SURE
    ]
    rest = len(chances.orders) + firsts - len(rows)
    if rest:
        least = min((order.on_time for order in chances.orders[-rest:]), key=lambda one: one.best)
        rows.append((f"each of the other {rest}, at least", least))
    bars = [ChanceBar(label=label, best=one.best, low=one.low, high=one.high) for label, one in rows]
    return chance_picture(bars, chances.confidence, kind_of(path))


def draw_load(path: Path, plan: Plan) -> Picture:
    """Draw how full a planned day is."""
    from scheduler.sheets.canvas import kind_of
    from scheduler.sheets.load_picture import load_picture

    return load_picture(plan, kind_of(path))


def paybacks_of(answer: Answer) -> list[PaybackLine]:
    """When versions of the shop have paid, in the order of the ranking: by the plans, and what is proven."""
    from scheduler.sheets.drawn import PaybackLine

    lines = []
    for one in answer.versions:
        price = one.version.price
        for name, paid in (
            (one.version.name, one.payback),
            (PROVEN.format(one.version.name), one.payback_proven),
        ):
            if price and paid is not None and paid.saved_a_day > 0:
                lines.append(PaybackLine(label=name, price=float(price), saved_a_day=float(paid.saved_a_day)))
    return lines


def draw_paybacks(path: Path, lines: Sequence[PaybackLine]) -> Picture:
    """Draw what versions of the shop earn over time; of many the first of the ranking."""
    from scheduler.sheets.canvas import kind_of
    from scheduler.sheets.pictures import saving_picture

    more = len(lines) - MOST_PAYBACKS
    note = "By the plans, where a line is not called proven."
    if more > 0:
        note += f" {counted(more, 'more line')} not drawn; the table has what they show."
    return saving_picture((), lines[:MOST_PAYBACKS], kind_of(path), note=note)


def draw_spread(path: Path, studies: tuple[ElementStudy, ...]) -> Picture:
    """Draw the readings of a study."""
    from scheduler.sheets.canvas import kind_of
    from scheduler.sheets.pictures import spread_picture

    return spread_picture(dots_of(studies), kind_of(path))


def dots_of(studies: tuple[ElementStudy, ...]) -> list[Dots]:
    """The readings of a study as they are drawn."""
    from scheduler.sheets.drawn import Dots

    return [
        Dots(
            label=str(one.studied),
            usual=[float(reading.seconds) for reading in one.counted if reading not in one.outliers],
            far=[float(reading.seconds) for reading in one.outliers],
            left_out=[float(reading.seconds) for reading in one.left_out],
            mean=float(one.mean_s),
        )
        for one in studies
    ]


def draw_shares(path: Path, judged: Judged, confidence: float) -> Picture:
    """Draw what recorded days say of the standards."""
    from scheduler.sheets.canvas import kind_of
    from scheduler.sheets.pictures import shares_picture

    return shares_picture(shares_of(judged), confidence, kind_of(path))


def shares_of(judged: Judged) -> list[ShareLine]:
    """The standards as they are drawn; people are not, since side by side they would look like a ranking.

    Standards that can't be told apart have one line.
    """
    from scheduler.sheets.drawn import ShareLine
    from scheduler.timing.judged import Kind

    lines: list[ShareLine] = []
    drawn: set[str] = set()
    for one in judged.standards:
        if one.kind is Kind.PERSON or drawn.intersection(one.together_with):
            continue
        others = [f"{kind} {other}" for kind, other in one.together if kind is not Kind.PERSON]
        name = f"{one.kind} {one.name}".strip()
        drawn.add(name)
        drawn_shares = [(" with ".join([name, *others]), one.of_planned)]
        if one.kind is Kind.ALL and judged.rest is not None:
            drawn_shares.append(("all work without what is off", judged.rest.of_planned))
        lines += [
            ShareLine(label=label, best=share.best, low=share.low, high=share.high)
            for label, share in drawn_shares
        ]
    return lines
