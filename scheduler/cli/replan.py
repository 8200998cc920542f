"""`pressday replan`: the rest of a day when something came in between."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.ends import told
from scheduler.cli.options import (
    HALF_OF_DAY,
    AsJson,
    AtMoment,
    Effort,
    Paper,
    PaperSize,
    PlannedDay,
    SearchEffort,
    Seed,
    StopAfter,
    moment_of_option,
    text_option,
)
from scheduler.cli.terminal import OWNER, columns_here, put_json, say_lines
from scheduler.now import this_minute
from scheduler.workflow.moments import Moment

if TYPE_CHECKING:
    from scheduler.domain.disruptions import Disruptions
    from scheduler.domain.orders import Order
    from scheduler.domain.plan import Plan
    from scheduler.workflow.replan import Asked


def replan(
    at: AtMoment = None,
    day: PlannedDay = None,
    down: Annotated[
        list[str] | None,
        typer.Option(
            "--down", metavar="PRESS[=UNTIL]", help="A press that is down, until a time or for the day."
        ),
    ] = None,
    away: Annotated[
        list[str] | None,
        typer.Option(
            "--away", metavar="PERSON[=FROM-TO]", help="A person who is away: 10:00-12:30, 14:00-, or now on."
        ),
    ] = None,
    late_box: Annotated[
        list[str] | None,
        typer.Option(
            "--late-box",
            metavar="ORDER=TIME",
            help="An order whose garments come in later; transfers of a single placement go by --changed.",
        ),
    ] = None,
    cancel: Annotated[
        list[str] | None,
        typer.Option("--cancel", metavar="ORDER", help="An order of which nothing more is pressed."),
    ] = None,
    press_again: Annotated[
        bool, typer.Option("--press-again", help="Press spoiled and missing pieces of finished runs again.")
    ] = False,
    orders: Annotated[
        list[Path] | None, typer.Option("--orders", metavar="FILE", help="Orders that came in as well.")
    ] = None,
    changed: Annotated[
        list[Path] | None,
        typer.Option("--changed", metavar="FILE", help="The orders file again, as it is now."),
    ] = None,
    cut_off: Annotated[
        list[str] | None,
        typer.Option("--cut-off", metavar="ORDER=TIME", help="An order with another cut-off."),
    ] = None,
    quantity: Annotated[
        list[str] | None,
        typer.Option(
            "--quantity",
            metavar="ORDER[/SIZE]=N",
            help="An order with another quantity; with its size when it has several.",
        ),
    ] = None,
    plans: Annotated[
        Path | None,
        text_option(
            "--plans", "The folder of plans. Not given: plans in the current folder.", "FOLDER", "--out"
        ),
    ] = None,
    effort: SearchEffort = Effort.QUICK,
    seconds: StopAfter = None,
    seed: Seed = 1,
    json: AsJson = False,
    paper: PaperSize = Paper.A4,
) -> None:
    """Plan the rest of a day again when something came in between.

    What is pressed stays. What is under way finishes where it is, unless its press is down or its person
    leaves: then its rest is pressed elsewhere. Of what is printed only what must move moves.
    """
    downs = [_named(one, "--down", needed=False) for one in down or ()]
    absences = [_named(one, "--away", needed=False) for one in away or ()]
    boxes = [_named(one, "--late-box", needed=True) for one in late_box or ()]
    moments = {text: moment_of_option(text) for _, text in [*downs, *boxes] if text}
    cut_offs = [_named(one, "--cut-off", needed=True) for one in cut_off or ()]
    quantities = [(*_named(one, "--quantity", needed=True), one) for one in quantity or ()]
    moments |= {text: moment_of_option(text) for _, text in cut_offs}
    for _, text, one in quantities:
        if text == "0":
            way = (
                "take that size out of the orders file and give it by --changed"
                if "/" in one
                else f"write --cancel {one.rpartition('=')[0].strip()}"
            )
            raise typer.BadParameter(f'--quantity "{one}": to press none of it any more, {way}.')
        if not text.isdecimal() or int(text) < 1:
            raise typer.BadParameter(f'--quantity "{one}": write it as ORDER=12 or ORDER/SIZE=12, from 1 on.')
    spans = {text: _span(text) for _, text in absences if text}
    one_day(day, at)

    def between(day: date) -> Disruptions:
        from scheduler.domain.disruptions import BoxLate, Disruptions, PersonAway, PressDown

        moment = at.on(day) if at else this_minute()
        return Disruptions(
            down=tuple(
                PressDown(press=name, until=moments[text].on(day) if text else None) for name, text in downs
            ),
            away=tuple(
                PersonAway(
                    person=name,
                    start=spans[text][0].on(day) if text else moment,
                    end=None if not text or (end := spans[text][1]) is None else end.on(day),
                )
                for name, text in absences
            ),
            late_boxes=tuple(BoxLate(order=name, at=moments[text].on(day)) for name, text in boxes),
            cancelled=tuple(cancel or ()),
            press_again=press_again,
        )

    def edits(plan: Plan, read: dict[str, Order]) -> tuple[Order, ...]:
        from scheduler.workflow.edits import edited

        return edited(
            plan,
            read,
            [(name, moments[text].on(plan.day)) for name, text in cut_offs],
            [(name, int(text)) for name, text, _ in quantities],
        )

    with told(as_json=json, nothing="The plan is as it was."):
        from scheduler.plans.book import beside
        from scheduler.workflow.replan import Asked

        folder = plans or Path()
        asked = Asked(
            plans=beside(folder) or folder,
            at=at,
            day=day,
            orders=tuple(orders or ()),
            between=between,
            changed=tuple(changed or ()),
            edits=edits,
        )
        put_replanned(asked, effort=effort, seconds=seconds, seed=seed, paper=paper, as_json=json)


def put_replanned(
    asked: Asked, *, effort: Effort, seconds: float | None, seed: int, paper: Paper, as_json: bool
) -> None:
    """Plan the rest of a day again, and say what changes."""
    from scheduler.answers.replan import replan_json, replan_lines
    from scheduler.workflow.replan import replan_day

    done = replan_day(asked, effort=effort.value, seconds=seconds, seed=seed, paper=paper.value, owner=OWNER)
    if as_json:
        put_json(replan_json(done))
    say_lines(replan_lines(done, columns_here()), to_error=as_json)


def one_day(day: date | None, at: Moment | None) -> None:
    """Refuse a moment that is on another day than the one that is named."""
    if day is not None and at is not None and at.day not in (None, day):
        raise typer.BadParameter(f"--at is on {at.day}, and --day says {day}: leave one of the two out.")


_BEHIND_A_TIME = re.compile(
    rf"(.*?(?:\d[:.]\d\d(?:{HALF_OF_DAY})?|\d{HALF_OF_DAY}))\s*-\s*(.*)", re.IGNORECASE
)


def _named(written: str, option: str, *, needed: bool) -> tuple[str, str]:
    """A name, which may hold an equals sign itself, and what stands behind the last one."""
    name, equals, text = (part.strip() for part in written.rpartition("="))
    if not equals:
        name, text = text, ""
    if not name or (needed and not text) or (equals and not text):
        form = "NAME=TIME" if needed else "NAME, or NAME=TIME"
        raise typer.BadParameter(f'{option} "{written}": write it as {form}.')
    return name, text


def _span(written: str) -> tuple[Moment, Moment | None]:
    """From and to of an absence, each with or without its date; no end: for the rest of the day."""
    # Dates have dashes too: the one between the two times stands behind a time.
    split = _BEHIND_A_TIME.fullmatch(written.strip())
    first, last = split.groups() if split else ("", "")
    if not first:
        raise typer.BadParameter(f'"{written}": write an absence as 10:00-12:30, or 14:00- for the rest.')
    start, end = moment_of_option(first), moment_of_option(last) if last else None
    if end is not None and start.day is not None and end.day is None:
        # "2027-03-10T09:00-12:00" is one morning.
        end = Moment(end.clock, start.day)
    over = end is not None and end.day == start.day and end.clock <= start.clock
    if over or (end is not None and start.day and end.day and end.day < start.day):
        raise typer.BadParameter(f'"{written}": the absence ends before it begins.')
    return start, end
