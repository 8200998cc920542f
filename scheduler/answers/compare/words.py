"""What `pressday compare` answers: lines for people."""

from __future__ import annotations

import textwrap
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.answers.columns import columns_of
from scheduler.answers.compare.ranking import ranking_lines, wages_lines
from scheduler.answers.compare.rows import Row, blocks, paid_hours, short, signed
from scheduler.answers.savings.words import HANDS
from scheduler.answers.stopped import stopped_line
from scheduler.domain.clock import long_date
from scheduler.domain.figures import counted, figure
from scheduler.savings.worth import fraction
from scheduler.scenarios.quantities import Quantity
from scheduler.workflow.stopped import TOLD_TO, by_time

if TYPE_CHECKING:
    from collections.abc import Iterator

    from scheduler.scenarios.changes import Compared, Together
    from scheduler.scenarios.money import Saved
    from scheduler.workflow.compare import Answer

MOST_BLOCKS = 2
"""Versions whose figures are all printed; of more only the ranking, and the rest in JSON and workbook."""

PROOF = (
    "At best: what no plan of that shop can beat, as far as it is shown. Proven only where one shop's plan "
    "is better than the other's best; else the range in which the difference lies, ? where nothing is known."
)
RESTS = (
    "What stands below lateness is compared among plans that keep what stands above: late orders first, then "
    "changeovers, then overtime and finish."
)

SEEDS = (
    "Seeds: from where to where a figure goes when each seed's own plans count alone. What counts is the "
    "best plan of each day, of any seed or found for another shop; so a figure can lie outside of its seeds."
)

LUCK = (
    f"It was {TOLD_TO} before plans were exchanged: a difference may be the search's luck, so no payback is "
    "given."
)


def lines(answer: Answer, width: int) -> list[str]:
    """The comparison in words.

    Parameters
    ----------
    width
        Columns of the terminal; where the figures don't fit beside each other, they stand below each other.
    """
    said = [*_head(answer), ""]
    if not answer.exchanged:
        said += [LUCK, ""]
    if len(answer.versions) <= MOST_BLOCKS:
        for one in answer.versions:
            said += _blocks(answer, one, width)
        said += [PROOF, RESTS, ""]
    if len(answer.versions) > 1 or answer.money.rates is not None:
        said += [*ranking_lines(answer, width), ""]
    if wages := list(wages_lines(answer)):
        said += [*wages, ""]
    if _outside_seeds(answer):
        said += [SEEDS, ""]
    said += [together_line(one) for one in answer.together]
    said += [*_assumptions(answer), *_caution(answer), *_missing(answer)]
    return [part for line in said for part in _wrapped(line, width)]


def _outside_seeds(answer: Answer) -> bool:
    """Whether a figure that is printed lies outside of what its seeds reach."""
    if any(one.saved is not None and not one.saved.in_seeds for one in answer.versions):
        return True
    few = answer.versions if len(answer.versions) <= MOST_BLOCKS else ()
    rows = (row for one in few for _, rows in blocks(answer.today, one) for row in rows)
    return any(not cell.low <= cell.plan <= cell.high for row in rows for cell in (row.today, row.then))


def _wrapped(line: str, width: int) -> list[str]:
    """A line in pieces that fit, the further ones under the first."""
    indent = " " * (len(line) - len(line.lstrip()) + 2)
    return textwrap.wrap(line, width, subsequent_indent=indent) if len(line) > width else [line]


def notes(answer: Answer) -> list[str]:
    """What the figures rest on, and what is missing."""
    luck = [] if answer.exchanged else [LUCK]
    return [
        *_head(answer),
        *luck,
        PROOF,
        RESTS,
        SEEDS,
        *wages_lines(answer),
        *_assumptions(answer),
        *_caution(answer),
        *_missing(answer),
    ]


def _caution(answer: Answer) -> list[str]:
    """What is said where one person would run two presses."""
    shops = [problem.shop for problems in answer.scenarios.problems for problem in problems]
    return [HANDS] if any(shop.press_pairs for shop in shops) else []


def _head(answer: Answer) -> list[str]:
    said = [
        f"{long_date(one.day)}, {one.label}: {counted(day.best.orders, 'order')}, "
        f"{counted(day.best.garments, 'garment')}"
        for one, day in zip(answer.scenarios.days, answer.today.days, strict=True)
    ]
    seeds = ", ".join(map(str, answer.search.seeds))
    said.append(
        f"Effort {answer.search.effort}, {'seed' if len(answer.search.seeds) == 1 else 'seeds'} {seeds}: the "
        "best plan of each day counts"
        f"{', also one that was found for another shop' if answer.exchanged else ''}. Every plan passed the "
        "independent check."
    )
    if answer.today.stopped_early or any(one.side.stopped_early for one in answer.versions):
        stopped = by_time(answer.search.effort, answer.search.seconds)
        said.append(stopped_line(stopped, what="Some searches were", same="the same plans"))
    return said


def _blocks(answer: Answer, one: Compared, width: int) -> Iterator[str]:
    for day, rows in blocks(answer.today, one):
        when = "all days" if day is None else _when(answer, day)
        yield f"today beside {one.version.name}, {when}"
        shown = [
            row for row in rows if row.quantity is not Quantity.LEFT_OVER or row.today.plan or row.then.plan
        ]
        table = [("", "today", "at best", "seeds", "then", "at best", "seeds", "difference", "")]
        table += [
            (
                f"  {row.title}{_averaged(row, day)}",
                row.shown(row.today.plan),
                row.shown(row.today.bound),
                row.spread(row.today),
                row.shown(row.then.plan),
                row.shown(row.then.bound),
                row.spread(row.then),
                signed(row.planned),
                row.words(),
            )
            for row in shown
        ]
        paid, then = paid_hours(answer.today, one.side, day)
        if paid != then:
            change = signed(then - paid)
            table.append(("  paid, hours", short(paid), "", "", short(then), "", "", change, ""))
        side_by_side = columns_of(table, right=False)
        if max(map(len, side_by_side)) <= width:
            yield from side_by_side
        else:
            if paid != then:
                yield f"  paid, hours: today {short(paid)}, then {short(then)}"
            for row in shown:
                yield f"  {row.title}{_averaged(row, day)}: {row.words()}"
                for name, cell in (("today", row.today), ("then", row.then)):
                    yield (
                        f"      {name} {row.shown(cell.plan)} (at best {row.shown(cell.bound)}, seeds "
                        f"{row.spread(cell)})"
                    )
        yield ""


def _when(answer: Answer, day: int) -> str:
    one = answer.scenarios.days[day]
    return f"{long_date(one.day)}, {one.label}"


def _averaged(row: Row, day: int | None) -> str:
    """What is said behind a title of all days that is no sum."""
    return " (average)" if day is None and row.quantity is Quantity.FINISH else ""


def together_line(one: Together) -> str:
    """Whether changes made together do what they do one by one, and whether that is proven."""
    names = " and ".join(one.names)
    if not one.more:
        sure = one.least == one.most == 0
        words = "they add up, proven" if sure else "by the plans they add up, not proven"
    else:
        words = f"{figure(abs(one.more))} {'more' if one.more > 0 else 'less'} than one by one"
        words += ", proven" if one.proven else ", not proven"
    unit = " a day" if one.unit == "money" else f" {one.unit} off"
    return f"{names}: together {figure(one.together)}{unit}, added up {figure(one.added_up)}: {words}."


def _assumptions(answer: Answer) -> list[str]:
    rates = answer.money.rates
    if rates is None:
        return ["With --wage (and --late-order) what is saved is counted in money too."]
    year = answer.money.days
    wage, overtime, late = map(fraction, (rates.wage, rates.overtime_wage, rates.late_order))
    said = [
        f"Assumed: {figure(wage)} an hour, {figure(overtime)} an hour of overtime, {figure(late)} for a late "
        f"order; {figure(year)} working days a year like these.",
        "Hours that people are not needed at the presses count at the wage: they are used for other work. "
        "Hours that a version adds to the paid ones are taken off in full.",
    ]
    for one in answer.versions[:1] if answer.exchanged else ():
        if one.saved is not None and one.saved.planned > 0:
            said.append(_a_year(answer, one, one.saved))
    if any(one.saved is None for one in answer.versions):
        said.append("Where pressings are left over nothing is counted in money.")
    return said


def _a_year(answer: Answer, one: Compared, saved: Saved) -> str:
    """What a year of days like the compared ones would save; a year is more than they can prove."""
    days, one_day = answer.money.days * one.share, len(answer.today.days) == 1
    like = "this one" if one_day else "these"
    rest = ""
    if one.share != 1:
        rest = f" (of {figure(answer.money.days)}; on the others it changes nobody's hours)"
    return (
        f"{one.version.name}: {figure(saved.planned * days)} a year by the plans, if {figure(days, 1)} days "
        f"a year are like {like}{rest}; {figure(max(saved.least, Fraction(0)) * days)} if each of them saves "
        f"no more than is certain of {like}{', the wages alone' if saved.wages_alone else ''}."
    )


def _missing(answer: Answer) -> list[str]:
    said = [f"{name}: not compared, {why}" for name, why in answer.broken.items()]
    if answer.scenarios.failed:
        said.append(f"Left out, there are faults (see above): {'; '.join(answer.scenarios.failed)}.")
    if answer.unfinished:
        said.append(f"It was {TOLD_TO} before these were planned: {'; '.join(answer.unfinished)}.")
    return ["", *said] if said else []
