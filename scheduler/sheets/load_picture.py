"""How full a day is, as PNG or SVG: the bars and columns of the page, from the same figures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from scheduler.domain.clock import clock, long_date
from scheduler.domain.plan import Load, Plan
from scheduler.sheets.canvas import Picture, canvas_for, saved
from scheduler.sheets.day_load import WorkDay, load_words, work_days
from scheduler.sheets.drawn import shortened

_FULL = "0.45"
"""Grey of what is pressed: neither hatched nor white on any printer."""

_LONG_NAME = 28
"""Letters of a name that are shown beside its bar."""


def load_picture(plan: Plan, kind: str) -> Picture:
    """Minutes of each press and person on the planned day, then people at work on each planned date.

    Parameters
    ----------
    kind
        "png" or "svg".
    """
    loads = [*plan.press_loads, *plan.crew_loads]
    days = work_days(plan)
    heights = [1.5 + 0.3 * len(loads)] * bool(loads) + [1.9 + 0.16 * one.most for one in days]
    texts = [plan.shop.name, *(load.name for load in loads)]
    with canvas_for(10.0, heights or [1.0], texts) as (canvas, places, fonts):
        canvas.suptitle(
            f"{shortened(plan.shop.name, 60)}: {long_date(plan.day)}, version {plan.version}", weight="bold"
        )
        if not loads and not days:
            places[0].set_axis_off()
            places[0].text(0.5, 0.5, "Nothing is planned on this day.", ha="center", va="center")
        if loads:
            _loads(places[0], plan.press_loads, plan.crew_loads)
        for axes, day in zip(places[bool(loads) :], days, strict=False):
            _people(axes, day)
        return saved(canvas, kind, fonts)


def _loads(axes: Any, presses: Sequence[Load], people: Sequence[Load]) -> None:
    """A bar of minutes for each press, then each person: grey pressing, hatched changing, in the hours."""
    places = [*range(len(presses)), *(len(presses) + 0.6 + number for number in range(len(people)))]
    rows = list(zip(places, (*presses, *people), strict=True))
    longest = max((max(load.available, load.pressing + load.changing) for _, load in rows), default=1.0)
    for place, load in rows:
        work = load.pressing + load.changing
        parts = {"height": 0.62, "edgecolor": "black"}
        words = ("pressing", "changing over by hand") if place == 0 else ("_", "_")
        axes.barh(place, load.pressing, color=_FULL, label=words[0], **parts)
        after = {"left": load.pressing, "color": "white", "hatch": "////"}
        axes.barh(place, load.changing, label=words[1], **after, **parts)
        axes.barh(place, load.available, fill=False, linewidth=1.2, **parts)
        end = max(load.available, work) + 0.01 * longest
        axes.text(end, place, load_words(load), ha="left", va="center", size=8)
    axes.set_yticks(places, [shortened(load.name, _LONG_NAME) for _, load in rows])
    axes.set_ylim(places[-1] + 0.6, -0.6)
    axes.set_xlim(0, 1.75 * max(longest, 1.0))
    axes.set_xticks([tick for tick in axes.get_xticks() if tick <= longest])
    axes.set_xlabel("Minutes, how full presses and people are; white in the frame is free", loc="left")
    axes.legend(loc="upper right", ncols=2, frameon=False, bbox_to_anchor=(1.0, -0.02))


def _people(axes: Any, work: WorkDay) -> None:
    """Columns of people by half hour: grey pressing, hatched changing, in the frame of those there."""
    for number, step in enumerate(work.steps):
        parts = {"width": 0.84, "edgecolor": "black"}
        axes.bar(number, step.pressing, color=_FULL, **parts)
        axes.bar(number, step.changing, bottom=step.pressing, color="white", hatch="////", **parts)
        axes.bar(number, step.there, fill=False, linewidth=1.2, **parts)
    every = 1 if len(work.steps) <= 22 else 2
    shown = range(0, len(work.steps), every)
    axes.set_xticks(list(shown), [clock(work.steps[number].start) for number in shown], size=8)
    axes.set_xlim(-0.6, len(work.steps) - 0.4)
    axes.set_yticks(range(int(work.most) + 1))
    axes.set_ylim(0, max(1.0, work.most) * 1.05)
    axes.set_ylabel("People")
    axes.set_title(f"{work.words}; in the frame those there", size=9, loc="left")
