"""What changed since the sheets in hand, in words, for each person or press."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from scheduler.domain.clock import becomes, clock, moment_words, of_day, short_date
from scheduler.domain.differences import WORTH_PAPER_MIN, Difference, Kind
from scheduler.domain.disruptions import NOTHING, OrderChange, PartKind, more_again
from scheduler.domain.figures import counted
from scheduler.domain.orders import Named, Order
from scheduler.domain.paper import PaperSheet, Side
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.press_order import press_before
from scheduler.domain.stopping import stops
from scheduler.sheets.arrivals import arrivals_changed
from scheduler.sheets.dayview import SheetDay, owner, owners, place
from scheduler.sheets.paper import PaperChange, Swap, changed_lines, in_short, other_duties, timeless
from scheduler.sheets.run_sheets import run_entry
from scheduler.sheets.stopped import why_words
from scheduler.sheets.switch_on_changes import switch_on_changes
from scheduler.sheets.tally import to_tell, why_earlier
from scheduler.sheets.under_way import part_of, rest_counted, stopped_words

OTHERWISE = "its box reads otherwise: go by the new sheet"
"""Said of a run where nothing can be named that is different."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What is different on one person's or one press's new sheet, in sentences."""

    name: str
    added: tuple[str, ...] = ()
    moved: tuple[str, ...] = ()
    dropped: tuple[str, ...] = ()
    besides: tuple[str, ...] = ()

    @property
    def parts(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """What was said under which heading, empty ones left out."""
        named = (
            ("Added", self.added),
            ("Moved", self.moved),
            ("Dropped", self.dropped),
            ("Besides", self.besides),
        )
        return tuple((title, lines) for title, lines in named if lines)


def told(
    old: Plan, new: Plan, found: Sequence[Difference], change: PaperChange, side: Side
) -> tuple[Told, ...]:
    """The differences on each new sheet, by name.

    Parameters
    ----------
    old, new
        The plan that was, and the one that takes its place.
    found
        Where they differ.
    change
        What becomes of the sheets in hand.
    """
    swaps = [swap for swap in change.swaps if swap.one.side == side]
    names = dict.fromkeys(swap.one.name for swap in swaps)
    every = (
        _told(old, new, found, [swap for swap in swaps if swap.one.name == name], side) for name in names
    )
    return tuple(one for one in every if one.parts)


def _told(old: Plan, new: Plan, found: Iterable[Difference], swaps: Sequence[Swap], side: Side) -> Told:
    name = swaps[0].one.name
    paper = {line.what: line.start for swap in swaps if swap.old for line in swap.old.lines}
    added, moved, dropped = [], [], []
    slight: Counter[date] = Counter()
    said = set()
    for one in to_tell(old, new, found):
        here = [run is not None and name in owners(run, side) for run in (one.before, one.after)]
        if not any(here):
            continue
        said.add(one.run)
        if here == [False, True]:
            added.append(_added(one, side, new))
        elif here == [True, False]:
            dropped.append(_dropped(one, side, new))
        elif words := _moved(one, paper.get(one.run), side, old, new):
            moved.append(words)
        else:
            assert one.after is not None
            slight[one.after.start.date()] += 1
            said.discard(one.run)
    switched = switch_on_changes(old, new, name, side, paper)
    added += switched.added
    added += [line for swap in swaps for line in other_duties(swap.old, swap.new)]
    moved += switched.moved
    dropped += switched.dropped
    said |= {run.id for run in new.runs if new.at is not None and run.end <= new.at}
    other = [what for swap in swaps for what in changed_lines(swap.old, swap.new) if what not in said]
    besides = [line for what in other if (line := _other(what, old, new, name, side))]
    besides += [
        f"{counted(number, 'run')}{of_day(day, new.day)} {'starts' if number == 1 else 'start'} "
        f"less than {WORTH_PAPER_MIN} minutes off"
        for day, number in sorted(slight.items())
    ]
    return Told(
        name=name,
        added=tuple(added),
        moved=tuple(moved),
        dropped=tuple(dropped),
        besides=tuple(besides),
    )


def _added(one: Difference, side: Side, new: Plan) -> str:
    run = one.after
    assert run is not None
    came = ""
    part = part_of(new, run)
    if one.before is not None:
        came = f", from {owner(one.before, side) or 'nobody'}"
    elif part is not None:
        what = "again, for" if part[0].name is PartKind.AGAIN else "the rest of"
        came = f", {what} run {part[1].number}"
    return (
        f"run {run.number} at {moment_words(run.pressing_start, new.day)}, {_other_side(run, side)}: "
        f"{_what(run)}{came}"
    )


def _dropped(one: Difference, side: Side, new: Plan) -> str:
    run = one.before
    assert run is not None
    gone = "not pressed any more" if one.after is None else f"goes to {owner(one.after, side) or 'nobody'}"
    return f"run {run.number} of {moment_words(run.pressing_start, new.day)}: {_what(run)}, {gone}"


def _moved(one: Difference, on_paper: datetime | None, side: Side, old: Plan, new: Plan) -> str:
    """A run that stays on the sheet, in another place or with other pieces; empty: too little to be said."""
    before, after = one.before, one.after
    assert before is not None and after is not None
    was, now = on_paper or before.pressing_start, after.pressing_start
    behind = one.kind is Kind.OTHER_ORDER
    parts = []
    timed = abs((now - was).total_seconds()) / 60 >= WORTH_PAPER_MIN or was.date() != now.date()
    if timed:
        parts.append(becomes(was, now, new.day))
        parts += [why] if (why := why_earlier(one, old, new)) else []
        parts += [_behind(old, new, before, after)] if behind else []
    if one.kind is Kind.OTHER_PIECES:
        parts.append(stopped_words(new, before, after) or _pieces(before, after) + rest_counted(new, after))
    if _other_side(before, side) != _other_side(after, side):
        parts.append(f"{_other_side(after, side)}, not {_other_side(before, side)}")
    if side == "press" and before.presses != after.presses:
        parts.append(f"at {place(after)}, not {place(before)}")
    if before.platen != after.platen:
        parts.append(f"platen {after.platen or 'none'}, not {before.platen or 'none'}")
    if not parts and not behind:
        return ""
    if not parts:
        still = "still " if clock(was) == clock(now) else ""
        parts.append(f"{still}at {moment_words(now, new.day)}, but {_behind(old, new, before, after)}")
        timed = True
    # The day of a run stands with its time, if that is said.
    day = "" if timed else of_day(now.date(), new.day)
    return f"run {after.number}{day}, {_what(before)}: {', '.join(parts)}"


def _behind(old: Plan, new: Plan, before: PlannedRun, after: PlannedRun) -> str:
    """Which run comes before one at its press now, and which one did."""
    press = after.press
    was, now = press_before(old, before, press), press_before(new, after, press)
    if now is None:
        return f"first at {press} now" + (f", not after run {was.number}" if was else "")
    not_after = f"not after run {was.number}" if was else "no longer first"
    return f"at {press} after run {now.number} now, {not_after}"


def _pieces(before: PlannedRun, after: PlannedRun) -> str:
    was, now = before.content.quantity, after.content.quantity
    if was != now:
        return f"{counted(was, 'piece')} become {now}"
    # With a name less there may be a spare transfer more.
    only_names = before.content.pieces == after.content.pieces and before.content.names != after.content.names
    return "other names or numbers" if only_names else "other garments or transfers"


def _other(what: str, old: Plan, new: Plan, name: str, side: Side) -> str:
    """What else is said of a run; empty for a press to switch on, of which all is told already."""
    before, after = (next((run for run in plan.runs if run.id == what), None) for plan in (old, new))
    if before is not None and after is not None:
        sheet = SheetDay(side=side, name=name, day=after.start.date(), items=())
        was, now = run_entry(old, before, sheet), run_entry(new, after, sheet)
        day = of_day(after.start.date(), new.day)
        return f"run {after.number}{day}: {_said_otherwise(was, now) or OTHERWISE}"
    return ""


def _said_otherwise(was: dict[str, Any], now: dict[str, Any]) -> str:
    """What of a run's box on the sheet reads differently, its times left out."""
    parts = []
    there, here = in_short(was), in_short(now)
    differs = {key for key in here if there.get(key) != here[key]}
    if "change" in differs:
        parts.append("another changeover before it")
    if "cut_off" in differs:
        parts.append(str(now["cut_off"]))
    if "then" in differs:
        parts.append(f"then: {now['then']}")
    if "names" in differs:
        parts.append("other names or numbers")
    if "notes" in differs:
        before = [timeless(note) for note in was.get("notes", ())]
        parts += [note.rstrip(".") for note in now["notes"] if timeless(note) not in before]
        after = [timeless(note) for note in now["notes"]]
        gone = [note.rstrip(".") for note in was.get("notes", ()) if timeless(note) not in after]
        # What is new says what to do in place of it.
        parts += [f'no longer: "{note}"' for note in gone] if not parts else []
    if "asked" in differs:
        asked = " / ".join(now["asked"])
        parts.append(f"note of the order: {asked}" if asked else "the order's notes no longer hold")
    return "; ".join(filter(None, parts))


def _other_side(run: PlannedRun, side: Side) -> str:
    return f"at {place(run)}" if side == "operator" else f"by {run.operator or 'nobody'}"


def _what(run: PlannedRun) -> str:
    pieces = counted(run.content.quantity, "piece")
    return f"order {run.content.order}, {' and '.join(run.content.placements)}, {pieces}"


def came_in_between(old: Plan, new: Plan) -> tuple[str, ...]:
    """What the day was planned again for, in words."""
    known = {order.id: order for order in old.given}
    fresh = [order for order in new.given if order.id not in known]
    lines = []
    for order in fresh:
        pieces = counted(order.quantity, "piece")
        if order.on_top_of:
            lines.append(f"Order {order.on_top_of}, {order.customer}: {pieces} more, as order {order.id}")
        else:
            lines.append(
                f"New: order {order.id}, {order.customer}, {pieces}, cut-off {_moment(order.cut_off, new)}"
            )
    lines += [
        f"Order {change.order.id}, {change.order.customer}: {_fewer(change)}"
        for change in new.between.fewer
        if change not in old.between.fewer
    ]
    there = {order.id for order in new.given}
    lines += [
        f"Order {order.on_top_of or order.id}, {order.customer}: {order.id} is no order of its own any more"
        for order in old.given
        if order.id not in there
    ]
    late = {one.order for one in new.between.late_boxes}
    for order in new.given:
        was = known.get(order.id)
        if was is None or was == order:
            continue
        parts = []
        if was.quantity != order.quantity:
            parts.append(f"{counted(was.quantity, 'piece')} become {order.quantity}")
        if was.cut_off != order.cut_off:
            parts.append(f"cut-off {_moment(was.cut_off, new)} becomes {_moment(order.cut_off, new)}")
        if was.weight != order.weight:
            parts.append("another priority")
        if _names(was) != _names(order):
            parts.append("other names or numbers")
        told_apart = not late.isdisjoint((order.id, order.on_top_of))
        as_many_lines = len(was.lines) == len(order.lines)
        if as_many_lines and not told_apart:
            parts += arrivals_changed(was, order, lambda when: _moment(when, new))
        if parts:
            lines.append(f"Order {order.id}, {order.customer}: {', '.join(parts)}")
        elif not told_apart:
            what = "other notes" if as_many_lines else "other notes, or other times of arrival"
            lines.append(f"Order {order.id}, {order.customer}: {what}")
    between, before = new.between, old.between
    for down in between.down:
        if down not in before.down:
            until = f"until {_moment(down.until, new)}" if down.until else "for the rest of the day"
            lines.append(f"{down.press} is down {until}")
    for away in between.away:
        if away not in before.away:
            end = f" to {_moment(away.end, new)}" if away.end else " on"
            lines.append(f"{away.person} is away from {_moment(away.start, new)}{end}")
    for box in between.late_boxes:
        if box not in before.late_boxes:
            lines.append(f"The garments of order {box.order} come in at {_moment(box.at, new)}")
    for order_id in between.cancelled:
        if order_id not in before.cancelled:
            more = any(order.on_top_of == order_id for order in new.given)
            lines.append(f"Order {order_id} is cancelled{', with what came on top of it' if more else ''}")
    lines += [
        f"STOP run {run.number} ({_who_where(run)}) at once: {why_words(new, run)}" for run in stops(new)
    ]
    known_missing = {order.id: order.missing for order in old.orders}
    lines += [
        f"Order {order.id}, {order.customer}, can't be packed: {order.lacks}"
        for order in new.orders
        if order.missing and order.missing != known_missing.get(order.id)
    ]
    number = sum(more for _, more in more_again(old.parts, new.parts))
    if number:
        lines.append(f"{counted(number, 'piece')} to be pressed again, counted at each placement")
    return tuple(lines)


def _who_where(run: PlannedRun) -> str:
    return ", ".join(filter(None, (run.operator, place(run))))


def _fewer(change: OrderChange) -> str:
    """What is said of an order under way with fewer pieces, and of names on pieces that are begun."""
    names = [one for line in change.unwanted for one in line.names]
    if not names:
        return "fewer pieces in what is not begun"
    said = dict.fromkeys(" ".join(filter(None, (one.name, one.number))) for one in names)
    return f"begun, but not wanted any more: {', '.join(said)}"


def _names(order: Order) -> list[tuple[Named, ...]]:
    return [line.names for line in order.lines if line.names]


def came_since_the_morning(plan: Plan) -> tuple[str, ...]:
    """Everything that came in between since the day was first planned, in words."""
    came = {one.order for one in plan.between.came}
    then = {order.id: order for order in plan.between.morning}
    given = tuple(then.get(order.id, order) for order in plan.given if order.id not in came)
    return came_in_between(replace(plan, between=NOTHING, parts=(), given=given), plan)


def _moment(when: datetime, plan: Plan) -> str:
    return moment_words(when, plan.day)


def sheet_words(sheet: PaperSheet, *, says_days: bool) -> str:
    """Whose sheet it is, with its version and code: "Marta, version 1, code K7R4"."""
    return f"{_whose(sheet, says_days=says_days)}, version {sheet.version}, code {sheet.code}"


def no_new_sheets(change: PaperChange) -> str:
    """What is said when nobody gets a new sheet; a press still may."""
    presses = change.new_for("press")
    if presses:
        return f"Nothing on the sheets of people changes; new press sheets for {', '.join(presses)}."
    return "Nothing on the printed sheets changes."


def whose(sheets: Iterable[PaperSheet], *, says_days: bool) -> list[str]:
    """Whose sheets these are; with the day when one of a person's may stay and one not."""
    return list(dict.fromkeys(_whose(one, says_days=says_days) for one in sheets))


def _whose(sheet: PaperSheet, *, says_days: bool) -> str:
    return f"{sheet.name} of {short_date(sheet.day)}" if says_days else sheet.name
