"""Presses that one operator may run side by side: from the rows of their sheet, and whether they may."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scheduler.domain.shop import Press, PressPair, Shop
from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.known import Known
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.values import number

MOST_WALK_S = 60
"""Who walks longer from one press to the other doesn't have both in sight (common practice, no source)."""


def read_pairs(
    rows: Iterator[Row], names: Known, presses: Sequence[Press]
) -> Iterator[tuple[Row, PressPair]]:
    """The pairs whose rows are sound.

    Parameters
    ----------
    names
        All names on the sheet of presses.
    presses
        Those presses that could be read; of others it isn't known how they open, their fault is told.
    """
    known = {press.name: press for press in presses}
    seen: dict[frozenset[str], str] = {}
    for row in rows:
        first = names.take(row, "first", needed=True)
        second = names.take(row, "second", needed=True)
        walk = row.take("walk_s", number(0, MOST_WALK_S, "s"), "walk")
        if first is not None and first == second:
            found, mend = f"press {shown(first)} beside itself", "Name the other press, or delete the row."
            row.fault("pair-with-itself", "second", found, "another press", mend)
        elif first is not None and second is not None:
            cell = row.source("first").cell
            there = seen.setdefault(frozenset((first, second)), cell)
            if there != cell:
                found = f"{shown(first)} and {shown(second)} a second time"
                mend = f"The first stands in {there}; delete one."
                row.fault("pair-twice", "first", found, "each pair once, in either order", mend)
        for key, name in (("first", first), ("second", second)):
            if name in known and not known[name].self_opening and not (key == "second" and name == first):
                _opened_by_hand(row, key, name)
        if row.sound and first is not None and second is not None:
            source = row.source("first")
            yield row, PressPair(first=first, second=second, walk_s=float(walk or 0), source=source)


def _opened_by_hand(row: Row, key: str, name: str) -> None:
    row.fault(
        "pair-not-self-opening",
        key,
        f"press {shown(name)}, which is opened by hand",
        "only presses that open by themselves: a press left alone must not stay closed on the garment",
        'Take the row out; or, if it does open by itself, say so under "Opens by itself" on sheet Presses.',
    )


def check_use(pairs: Sequence[tuple[Row, PressPair]], shop: Shop) -> None:
    """Some platen fits both presses and is there twice, and somebody may run both; else no run uses them."""
    known = {press.name: press for press in shop.presses}
    for row, pair in pairs:
        first, second = known[pair.first], known[pair.second]
        shared = set(first.platens) & set(second.platens)
        if not any(platen.name in shared and platen.count > 1 for platen in shop.platens):
            row.doubt(
                "pair-without-platens",
                "second",
                f"no platen for {shown(first.name)} and {shown(second.name)} at once",
                "a platen that fits both and is owned twice",
                "Until there is one, no run is planned at the two together.",
            )
        asked = {skill for skill in (first.skill, second.skill) if skill is not None}
        if not any(asked <= set(person.skills) for person in shop.crew):
            row.doubt(
                "pair-without-operator",
                "second",
                f"nobody with the skills of {shown(first.name)} and {shown(second.name)}",
                "a person with the skills that both presses ask for",
                "Correct the skills on sheet Crew; until then no run is planned at the two together.",
            )
