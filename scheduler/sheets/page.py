"""One self-contained web page of the plan: chart, summary, orders, runs. Nothing is fetched."""

from __future__ import annotations

import base64
import hashlib
from html import escape

from scheduler.domain.chances import DayChance
from scheduler.domain.clock import clock, clock_up, long_date, number, short_date
from scheduler.domain.figures import in_percent, nearest
from scheduler.domain.plan import Load, Plan, PlannedRun
from scheduler.sheets.busy import busy_picture
from scheduler.sheets.changes import came_since_the_morning
from scheduler.sheets.chart import charts
from scheduler.sheets.day_changes import CHANGES_HEAD, change_rows, changes_section
from scheduler.sheets.day_load import load_shares
from scheduler.sheets.dayview import in_order, place, switched_on_by
from scheduler.sheets.html_table import table
from scheduler.sheets.later import later_lines, later_title
from scheduler.sheets.lines import peel_words, stop_notes
from scheduler.sheets.new_sheets import NewPaper
from scheduler.sheets.packing import tight_orders
from scheduler.sheets.pull import switch_on
from scheduler.sheets.summary import facts, late_orders, search_words, tight_row
from scheduler.sheets.sure import SURE_HEAD, sure_rows, sure_section
from scheduler.sheets.typeset import template
from scheduler.sheets.under_way import lot_words, shown_pieces
from scheduler.sheets.words import BY_PLANNING, COME_NOTE, WAITING_NOTE, bound_note, level_rows, why_words


def day_page(
    plan: Plan,
    chances: DayChance | None = None,
    *,
    paper_of: NewPaper | None = None,
    take_back: str = "",
) -> bytes:
    """The page as UTF-8 HTML, the same bytes for the same plan.

    Parameters
    ----------
    chances
        How sure the plan is; None: the page says nothing of it.
    paper_of
        What changed on the sheets in hand; None: nothing was printed before.
    take_back
        Which sheets that are out don't hold any more; empty: none.

    It works without a network and without a script; the script only adds a filter and shows what
    is pointed at. Every text of the plan is escaped, and the page's own policy lets it load nothing.
    """
    style, script = template("day.css"), template("day.js")
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'; base-uri 'none'"
    title = f"{plan.shop.name}: {long_date(plan.day)}"
    text = (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{escape(policy, quote=False)}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{style}</style></head><body>"
        f"{_head(plan, chances, changed=paper_of is not None)}<main>{_summary(plan, take_back)}"
        f"{_changes(paper_of)}"
        f"{_day(plan)}{_loads(plan)}{_sure(plan, chances)}"
        f"{_orders(plan)}{_runs(plan)}"
        f"{_switch_on(plan)}</main>{_foot(plan)}<script>{script}</script></body></html>\n"
    )
    return text.encode()


def _head(plan: Plan, chances: DayChance | None, *, changed: bool) -> str:
    links = (
        ("summary", "Summary"),
        *([("changes", "What changed")] if changed else []),
        ("day", "The day"),
        ("load", "How full"),
        *([("sure", "How sure")] if chances else []),
        ("orders", "Orders"),
        ("runs", "Runs"),
    )
    return (
        '<a class="skip" href="#summary">To the summary</a>'
        f"<header><p>{escape(plan.shop.name)}</p><h1>{escape(long_date(plan.day))}</h1>"
        f"<p>Plan version {plan.version} · {escape(plan.fingerprint)}"
        f"{f' · planned again from {clock(plan.at)} on' if plan.at else ''}</p>"
        '<nav aria-label="Parts of this page">'
        + "".join(f'<a href="#{key}">{name}</a>' for key, name in links)
        + '<a href="#switch-on">Switch-on</a></nav></header>'
    )


def _summary(plan: Plan, take_back: str) -> str:
    levels = level_rows(plan)
    late = [
        (
            order.id,
            order.customer,
            f"{short_date(order.cut_off.date())} {clock(order.cut_off)}",
            f"{short_date(order.finished.date())} {clock_up(order.finished)}"
            if order.finished
            else "not done",
            number(order.late_minutes) if order.late_minutes else "–",
            why_words(order),
        )
        for order in late_orders(plan)
    ]
    left = [(one.order, ", ".join(one.placements), str(one.quantity), one.reason) for one in plan.left_over]
    parts = [f'<section id="summary"><h2>Summary</h2><p class="lead">{escape(facts(plan))}</p>']
    parts += [f'<p class="note">{escape(note)}</p>' for note in (*stop_notes(plan), take_back) if note]
    if later_title(plan):
        parts.append(f"<h3>{escape(later_title(plan))}</h3><ul>")
        parts += [f"<li>{escape(line)}</li>" for line in later_lines(plan)]
        parts.append("</ul>")
    came = came_since_the_morning(plan)
    if came:
        parts.append("<h3>What came in since the morning</h3><ul>")
        parts += [f"<li>{escape(line)}</li>" for line in came]
        parts.append("</ul>")
    head: tuple[str, ...]
    if late:
        head = ("Order", "Customer", "Cut-off", "Packed", "Late, min", "Why")
        parts.append("<h3>Orders late or not done whole</h3>" + table("Late orders", head, late))
    if left:
        head = ("Order", "Placement", "Pieces", "Why")
        parts.append("<h3>Left over: fits nowhere in the planned days</h3>" + table("Left over", head, left))
    tight = [tuple(tight_row(order)) for order in tight_orders(plan)]
    if tight:
        head = ("Order", "Customer", "Cut-off", "Packed", "To spare")
        parts.append("<h3>Tight: orders with less than 15 minutes to spare</h3>")
        parts.append(table("Tight orders", head, tight))
    head = ("", "The plan", "Best possible", "As they come", BY_PLANNING.capitalize())[
        : 5 if plan.at is None else 3
    ]
    title, how = ("Beside the same orders taken as they come", f"{COME_NOTE} ")
    if plan.at is not None:
        title, how = "What the plan comes to", ""
    parts.append(f"<h3>{title}</h3>" + table("Levels", head, levels))
    parts.append(f'<p class="fine">{escape(f"{how}{bound_note(plan)} {WAITING_NOTE}")}</p>')
    parts += [f'<p class="note">{escape(note)}</p>' for note in plan.notes]
    return "".join(parts) + "</section>"


def _changes(paper_of: NewPaper | None) -> str:
    if paper_of is None:
        return ""
    rows = change_rows(paper_of)
    return changes_section(paper_of, table("What changed", CHANGES_HEAD, rows) if rows else "")


def _day(plan: Plan) -> str:
    keys = (
        ("bar", "run: number · order"),
        *((("two", "run at two presses"),) if any(run.second_press for run in plan.runs) else ()),
        ("change", "changeover"),
        ("break", "break"),
        ("warm", "heating up"),
        *((("moment", "planned again from here on"),) if plan.at else ()),
    )
    frame = '<rect class="bar" x="1" y="1" width="32" height="14"/>'
    shapes = {
        "two": f'{frame}<rect class="two" x="4" y="4" width="26" height="8"/>',
        "moment": '<line class="moment" x1="17" x2="17" y1="0" y2="16"/>',
    }
    legend = "".join(
        '<span><svg aria-hidden="true" width="34" height="16">'
        + shapes.get(kind, f'<rect class="{kind}" x="1" y="1" width="32" height="14"/>')
        + f"</svg> {words}</span>"
        for kind, words in keys
    )
    return (
        '<section id="day"><h2>The day</h2>'
        f'<p class="legend">{legend}<span><b>!</b> order late or not done whole</span></p>'
        '<p class="filter" hidden><label>Show only <input id="filter" type="search" autocomplete="off" '
        'placeholder="order, customer, press, person"></label> <output id="shown"></output></p>'
        f"{charts(plan)}"
        '<p id="detail" role="status" hidden></p></section>'
    )


def _loads(plan: Plan) -> str:
    parts = ['<section id="load"><h2>How full the day is</h2>']
    for title, loads in (("Presses", plan.press_loads), ("People", plan.crew_loads)):
        if loads:
            head = (title, "Full", "", "Pressing, min", "Changeovers, min", "Hours, min", "Overtime, min")
            parts.append(table(title, head, [_load(load) for load in loads], raw=(2,)))
    parts.append(busy_picture(plan))
    return "".join(parts) + "</section>"


def _sure(plan: Plan, chances: DayChance | None) -> str:
    if chances is None:
        return ""
    rows = sure_rows(plan.day, chances)
    return sure_section(plan.day, chances, table("Orders at risk", SURE_HEAD, rows, raw=(3,)))


def _load(load: Load) -> tuple[str, ...]:
    shares = load_shares(load)
    width = 160
    done, change = shares.pressing * width, shares.changing * width
    picture = (
        f'<svg class="load" aria-hidden="true" width="{width + 2}" height="16">'
        f'<rect class="free" x="1" y="1" width="{shares.hours * width:.1f}" height="14"/>'
        f'<rect class="full" x="1" y="1" width="{done:.1f}" height="14"/>'
        f'<rect class="change" x="{1 + done:.1f}" y="1" width="{change:.1f}" height="14"/></svg>'
    )
    return (
        load.name,
        in_percent(shares.full),
        picture,
        str(nearest(load.pressing)),
        str(nearest(load.changing)),
        str(nearest(load.available)),
        str(nearest(load.overtime)),
    )


def _orders(plan: Plan) -> str:
    head = ("Order", "Customer", "Pieces", "Counts as", "Cut-off", "Packed", "Late, min", "Why")
    rows = [
        (
            order.id,
            order.customer,
            str(order.quantity),
            str(order.weight),
            f"{short_date(order.cut_off.date())} {clock(order.cut_off)}",
            f"{short_date(order.finished.date())} {clock_up(order.finished)}"
            if order.finished
            else "not done",
            number(order.late_minutes) if order.late_minutes else "",
            order.why,
        )
        for order in plan.orders
    ]
    return f'<section id="orders"><h2>Orders</h2>{table("Orders", head, rows)}</section>'


def _runs(plan: Plan) -> str:
    head = (
        "Run",
        "When",
        "Press, platen",
        "Operator",
        "Order",
        "Placement and artwork",
        "Pieces",
        "Garments and sizes",
        "Recipe",
        "Notes",
    )
    ids = [f"run-{run.number}" for run in in_order(plan)]
    rows = [_run(plan, run) for run in in_order(plan)]
    return f'<section id="runs"><h2>Runs</h2>{table("Runs", head, rows, ids=ids)}</section>'


def _run(plan: Plan, run: PlannedRun) -> tuple[str, ...]:
    content, recipe = run.content, run.content.recipe
    kinds: dict[str, list[str]] = {}
    for one in shown_pieces(plan, run):
        kinds.setdefault(f"{one.garment}, {one.colour}", []).append(f"{one.size} {one.quantity}")
    second = f"second press {recipe.second_press_s} s" if recipe.second_press_s else "no second press"
    pauses = "".join(f", break {clock(start)}–{clock(end)}" for start, end in run.pauses)
    lot = f" ({words})" if (words := lot_words(plan, run)) else ""
    return (
        str(run.number),
        f"{short_date(run.start.date())} {clock(run.pressing_start)}–{clock(run.end)}{pauses}",
        f"{place(run)}; {run.platen or 'no platen'}",
        run.operator or "nobody needed",
        f"{content.order} {content.customer}",
        "; ".join(f"{laid.placement}: {laid.artwork}" for laid in content.laid),
        f"{content.quantity}{lot}",
        "; ".join(f"{kind}: {', '.join(sizes)}" for kind, sizes in kinds.items()),
        f"{run.temp_c} °C, {recipe.pressure.value}, dwell {recipe.dwell_s} s, "
        f"peel {peel_words(recipe).lower()}, {second}",
        "; ".join(
            [f"Note: {note}" for note in content.notes]
            + [" ".join(filter(None, (one.size, one.name, one.number))) for one in content.names]
        ),
    )


def _switch_on(plan: Plan) -> str:
    head = ("Switch on", "Who", "Press", "Set", "Ready at", "Circuit", "First run", "Off after")
    rows = [
        (
            f"{short_date(one.warm_up.start.date())} {'is on' if one.already else clock(one.warm_up.start)}",
            "–" if one.already else switched_on_by(plan, one.warm_up),
            one.warm_up.press,
            "–" if one.already else f"{one.warm_up.temp_c} °C",
            clock(one.ready) if one.ready else "–",
            one.warm_up.circuit or "–",
            str(one.run) if one.run is not None else "",
            clock_up(one.off) if one.off else "",
        )
        for one in switch_on(plan)
    ]
    return f'<section id="switch-on"><h2>Switch-on list</h2>{table("Switch-on list", head, rows)}</section>'


def _foot(plan: Plan) -> str:
    return (
        f"<footer><p>{escape(search_words(plan))}</p><p>Hot platens burn, presses crush "
        "and draw heavy current. The makers' instructions, local law and a licensed electrician come "
        "before this plan.</p></footer>"
    )
