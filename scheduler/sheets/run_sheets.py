"""Run sheets: what each operator, or each press, does in the day, on paper."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scheduler.domain.clock import clock, clock_up, long_date, minutes, short_date
from scheduler.domain.codes import short_code
from scheduler.domain.figures import counted
from scheduler.domain.paper import Side
from scheduler.domain.plan import Plan, PlannedRun, PlannedWarmUp
from scheduler.domain.press_order import press_before
from scheduler.domain.stopping import stops_now
from scheduler.sheets.alone import alone_words
from scheduler.sheets.beside import HANDS, counted_pieces, rhythm, second_entry, together_with
from scheduler.sheets.dayview import (
    LEAST_GAP,
    SheetDay,
    Stretch,
    breaks_of,
    changeover_of,
    names,
    place,
    sheet_days,
    switched_on_by,
    warm_up_of,
    without_free_end,
)
from scheduler.sheets.follow import then_words
from scheduler.sheets.lines import (
    CAUTIONS,
    capital,
    garment_lines,
    laid_lines,
    name_lists,
    notes,
    pace_words,
    recipe_rows,
    soft,
    stop_line,
)
from scheduler.sheets.steps import steps, switch_on_lines, unchanged
from scheduler.sheets.strip import strip
from scheduler.sheets.tall import may_be_tall
from scheduler.sheets.typeset import Paper, pdf
from scheduler.sheets.under_way import goes_on_words, lot_words, over_words, shown_pieces

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
    from datetime import datetime

CODE_LETTERS = 4
"""Letters of a sheet's code: two sheets of a day have the same one by chance once in 190,000 times."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetLine:
    """One line or box of a sheet: what it is of, and all its texts."""

    of: PlannedRun | PlannedWarmUp | Stretch
    entry: dict[str, object]


def run_sheets(
    plan: Plan,
    *,
    operators: Collection[str] | None = None,
    presses: Collection[str] | None = None,
    by: Side = "operator",
    paper: Paper = "a4",
    system_fonts: bool = True,
) -> bytes:
    """Run sheets as one PDF; each person (or press) and date has pages of its own.

    Parameters
    ----------
    operators, presses
        Names to print; None: all that have runs. `operators` goes with `by="operator"`, `presses`
        with `by="press"`.
    by
        One sheet set for each operator, in time order across presses, or for each press.
    paper
        "a4" or "letter".
    system_fonts
        False: only the typesetter's own fonts, so that pages are equal on all machines.

    Raises
    ------
    ValueError
        When a name has no run in the plan, or names of the other kind are given.
    """
    return pdf(
        plan,
        "run_sheets.typ",
        sheet_data(plan, operators=operators, presses=presses, by=by),
        paper,
        system_fonts=system_fonts,
    )


def sheet_data(
    plan: Plan,
    *,
    operators: Collection[str] | None = None,
    presses: Collection[str] | None = None,
    by: Side = "operator",
) -> dict[str, object]:
    """All texts of the run sheets, ready for the template."""
    if by not in ("operator", "press"):
        raise ValueError(f"by is {by!r}, expected operator or press")
    wanted, other = (operators, presses) if by == "operator" else (presses, operators)
    if other is not None:
        raise ValueError(f"sheets by {by} can't be chosen by {'press' if by == 'operator' else 'operator'}")
    known = names(plan, by)
    for name in wanted or ():
        if name not in known:
            raise ValueError(f"{by} {name!r} has no run in this plan; there are: {', '.join(known)}")
    chosen = [name for name in known if wanted is None or name in wanted]
    return sheets_data(plan, [sheet for name in chosen for sheet in sheet_days(plan, by, name)])


def sheets_data(
    plan: Plan,
    sheets: Iterable[SheetDay],
    *,
    since: datetime | None = None,
    earlier: Callable[[Sequence[PlannedRun]], str] = lambda _: "",
) -> dict[str, object]:
    """All texts of some sheets.

    Parameters
    ----------
    since
        Runs that have ended by then are left out; None: all are printed.
    earlier
        Where those are to be found, in a sentence.
    """
    return {
        "shop": soft(plan.shop.name),
        "version": version_words(plan),
        "cautions": list(CAUTIONS),
        "sections": [
            {**_part(plan, sheet, since, earlier), "badge": badge(plan, sheet_code(plan, sheet))}
            for sheet in sheets
        ],
    }


def _part(
    plan: Plan,
    sheet: SheetDay,
    since: datetime | None,
    earlier: Callable[[Sequence[PlannedRun]], str],
) -> dict[str, object]:
    if since is None:
        return section(plan, sheet)
    gone = [run for run in sheet.runs if run.end <= since]
    stop = [run for run in gone if stops_now(plan, run)]
    over = over_words(plan, [run for run in gone if run not in stop])
    kept = replace(sheet, items=tuple(_from(since, sheet.items)))
    made = section(plan, kept, since=since)
    here = (sheet.name,) if sheet.side == "press" else ()
    made["stops"] = [stop_line(plan, run, here) for run in stop]
    if over:
        made["before"] = f"{over} {earlier(gone)}"
    return made


def _from(since: datetime, items: Iterable[PlannedRun | Stretch]) -> Iterator[PlannedRun | Stretch]:
    """What is not over by a moment; of free time only what is left of it, where that is worth a line."""
    for item in items:
        if not isinstance(item, Stretch) or item.kind != "gap" or item.start >= since:
            if item.end > since:
                yield item
        elif item.end - since >= LEAST_GAP:
            yield replace(item, start=since)


def version_words(plan: Plan) -> str:
    """Version, moment and code of a plan, as every page has them."""
    of = f", from {clock(plan.at)} on" if plan.at is not None else ""
    return f"Sheet version {plan.version}{of} · plan {plan.fingerprint}"


def badge(plan: Plan, code: str) -> dict[str, object]:
    """What tells a sheet at a glance: version and code, on black from the second version on."""
    at = f"from {clock(plan.at)}" if plan.at is not None else "all day"
    return {"version": f"V{plan.version}", "code": code, "at": at, "later": plan.at is not None}


def sheet_code(plan: Plan, sheet: SheetDay) -> str:
    """The short code of a whole sheet: the same sheet has the same, in whatever version of the plan."""
    return short_code([sheet.side, section(plan, sheet)], CODE_LETTERS)


def section(plan: Plan, sheet: SheetDay, *, since: datetime | None = None) -> dict[str, object]:
    """All texts of one sheet, its version left out; what goes on at a moment is marked as that."""
    facts = [f"{counted(len(sheet.runs), 'run')}, {counted_pieces(sheet.runs, sheet.name)}"]
    if sheet.shift:
        facts.insert(0, f"Hours {clock(sheet.shift.start)}–{clock(sheet.shift.end)}")
        pauses = [
            f"{clock(start)}–{clock(end)}"
            for start, end in breaks_of(plan, sheet.name, sheet.day)
            if since is None or end > since
        ]
        if pauses:
            facts.append(f"breaks {', '.join(pauses)}")
        last_end = max((run.end for run in sheet.runs), default=sheet.shift.end)
        if last_end > sheet.shift.end:
            facts.append(f"OVERTIME to {clock_up(last_end)}")
    items, free = without_free_end(sheet.items)
    if free is not None:
        facts.append(f"no run planned from {clock(free)} on")
    return {
        "name": soft(sheet.name),
        "kind": "Run sheet for" if sheet.side == "operator" else "Press sheet for",
        "date": long_date(sheet.day),
        "facts": " · ".join(facts),
        "strip": strip(plan, sheet),
        "entries": [
            line.entry for line in sheet_lines(plan, replace(sheet, items=tuple(items)), since=since)
        ],
    }


def sheet_lines(plan: Plan, sheet: SheetDay, *, since: datetime | None = None) -> Iterator[SheetLine]:
    """The lines and boxes of a sheet from top to bottom: those printed, and those its validity goes by."""
    last: PlannedRun | None = None
    for item in sheet.items:
        if isinstance(item, Stretch):
            yield SheetLine(of=item.warm_up or item, entry=_stretch(plan, sheet, item))
            continue
        warm = warm_up_of(plan, item, sheet.name) if sheet.side == "press" else None
        if warm is not None:
            circuit = f" Circuit {warm.circuit}, {warm.watts} W." if warm.circuit else ""
            who = warm.by or capital(switched_on_by(plan, warm))
            text = f"{who}: SWITCH ON, set {warm.temp_c} °C; ready at {clock(warm.ready)}.{circuit}"
            # What is over by the moment of a new sheet is no line of it.
            if since is None or warm.start >= since:
                entry = {"type": "line", "time": clock(warm.start), "text": soft(text), "bold": True}
                yield SheetLine(of=warm, entry=entry)
        follows = last is not None and goes_on(plan, last, item)
        yield SheetLine(
            of=item,
            entry=_going_on(plan, run_entry(plan, item, sheet, goes_on=follows, since=since), item, since),
        )
        last = item


def _going_on(
    plan: Plan, entry: dict[str, object], run: PlannedRun, since: datetime | None
) -> dict[str, object]:
    """A run that is under way on a new sheet: what was done before it is not done again."""
    words = goes_on_words(plan, run, since)
    if not words:
        return entry
    set_up = since is not None and since > run.pressing_start
    change = {"head": "", "on": [], "steps": [], "none": ""} if set_up else entry["change"]
    return {**entry, "under_way": words, "change": change}


def _stretch(plan: Plan, sheet: SheetDay, item: Stretch) -> dict[str, object]:
    if item.presses:
        text = f"SWITCH OFF {' and '.join(item.presses)}: not needed for now"
        return {"type": "line", "time": clock(item.start), "text": soft(text), "bold": True}
    rest = item.kind in ("break", "away")
    warm = item.warm_up
    if warm is not None:
        circuit = f" (circuit {warm.circuit})" if warm.circuit else ""
        text = f"SWITCH ON {warm.press}, set {warm.temp_c} °C{circuit}"
        return {"type": "line", "time": clock(item.start), "text": soft(text), "bold": True}
    words = {"break": "BREAK", "away": "AWAY"}.get(item.kind, "no run planned")
    alone = alone_words(plan, sheet.name, item.start, item.end) if item.kind == "break" else ""
    return {
        "type": "line",
        "time": f"{clock(item.start)}–{clock(item.end)}",
        "text": f"BREAK: {alone}" if alone else words,
        "bold": rest,
    }


def goes_on(plan: Plan, last: PlannedRun, run: PlannedRun) -> bool:
    """Whether a run only goes on with other sizes: its recipe then needs no large type again."""
    one, other = last.content, run.content
    return (
        all(press_before(plan, run, press) is last for press in run.presses)
        and last.presses == run.presses
        and bool(unchanged(plan, run))
        and (one.order, one.placements, one.recipe) == (other.order, other.placements, other.recipe)
        and [laid.artwork for laid in one.laid] == [laid.artwork for laid in other.laid]
        and last.temp_c == run.temp_c
        and last.platen == run.platen
    )


def run_entry(
    plan: Plan, run: PlannedRun, sheet: SheetDay, *, goes_on: bool = False, since: datetime | None = None
) -> dict[str, object]:
    """All texts of one run on a sheet; on that of the second of its two presses only what holds there."""
    if sheet.side == "press" and sheet.name == run.second_press:
        return second_entry(plan, run, since=since)
    here = run.presses if sheet.side == "operator" else (run.press,)
    content = run.content
    order = next((one for one in plan.orders if one.id == content.order), None)
    cut_off = ""
    if order is not None:
        cut_off = f"cut-off {clock(order.cut_off)}"
        if order.cut_off.date() != run.start.date():
            cut_off = f"cut-off {short_date(order.cut_off.date())} {clock(order.cut_off)}"
        if order.late_minutes > 0:
            cut_off += ", will be late"
    return {
        "type": "run",
        "number": str(run.number),
        "start": clock(run.pressing_start),
        "end": clock(run.end),
        **_where(run, sheet),
        "platen": soft(f"{run.platen or 'none'}{', one at each' if run.second_press else ''}"),
        "order": soft(f"Order {content.order}"),
        "customer": soft(content.customer),
        "cut_off": cut_off,
        "quantity": str(content.quantity),
        "unit": "piece" if content.quantity == 1 else "pieces",
        "with": together_with(run, sheet.name) if sheet.side == "press" else "",
        "lot": lot_words(plan, run),
        "garments": garment_lines(shown_pieces(plan, run)),
        "laid": laid_lines(content),
        "names": name_lists(content),
        "temp": str(run.temp_c),
        "dwell": str(content.recipe.dwell_s),
        "recipe": recipe_rows(content.recipe),
        "pace": pace_words(plan, run),
        "asked": [soft(note) for note in content.notes],
        **({"rhythm": rhythm(run), "hands": HANDS} if run.second_press else {}),
        "notes": notes(plan, run, here, since=since),
        "then": soft(then_words(plan, run)),
        "goes_on": goes_on,
        "change": _change(plan, run, here, since),
        "long": may_be_tall(plan, run),
    }


def _where(run: PlannedRun, sheet: SheetDay) -> dict[str, str]:
    if sheet.side == "operator":
        return {"where_label": "Presses" if run.second_press else "Press", "where": soft(place(run))}
    beside = f", together with {run.second_press}" if run.second_press else ""
    return {"where_label": "Operator", "where": soft(f"{run.operator or 'nobody needed'}{beside}")}


def _change(
    plan: Plan, run: PlannedRun, presses: tuple[str, ...], since: datetime | None
) -> dict[str, object]:
    changes = [one for press in presses if (one := changeover_of(plan, run, press)) is not None]
    head = f"Before run {run.number}"
    if changes and run.pressing_start > run.start:
        heating = sum(change.heating_minutes for change in changes)
        by_hand = sum(change.by_hand_minutes for change in changes)
        head = (
            f"Changeover for run {run.number}: {clock(run.start)}–{clock(run.pressing_start)}, "
            f"{minutes(by_hand)} by hand"
        )
        if heating:
            head += f", {minutes(heating)} for the heat"
    return {
        "head": head,
        "on": switch_on_lines(plan, run),
        "steps": steps(plan, run, presses, since=since),
        "none": unchanged(plan, run, presses),
    }
