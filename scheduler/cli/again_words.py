"""A day planned again in words and as data: what changed on whose sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from scheduler.cli.again import RestAnswer
    from scheduler.cli.files import Written
    from scheduler.domain.paper import PaperSheet
    from scheduler.sheets.new_sheets import NewPaper


def again_json(moment: datetime, answer: RestAnswer, written: Written, changed: NewPaper) -> dict[str, Any]:
    """What `--json` gives."""
    from scheduler.sheets.plan_json import level_json

    plan, new = changed.old, written.plan
    return {
        "day": plan.day.isoformat(),
        "at": moment.isoformat(timespec="seconds"),
        "version": new.version,
        "replaces": plan.version,
        "folder": str(written.folder),
        "levels": [level_json(new, one) for one in answer.result.levels],
        "first_answer_s": round(answer.result.first_plan_s, 2),
        "orders": [
            {
                "id": order.id,
                "cut_off": order.cut_off.isoformat(),
                "finished": order.finished.isoformat() if order.finished else None,
                "late_minutes": order.late_minutes,
                "reason": order.reason,
                "cures": [
                    {"words": cure.words, "late_minutes": cure.late_minutes, "confirmed": cure.confirmed}
                    for cure in order.cures
                ],
            }
            for order in new.orders
        ],
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
    from scheduler.sheets.changes import counts, sheet_words, told

    change = changed.change
    mine = [swap for swap in change.swaps if swap.one.side == "operator"]
    kept = [one for one in change.kept if one.side == "operator"]
    several = len({one.day for one in (*kept, *(swap.one for swap in mine))}) > 1
    if not mine:
        return ["Nothing on the printed sheets changes."]
    lines = [f"Against the printed sheets: {counts(changed.found) or 'no run moves'}."]
    new_for = change.new_for("operator")
    if new_for:
        lines.append(f"New sheets for {', '.join(new_for)}.")
    gone = [sheet_words(swap.one, several_days=several) for swap in mine if swap.new is None]
    lines += [f"Take away, nothing is left to do on it: {one}." for one in gone]
    if kept:
        words = "; ".join(sheet_words(one, several_days=several) for one in kept)
        lines.append(f"Sheets in hand that stay valid: {words}.")
    for one in told(changed.old, changed.new, changed.found, change, "operator"):
        lines.append(f"  {one.name}:")
        lines += [f"    {title.lower()}: {line}" for title, said in one.parts for line in said]
    return lines
