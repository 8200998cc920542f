"""A day planned again in words and as data: what changed on whose sheet."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from scheduler.answers.summary import files_lines, same_plan, summary, sure_summary
from scheduler.domain.figures import rounded

if TYPE_CHECKING:
    from collections.abc import Iterator

    from scheduler.domain.paper import PaperSheet
    from scheduler.domain.plan import Plan
    from scheduler.sheets.new_sheets import NewPaper
    from scheduler.workflow.replan import Replanned


def replan_lines(told: Replanned, width: int) -> list[str]:
    """What the new plan is like, what changes on the sheets in hand, and where the files are.

    Parameters
    ----------
    width
        Columns of the terminal.
    """
    from scheduler.sheets.lines import stop_notes

    written = told.written
    lines = [
        *summary(written.plan, width, result=told.answer.result),
        *sure_summary(written.sure, written.folder),
    ]
    if written.same:
        lines.insert(1, same_plan(written.plan))
    # Whoever is at such a run goes on pressing until somebody reads this.
    stop = stop_notes(written.plan)
    lines = [*stop, *([""] if stop else []), *lines]
    changes = [] if written.same else change_lines(told.paper)
    where = files_lines(written.folder, written.files)
    return [*lines, "", *changes, *([""] if changes else []), *written.notes, *where]


def replan_json(told: Replanned) -> dict[str, Any]:
    """What `--json` gives."""
    from scheduler.domain.stopping import stops
    from scheduler.sheets.packing import spare_minutes
    from scheduler.sheets.plan_json import level_json
    from scheduler.sheets.ready import ready_orders

    written, changed = told.written, told.paper
    plan, new = changed.old, written.plan
    return {
        "day": plan.day.isoformat(),
        "at": told.moment.isoformat(timespec="seconds"),
        "version": new.version,
        "replaces": plan.version,
        "folder": str(written.folder),
        "levels": [level_json(new, one) for one in told.answer.result.levels],
        "first_answer_s": round(told.answer.result.first_plan_s, 2),
        "orders": [
            {
                "id": order.id,
                "cut_off": order.cut_off.isoformat(),
                "finished": order.finished.isoformat() if order.finished else None,
                "late_minutes": order.late_minutes,
                "missing": order.missing,
                "reason": order.why,
                "cures": [
                    {"words": cure.words, "late_minutes": cure.late_minutes, "confirmed": cure.confirmed}
                    for cure in order.cures
                ],
            }
            for order in new.orders
        ],
        "asked_for": [
            {
                "id": one.order.id,
                "new": one.new,
                "pressed": one.pressed.isoformat() if one.pressed else None,
                "packed": one.order.finished.isoformat() if one.order.finished else None,
                "cut_off": one.order.cut_off.isoformat(),
                "spare_minutes": spare_minutes(one.order),
            }
            for one in ready_orders(plan, new)
        ],
        "stop": [
            {
                "run": run.id,
                "number": run.number,
                "order": run.content.order,
                "operator": run.operator,
                "presses": list(run.presses),
                "pressed": run.content.quantity,
            }
            for run in stops(new)
        ],
        "changeover_minutes": {"now": _changeover_minutes(new), "before": _changeover_minutes(plan)},
        "changes": [
            {
                "run": one.run,
                "kind": one.kind.name.lower(),
                "minutes": one.minutes,
                "people": list(one.people),
            }
            for one in changed.found
        ],
        "new_sheets_for": [] if written.same else list(changed.change.new_for("operator")),
        "sheets": [] if written.same else [*_sheets_json(changed)],
    }


def _changeover_minutes(plan: Plan) -> float | None:
    """Minutes of changeovers of the whole day."""
    ticks = next((level.value for level in plan.levels if level.name == "changeover"), None)
    return None if ticks is None else rounded(Fraction(ticks * plan.instance.tick_s, 60))


def _sheets_json(changed: NewPaper) -> Iterator[dict[str, Any]]:
    """Every sheet that is in hand, was, or is handed out now."""

    def data(one: PaperSheet | None) -> dict[str, Any] | None:
        return {"version": one.version, "code": one.code} if one else None

    for swap in changed.change.swaps:
        one = swap.one
        named = {"side": one.side, "name": one.name, "day": one.day.isoformat(), "valid": False}
        yield {**named, "in_hand": data(swap.old), "new": data(swap.new)}
    for one in changed.change.kept:
        named = {"side": one.side, "name": one.name, "day": one.day.isoformat(), "valid": True}
        yield {**named, "in_hand": data(one), "new": None}


def change_lines(changed: NewPaper) -> list[str]:
    """What changed on the sheets in hand, in words, by person."""
    from scheduler.sheets.changes import no_new_sheets, sheet_words, told, whose
    from scheduler.sheets.ready import cost_lines, ready_lines, ready_orders, ready_title
    from scheduler.sheets.tally import counts

    old, new, change = changed.old, changed.new, changed.change
    head = []
    if ready := ready_orders(old, new):
        head = [f"{ready_title(ready)}:", *(f"  {line}" for line in ready_lines(old, new))]
    head += [f"{line}." for line in cost_lines(old, new)]
    mine = [swap for swap in change.swaps if swap.one.side == "operator"]
    kept = [one for one in change.kept if one.side == "operator"]
    says_days = change.says_days("operator", new.day)
    if not mine:
        return [*head, no_new_sheets(change)]
    lines = [*head, f"Against the printed sheets, {counts(old, new, changed.found)}."]
    new_for = whose((swap.new for swap in mine if swap.new is not None), says_days=says_days)
    if new_for:
        lines.append(f"New sheets for {', '.join(new_for)}.")
    gone = [sheet_words(swap.one, says_days=says_days) for swap in mine if swap.new is None]
    lines += [f"Take away, nothing is left to do on it: {one}." for one in gone]
    if kept:
        words = "; ".join(sheet_words(one, says_days=says_days) for one in kept)
        lines.append(f"Sheets in hand that stay valid: {words}.")
    for one in told(old, new, changed.found, change, "operator"):
        lines.append(f"  {one.name}:")
        lines += [f"    {title.lower()}: {line}" for title, said in one.parts for line in said]
    return lines
