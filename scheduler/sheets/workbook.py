"""The plan as a workbook: real dates, times and numbers to sort and filter; text is never a formula."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from datetime import datetime, time
from typing import TYPE_CHECKING

from scheduler.domain.day_problem import Personal
from scheduler.domain.plan import ChangeoverPart, Load, Plan
from scheduler.sheets.cells import Value, block, fit, put, steady, table
from scheduler.sheets.dayview import in_order, place, switched_on_by
from scheduler.sheets.lines import peel_words, stop_notes
from scheduler.sheets.pull import garments, switch_on, transfers
from scheduler.sheets.under_way import lot_words, shown_pieces
from scheduler.sheets.words import BY_PLANNING, WAITING_NOTE, bound_note, level_rows, why_words

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet


def plan_workbook(plan: Plan) -> bytes:
    """The plan as an xlsx file, the same bytes for the same plan.

    Sheets: Runs, Orders, Changeovers, Switch-on, Pull list, Summary. Moments are real date-times,
    durations are minutes, and a customer called "=SUM(A1)" stays a text.
    """
    from openpyxl import Workbook

    book = Workbook()
    first = book.active
    if first is not None:
        book.remove(first)
    name, head, rows = _runs(plan)
    table(book.create_sheet(name), head, rows, printed=len(head) - len(NOT_PRINTED))
    for name, head, rows in (_orders(plan), _changeovers(plan), _switch_on(plan), _pull(plan)):
        table(book.create_sheet(name), head, rows)
    _summary(book.create_sheet("Summary"), plan)
    stamp = datetime.combine(plan.day, time())
    book.properties.creator = "Pressday"
    book.properties.title = f"Plan of {plan.day.isoformat()}, version {plan.version}, {plan.fingerprint}"
    book.properties.created = book.properties.modified = stamp
    target = io.BytesIO()
    book.save(target)
    return steady(target.getvalue(), stamp)


NOT_PRINTED = ("Names", "Width × height mm", "Position", "Run id")
"""The last columns of the runs: the run sheets have them; on paper they would make the others small."""

Sheet = tuple[str, Sequence[str], Iterable[Sequence[Value]]]


def _runs(plan: Plan) -> Sheet:
    head = (
        "Run", "Start", "Pressing from", "End", "Press", "Press beside it", "Platen", "Operator",
        "Order", "Customer",
        "Placements", "Pieces", "Sizes", "Garments", "Artwork", "Transfer",
        "Temperature °C", "Pressure", "Pre-press s", "Dwell s", "Peel", "Second press s", "Lot",
        "Breaks in it", "Notes", *NOT_PRINTED,
    )  # fmt: skip
    rows = []
    for run in in_order(plan):
        content, recipe = run.content, run.content.recipe
        pieces = shown_pieces(plan, run)
        kinds = dict.fromkeys(f"{one.garment}, {one.colour}, {one.fabric}" for one in pieces)
        rows.append(
            (
                run.number,
                run.start,
                run.pressing_start,
                run.end,
                run.press,
                run.second_press or None,
                run.platen,
                run.operator,
                content.order,
                content.customer,
                " + ".join(content.placements),
                content.quantity,
                "; ".join(f"{one.size}: {one.quantity}" for one in pieces),
                "; ".join(kinds),
                " + ".join(laid.artwork for laid in content.laid),
                recipe.transfer,
                run.temp_c,
                recipe.pressure.value,
                recipe.pre_press_s,
                recipe.dwell_s,
                peel_words(recipe),
                recipe.second_press_s,
                lot_words(plan, run).removeprefix("lot ") or "1 of 1",
                ", ".join(f"{start:%H:%M}–{end:%H:%M}" for start, end in run.pauses),
                "; ".join(content.notes),
                "; ".join(f"{one.size} {_named(one)}".strip() for one in content.names),
                " + ".join(
                    f"{laid.width_mm} × {laid.height_mm}{' turned' if laid.turned else ''}"
                    for laid in content.laid
                ),
                " + ".join(laid.position for laid in content.laid),
                run.id,
            )
        )
    return "Runs", head, rows


def _orders(plan: Plan) -> Sheet:
    head = ("Order", "Customer", "Pieces", "Counts as", "Cut-off", "Packed", "Late min", "Why")
    rows: list[tuple[Value, ...]] = [
        (
            order.id,
            order.customer,
            order.quantity,
            order.weight,
            order.cut_off,
            order.finished or "not done",
            order.late_minutes,
            why_words(order),
        )
        for order in plan.orders
    ]
    nothing = (None, None)
    rows += [
        (
            one.order,
            f"left over: {', '.join(one.placements)}",
            one.quantity,
            *nothing,
            "not done",
            None,
            one.reason,
        )
        for one in plan.left_over
    ]
    return "Orders", head, rows


def _changeovers(plan: Plan) -> Sheet:
    head = (
        *("Press", "Before run", "Start", "End", "Step", "From", "To", "Minutes", "By hand"),
        *("Taken from press", "Gone to press"),
    )
    number = {run.id: run.number for run in plan.runs}
    rows = [
        (
            change.press,
            number.get(change.before),
            change.start,
            change.end,
            *step,
        )
        for change in sorted(plan.changeovers, key=lambda one: number.get(one.before, 0))
        for part in change.parts
        for step in _steps(part)
    ]
    return "Changeovers", head, rows


def _steps(part: ChangeoverPart) -> list[tuple[str | float, ...]]:
    """A step, and the waiting for a platen's heat in it as one of its own: as on the sheets."""
    heating = 0.0 if part.hands_off else min(part.heating_minutes, part.minutes)
    names = (part.taken_from, part.went_to)
    by_hand = "no" if part.hands_off else "yes"
    found: list[tuple[str | float, ...]] = [
        (part.name, part.before, part.after, round(part.minutes - heating, 6), by_hand, *names)
    ]
    if heating:
        found.append(("let it heat", "", "", heating, "no", "", ""))
    return found


def _switch_on(plan: Plan) -> Sheet:
    head = ("Switch on", "Who", "Press", "Set °C", "Ready at", "Circuit", "Watts", "First run", "Off after")
    rows = [
        (
            "is on" if one.already else one.warm_up.start,
            None if one.already else switched_on_by(plan, one.warm_up),
            one.warm_up.press,
            None if one.already else one.warm_up.temp_c,
            one.ready,
            one.warm_up.circuit,
            one.warm_up.watts,
            one.run,
            one.off,
        )
        for one in switch_on(plan)
    ]
    return "Switch-on", head, rows


def _pull(plan: Plan) -> Sheet:
    head = ("By", "Run", "Press", "Order", "Customer", "What", "Kind", "Size", "Pieces", "Spare", "Comes in")
    rows: list[tuple[Value, ...]] = []
    for box in garments(plan):
        run = box.first
        for size, pieces in box.sizes:
            rows.append(
                (
                    box.have_by,
                    run.number,
                    place(run),
                    run.content.order,
                    run.content.customer,
                    f"{box.garment}, {box.colour}, {box.fabric}",
                    "garment",
                    size,
                    pieces,
                    None,
                    box.ready,
                )
            )
    for film in transfers(plan):
        run, laid = film.run, film.laid
        rows.append(
            (
                film.have_by,
                run.number,
                place(run),
                run.content.order,
                run.content.customer,
                f"{laid.artwork}, {laid.transfer}, {laid.placement}",
                "transfer",
                f"{laid.width_mm} × {laid.height_mm} mm",
                film.quantity - len(film.names) or None,
                laid.spare,
                film.ready,
            )
        )
        rows += [
            (
                film.have_by,
                run.number,
                place(run),
                run.content.order,
                run.content.customer,
                f"{laid.artwork}, {laid.transfer}, {laid.placement}: {_named(one)}",
                "personal transfer",
                one.size,
                1,
                None,
                film.ready,
            )
            for one in film.names
        ]
    rows.sort(key=lambda row: (row[1], row[6] != "garment"))
    return "Pull list", head, rows


def _named(one: Personal) -> str:
    return " ".join(filter(None, (one.name, one.number)))


def _summary(sheet: Worksheet, plan: Plan) -> None:
    facts: tuple[tuple[str, Value], ...] = (
        ("Shop", plan.shop.name),
        ("Day", plan.day),
        ("Plan version", plan.version),
        ("Plan code", plan.fingerprint),
        ("Search", plan.status),
        ("Effort", plan.effort),
        ("Seed", plan.seed),
        ("Stopped early", "yes" if plan.stopped_early else "no"),
    )
    row = 1
    for label, value in facts:
        put(sheet.cell(row, 1), label, bold=True)
        put(sheet.cell(row, 2), value)
        row += 1
    head = ("What counts", "The plan", "Best possible", "As they come", BY_PLANNING.capitalize())
    levels = level_rows(plan)
    row = block(sheet, row + 1, head[: len(levels[0])], levels)
    for title, loads in (("Press", plan.press_loads), ("Person", plan.crew_loads)):
        names = (title, "Hours, min", "Pressing, min", "Changeovers, min", "Overtime, min", "Full")
        row = block(sheet, row + 1, names, [_load(load) for load in loads])
    notes = (bound_note(plan), WAITING_NOTE, *stop_notes(plan), *plan.notes)
    for note in notes:
        row += 1
        put(sheet.cell(row, 1), note)
    fit(sheet, skip=len(notes))


def _load(load: Load) -> tuple[Value, ...]:
    return (load.name, load.available, load.pressing, load.changing, load.overtime, round(load.full, 4))
