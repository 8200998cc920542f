"""The plan as data for other programs: `plan.json`, described by `plan.schema.json`."""

from __future__ import annotations

import json
from datetime import datetime
from importlib.resources import files
from typing import Any, cast

from scheduler.domain.day_problem import NotPlanned
from scheduler.domain.faults import Source
from scheduler.domain.instance import Level
from scheduler.domain.plan import Load, Plan, PlannedChangeover, PlannedOrder, PlannedRun
from scheduler.domain.records import instance_to_data, schedule_to_data
from scheduler.domain.schedule import LevelValue
from scheduler.sheets.dayview import in_order

FORMAT = 5
"""Number of this form of the file; grows when a field comes, goes or changes its meaning."""

_IN_TICKS: tuple[Level, ...] = ("lateness", "changeover", "overtime", "finish")

UNITS: dict[Level, str] = {
    "left_over": "pressings",
    "lateness": "minutes times order weight",
    "moved": "points",
    "changeover": "minutes",
    "changeovers": "changeovers",
    "overtime": "minutes",
    "finish": "minutes after midnight of day",
}


def plan_to_data(plan: Plan) -> dict[str, Any]:
    """The plan as dictionaries, lists, texts, numbers, booleans and None, in a fixed order.

    Times are local, ISO 8601, to the second and without a zone. Levels are in the unit that stands
    with them, and once more in the engine's whole numbers (`value_exact`, `bound_exact`). `problem`
    and `schedule` say what the engine was given and answered, in ticks.
    """
    return {
        "format": FORMAT,
        "day": plan.day.isoformat(),
        "dates": [day.isoformat() for day in plan.dates],
        "shop": plan.shop.name,
        "version": plan.version,
        "fingerprint": plan.fingerprint,
        "status": plan.status,
        "effort": plan.effort,
        "seed": plan.seed,
        "moves": plan.moves,
        "stopped_early": plan.stopped_early,
        "levels": [level_json(plan, level) for level in plan.levels],
        "as_they_come": [level_json(plan, level) for level in plan.as_they_come],
        "orders": [_order(order) for order in plan.orders],
        "runs": [_run(run) for run in in_order(plan)],
        "changeovers": [_changeover(change) for change in plan.changeovers],
        "warm_ups": [
            {
                "press": one.press,
                "start": _iso(one.start),
                "ready": _iso(one.ready),
                "temp_c": one.temp_c,
                "circuit": one.circuit or None,
                "watts": one.watts,
                "by": one.by or None,
            }
            for one in plan.warm_ups
        ],
        "left_over": [
            {
                "run": one.run,
                "order": one.order,
                "placements": list(one.placements),
                "quantity": one.quantity,
                "reason": one.reason,
            }
            for one in plan.left_over
        ],
        "not_planned": [_not_planned(one) for one in plan.not_planned],
        "press_loads": [_load(load) for load in plan.press_loads],
        "crew_loads": [_load(load) for load in plan.crew_loads],
        "notes": list(plan.notes),
        "problem": instance_to_data(plan.instance),
        "schedule": schedule_to_data(plan.schedule),
    }


def plan_json(plan: Plan) -> bytes:
    """The text of `plan.json`: UTF-8, one line end at the end, the same bytes for the same plan."""
    return (json.dumps(plan_to_data(plan), ensure_ascii=False, indent=1) + "\n").encode()


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of `plan.json`, as shipped with the package."""
    text = files("scheduler.sheets").joinpath("plan.schema.json").read_text(encoding="utf-8")
    return cast(dict[str, Any], json.loads(text))


def _iso(when: datetime) -> str:
    return when.isoformat(timespec="seconds")


def level_json(plan: Plan, level: LevelValue) -> dict[str, Any]:
    """The cost at one level: in its unit, and exact in ticks where it is a time."""

    def shown(value: int) -> float | int:
        return round(value * plan.instance.tick_s / 60, 4) if level.name in _IN_TICKS else value

    return {
        "name": level.name,
        "value": shown(level.value),
        "bound": shown(level.bound),
        "proven": level.proven,
        "unit": UNITS[level.name],
        "value_exact": level.value,
        "bound_exact": level.bound,
    }


def _order(order: PlannedOrder) -> dict[str, Any]:
    return {
        "id": order.id,
        "on_top_of": order.on_top_of or None,
        "customer": order.customer,
        "cut_off": _iso(order.cut_off),
        "weight": order.weight,
        "quantity": order.quantity,
        "finished": _iso(order.finished) if order.finished else None,
        "late_minutes": order.late_minutes,
        "reason": order.why,
        "cures": [
            {"words": one.words, "late_minutes": one.late_minutes, "confirmed": one.confirmed}
            for one in order.cures
        ],
    }


def _not_planned(one: NotPlanned) -> dict[str, Any]:
    return {
        "what": "order" if one.whole else "row",
        "order": one.order,
        "customer": one.customer,
        **_place(one.source),
        "reasons": [
            {
                "code": fault.code,
                **_place(fault.source),
                "found": fault.found,
                "expected": fault.expected,
                "mend": fault.mend,
            }
            for fault in one.reasons
        ],
    }


def _place(source: Source) -> dict[str, str]:
    return {"file": source.file, "sheet": source.sheet, "cell": source.cell}


def _run(run: PlannedRun) -> dict[str, Any]:
    content, recipe = run.content, run.content.recipe
    return {
        "id": run.id,
        "number": run.number,
        "order": content.order,
        "customer": content.customer,
        "placements": list(content.placements),
        "press": run.press,
        "second_press": run.second_press or None,
        "platen": run.platen or None,
        "operator": run.operator or None,
        "start": _iso(run.start),
        "pressing_start": _iso(run.pressing_start),
        "end": _iso(run.end),
        "pauses": [{"start": _iso(start), "end": _iso(end)} for start, end in run.pauses],
        "quantity": content.quantity,
        "sizes": [
            {
                "garment": one.garment,
                "colour": one.colour,
                "fabric": one.fabric,
                "size": one.size,
                "quantity": one.quantity,
            }
            for one in content.pieces
        ],
        "size_group": content.size_group,
        "lot": content.lot,
        "lots": content.lots,
        "ready": _iso(content.ready) if content.ready else None,
        "waits_for": content.waits_for,
        "notes": list(content.notes),
        "names": [
            {
                "garment": one.garment,
                "colour": one.colour,
                "size": one.size or None,
                "name": one.name,
                "number": one.number,
                "placement": one.placement or None,
            }
            for one in content.names
        ],
        "temp_c": run.temp_c,
        "recipe": {
            "transfer": recipe.transfer,
            "pressure": recipe.pressure.value,
            "pre_press_s": recipe.pre_press_s,
            "dwell_s": recipe.dwell_s,
            "peel": recipe.peel.value,
            "cooling_s": recipe.cooling_s,
            "second_press_s": recipe.second_press_s,
        },
        "transfers": [
            {
                "placement": laid.placement,
                "position": laid.position,
                "inside": laid.inside,
                "transfer": laid.transfer,
                "artwork": laid.artwork,
                "width_mm": laid.width_mm,
                "height_mm": laid.height_mm,
                "turned": laid.turned,
                "spare": laid.spare,
            }
            for laid in content.laid
        ],
        "cycle_s": run.cycle_s,
        "mounts_platen": run.mounts_platen,
        "second_mounts": run.second_mounts,
    }


def _changeover(change: PlannedChangeover) -> dict[str, Any]:
    return {
        "press": change.press,
        "before": change.before,
        "start": _iso(change.start),
        "end": _iso(change.end),
        "hands_on_minutes": change.by_hand_minutes,
        "heating_minutes": change.heating_minutes,
        "hands_off_minutes": change.hands_off_minutes,
        "parts": [
            {
                "name": part.name,
                "minutes": part.minutes,
                "hands_off": part.hands_off,
                "before": part.before,
                "after": part.after,
                "heating_minutes": part.heating_minutes,
                "taken_from": part.taken_from,
                "went_to": part.went_to,
            }
            for part in change.parts
        ],
    }


def _load(load: Load) -> dict[str, Any]:
    return {
        "name": load.name,
        "available_minutes": load.available,
        "pressing_minutes": load.pressing,
        "changing_minutes": load.changing,
        "overtime_minutes": load.overtime,
    }
