"""How tall the box of a run may get on paper, before it is typeset."""

from __future__ import annotations

from scheduler.domain.plan import Plan, PlannedRun
from scheduler.sheets.beside import HANDS, rhythm
from scheduler.sheets.dayview import place
from scheduler.sheets.follow import then_words
from scheduler.sheets.lines import notes
from scheduler.sheets.steps import steps, switch_on_lines


def may_be_tall(plan: Plan, run: PlannedRun) -> bool:
    """Whether a run could be taller than a page, so that the template must measure it.

    A rough height in mm, on the safe side: measuring every run would double the typesetter's work.
    """

    def lines(text: str, letters: int) -> int:
        return 1 + len(text) // letters

    content = run.content
    kinds = {(one.garment, one.colour, one.fabric) for one in content.pieces}
    height = 60.0 + 6 * lines(place(run) + run.operator + run.platen, 25) + 6 * lines(content.customer, 25)
    height += sum(4 + 5 * lines("".join(kind), 30) for kind in kinds)
    height += sum(2.5 * lines(one.size, 5) for one in content.pieces) + 7 * len(kinds)
    for laid in content.laid:
        texts = (laid.placement, laid.position, laid.transfer + " " * 40, laid.artwork)
        height += sum(5 * lines(text, 35) for text in texts)
    height += sum(5 * lines(note, 35) for note in (*notes(plan, run), *content.notes, then_words(plan, run)))
    if run.second_press:
        height += sum(5 * lines(text, 60) for text in (*rhythm(run), HANDS))
    # three names beside each other, each up to two lines
    height += sum(10.0 + 6 * lines(one.name + one.number, 18) / 3 for one in content.names)
    height += sum(5.5 * lines(str(step["text"]), 60) for step in steps(plan, run))
    height += sum(6.5 * lines(text, 60) for text in switch_on_lines(plan, run))
    return height > 200
