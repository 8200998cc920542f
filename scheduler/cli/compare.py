"""`pressday compare`: today's shop beside other versions of it, on real orders."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.ends import BAD_INPUT, NO_PLAN, told
from scheduler.cli.options import (
    DAY_FORM,
    AsJson,
    Effort,
    SearchEffort,
    Seed,
    ShopFile,
    StopEach,
    Wage,
    WorkDays,
    amount,
    day_of_option,
    text_option,
)
from scheduler.cli.terminal import OWNER, columns_here, put_json, say, say_faults, say_lines
from scheduler.cli.typed_numbers import amount_option

if TYPE_CHECKING:
    from scheduler.workflow.scenario_days import Scenarios


def compare(
    orders: Annotated[
        list[Path] | None,
        typer.Argument(metavar="ORDERS", help="Orders files: xlsx or csv. Each is a day of its own."),
    ] = None,
    shop: ShopFile = None,
    other: Annotated[
        list[Path] | None,
        typer.Option(
            "--other", metavar="FILE", help="A second shop workbook; several are compared one by one."
        ),
    ] = None,
    changes: Annotated[
        Path | None,
        text_option(
            "--changes", "A list of changes to the shop workbook, tried one by one and in pairs.", "FILE"
        ),
    ] = None,
    form: Annotated[
        Path | None,
        text_option(
            "--form", "Write an empty list of changes to fill in, xlsx or csv, and nothing else.", "FILE"
        ),
    ] = None,
    pairs: Annotated[bool, typer.Option("--pairs/--no-pairs", help="Try changes in pairs too.")] = True,
    day: Annotated[
        list[str] | None,
        text_option(
            "--day",
            "Day of the orders: once for all files together, or once for each file. Not given: the day "
            "that a file's orders speak of.",
            DAY_FORM,
        ),
    ] = None,
    price: Annotated[
        list[str] | None,
        typer.Option("--price", metavar="N", help="What the version of each --other costs once, in order."),
    ] = None,
    wage: Wage = None,
    overtime_wage: Annotated[
        Fraction | None, amount("--overtime-wage", "What an hour of overtime costs. Not given: the wage.")
    ] = None,
    late_order: Annotated[
        Fraction, amount("--late-order", "What a late order costs you. Not given: 0.")
    ] = Fraction(0),
    days: WorkDays = Fraction(250),
    effort: SearchEffort = Effort.QUICK,
    seconds: StopEach = None,
    seed: Seed = 1,
    seeds: Annotated[
        int, typer.Option("--seeds", min=1, max=50, metavar="N", help="Seeds that each day is planned with.")
    ] = 2,
    workers: Annotated[
        int | None,
        typer.Option(
            "--workers",
            min=1,
            metavar="N",
            help="Plans made at a time. Not given: one for each core.",
            show_default=False,
        ),
    ] = None,
    workbook: Annotated[
        Path | None,
        text_option("--workbook", "Write all figures as an xlsx file too.", "FILE"),
    ] = None,
    picture: Annotated[
        Path | None,
        text_option(
            "--picture",
            "Draw when versions have paid, too: a file that ends in .png or .svg. Needs --wage, prices and "
            "the extra for pictures.",
            "FILE",
        ),
    ] = None,
    json: AsJson = False,
) -> None:
    """Plan the same real orders in today's shop and in other versions of it, and say what is proven.

    Each version is planned with the same effort and seeds, and each plan passes the independent check. A
    difference is proven only where one version's plan is better than what no plan of the other can beat;
    else the range is given in which it lies. Changes are ranked by payback. Ctrl-C keeps what is finished.
    """
    from scheduler.workflow.scenario_days import Other

    if form is not None:
        with told(as_json=json, nothing="Nothing was written."):
            from scheduler.intake import write_changes_form
            from scheduler.sheets.one_file import check_name

            check_name(form, ("xlsx", "csv"), "a list of changes")
            write_changes_form(form)
            say(f"Written: {form}", to_error=json)
        return
    if not orders:
        raise typer.BadParameter("name one or more orders files.", param_hint="ORDERS")
    if not other and changes is None:
        raise typer.BadParameter("give --other with a second shop workbook, or --changes with a list.")
    dates = [day_of_option(one) for one in day or ()]
    if len(dates) not in (0, 1, len(orders)):
        raise typer.BadParameter("give it once, or once for each orders file.", param_hint="--day")
    prices = [_price(one) for one in price or ()]
    if prices and len(prices) != len(other or ()):
        raise typer.BadParameter("give it once for each --other.", param_hint="--price")
    if overtime_wage is not None and overtime_wage < (wage or 0):
        words = "an hour of overtime costs no less than --wage."
        raise typer.BadParameter(words, param_hint="--overtime-wage")
    if picture is not None and wage is None:
        words = "the payback that is drawn needs --wage, what an hour of work costs."
        raise typer.BadParameter(words, param_hint="--picture")
    with told(as_json=json, nothing="Nothing was compared."):
        from scheduler.answers.compare.document import document
        from scheduler.answers.compare.words import lines
        from scheduler.answers.files import check_asked, put_files
        from scheduler.answers.pictures import draw_paybacks, paybacks_of
        from scheduler.sheets.one_file import check_name, write_one
        from scheduler.workflow.compare import Money, Search, compared
        from scheduler.workflow.scenario_days import read_scenarios

        check_asked(picture)
        if workbook is not None:
            check_name(workbook, ("xlsx",), "a workbook")
        others = [Other(file=one, price=prices[at] if prices else None) for at, one in enumerate(other or ())]
        scenarios = read_scenarios(orders, shop, dates, others=others, changes=changes, pairs=pairs)
        say_faults(scenarios.doubts, "", to_error=True)
        _say_failed(scenarios)
        search = Search(
            effort=effort.value, seconds=seconds, seeds=tuple(range(seed, seed + seeds)), workers=workers
        )
        money = Money(wage=wage, overtime_wage=overtime_wage, late_order=late_order, days=days)
        answer = compared(scenarios, search, money, owner=OWNER)
        if workbook is not None:
            from scheduler.answers.compare.workbook import comparison_book

            write_one(workbook, comparison_book(answer))
        drawn: list[str] = []
        if picture is not None:
            paybacks = paybacks_of(answer)
            drawn = ["Not drawn: no version with a price pays back."]
            if paybacks:
                drawn = put_files((picture, lambda path: draw_paybacks(path, paybacks)))
        if json:
            put_json(document(answer))
        say_lines(lines(answer, columns_here()), to_error=json)
        if workbook is not None:
            say(f"Written: {workbook}", to_error=json)
        say_lines(drawn, to_error=json)
        if scenarios.failed:
            raise typer.Exit(BAD_INPUT)
        if answer.broken:
            raise typer.Exit(NO_PLAN)


def _say_failed(scenarios: Scenarios) -> None:
    """Say each fault once, however many versions have it, and which versions are left out."""
    told_already = set(scenarios.doubts)
    same: list[str] = []
    for name, faults in scenarios.failed.items():
        new = [fault for fault in dict.fromkeys(faults) if fault not in told_already]
        told_already.update(new)
        if any(fault.severity == "fault" for fault in new):
            say(f"Left out: {name}", to_error=True)
            say_faults(new, to_error=True)
        else:
            same.append(name)
    if same:
        say(f"Left out for the same faults: {'; '.join(same)}.", to_error=True)
    if scenarios.failed:
        say("All else is compared.", to_error=True)


def _price(written: str) -> Fraction:
    try:
        return amount_option(written)
    except typer.BadParameter as error:
        raise typer.BadParameter(error.message, param_hint="--price") from None
