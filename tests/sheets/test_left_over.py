"""What is left over, by order: a large order stays a line on the terminal and in the summary."""

from __future__ import annotations

import io
from dataclasses import replace

import pypdf

from scheduler.answers.summary import summary as terminal
from scheduler.domain.plan import LeftOver
from scheduler.sheets.left_over import MOST_ORDERS, left_by_order
from scheduler.sheets.summary import summary, summary_data
from tests.sheets.sample_plan import sample_plan


def lots(
    order: str, count: int, *, reason: str = "the crew is full", placement: str = "back"
) -> list[LeftOver]:
    return [
        LeftOver(
            run=f"{order}-{placement}-{lot}",
            order=order,
            placements=(placement,),
            quantity=450,
            reason=reason,
        )
        for lot in range(count)
    ]


def test_hundreds_of_lots_are_one_line_with_their_pieces_and_one_reason() -> None:
    two = [*lots("7", 1, reason="something else"), *lots("7", 177), *lots("8", 1, placement="front")]
    plan = replace(sample_plan(), left_over=tuple(two))
    at_the_terminal = [line for line in terminal(plan) if line.startswith("  order ")]
    assert at_the_terminal == [
        "  order 7, back, 80100 pieces in 178 runs: the crew is full",
        "  order 8, front, 450 pieces: the crew is full",
    ]
    assert "Left over, fits nowhere in the planned days: 179 runs" in terminal(plan)
    rows = summary_data(plan)["left_over"]
    assert rows == [
        {"order": "7", "what": "back: 80100 pieces in 178 runs", "reason": "the crew is full"},
        {"order": "8", "what": "front: 450 pieces", "reason": "the crew is full"},
    ]
    assert len(pypdf.PdfReader(io.BytesIO(summary(plan, system_fonts=False))).pages) == 1


def test_several_placements_of_an_order_are_told_apart() -> None:
    both = LeftOver(run="x", order="7", placements=("back", "nape"), quantity=5, reason="full")
    plan = replace(sample_plan(), left_over=(*lots("7", 2), both))
    (one,) = left_by_order(plan)
    assert one.what(" + ", ", ") == "back, 900 pieces; back + nape, 5 pieces in 3 runs"


def test_of_very_many_orders_the_first_are_named_and_the_others_counted() -> None:
    many = [one for order in range(MOST_ORDERS + 3) for one in lots(f"N{order}", 2)]
    plan = replace(sample_plan(), left_over=tuple(many))
    others = "and 3 more orders with 6 runs: in the workbook and on the page"
    assert f"  {others}" in terminal(plan)
    rows = summary_data(plan)["left_over"]
    assert isinstance(rows, list)
    assert (len(rows), rows[-1]) == (MOST_ORDERS + 1, {"order": "", "what": others, "reason": ""})
    few = replace(sample_plan(), left_over=tuple(many[: 2 * MOST_ORDERS]))
    assert not any("more order" in line for line in terminal(few))
