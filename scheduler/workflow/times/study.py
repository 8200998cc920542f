"""From the files of a stopwatch study to its figures, and into the shop workbook."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Severity, Source
from scheduler.domain.figures import figure
from scheduler.exceptions import BadInput, WrongUsage
from scheduler.now import this_day

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from scheduler.domain.shop import Element, Setup, Shop
    from scheduler.domain.studies import Reading
    from scheduler.intake.shop.take_over import NewTime, TakenOver
    from scheduler.sheets.typeset import Paper
    from scheduler.timing.allowance import Allowance
    from scheduler.timing.study import ElementStudy, Sureness


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """A study as read and worked out.

    Attributes
    ----------
    files
        What the files are called in faults.
    whose
        Whose the allowance is, in words.
    kept
        Cells of readings far from the others that are right, as the owner says.
    """

    files: tuple[str, ...]
    readings: tuple[Reading, ...]
    doubts: tuple[Fault, ...]
    shop: Shop | None
    allowance: Allowance
    whose: str
    sureness: Sureness
    elements: tuple[ElementStudy, ...]
    kept: frozenset[Source] = frozenset()


def write_form(path: Path, paper: Paper) -> str:
    """Write a blank study, and say so.

    Raises
    ------
    BadInput
        When it is of another kind, there is a file of that name, or it can't be written.
    """
    from scheduler.aside import written_aside
    from scheduler.intake.studies.writer import ELEMENTS, write_study_form
    from scheduler.sheets.one_file import check_name

    check_name(path, ("pdf", "xlsx", "csv"), "a study")
    if path.suffix.casefold() != ".pdf":
        write_study_form(path)
        return f'Written: {path}. Fill it in, then: pressday times "{path}"'
    from scheduler.sheets.study_form import study_form

    with written_aside(path, overwrite=False) as part:
        part.write_bytes(study_form("", ELEMENTS, this_day(), paper=paper))
    return f"Written: {path}. To type the readings in: pressday times --form study.xlsx"


def read_study(
    files: Sequence[Path],
    shop_file: Path | None,
    drop: Sequence[str],
    keep: Sequence[str] = (),
    *,
    allowance: Fraction | None,
    of: str,
    sureness: Sureness,
) -> Study:
    """Read the files and work them out together.

    Parameters
    ----------
    drop
        Cells of readings to leave out.
    keep
        Cells of readings that are right, however far from the others they are.
    allowance
        None: the shop's, or without a shop the program's own.
    of
        What it is a share of.

    Raises
    ------
    BadInput
        With every fault and doubt of all files.
    WrongUsage
        When the allowance can't be.
    """
    from scheduler.domain.shop import Allowances
    from scheduler.domain.times import exact
    from scheduler.intake import scan_shop
    from scheduler.intake.files.labels import label_files
    from scheduler.intake.studies.places import leave_out, named, slips
    from scheduler.intake.studies.reader import scan_study
    from scheduler.timing.allowance import Allowance, ShareOf
    from scheduler.timing.study import work_out

    shop, found = scan_shop(shop_file) if shop_file is not None else (None, ())
    readings: list[Reading] = []
    files_named, again = label_files(files)
    found = (*found, *(_again(label) for label in again))
    for label, file in files_named.items():
        more, faults = scan_study(file, label=label, shop=shop)
        readings += more
        found = (*found, *faults)
    kept, faults = leave_out(readings, drop)
    confirmed, more_faults = named(readings, keep)
    _stop_at_a_fault((*found, *((*faults, *more_faults) if readings else ())))
    whose = "as given"
    if allowance is None:
        allowances = shop.allowances if shop else Allowances()
        allowance = exact(allowances.relaxation)
        whose = "the shop's" if shop else "the program's own figure"
        if of == ShareOf.SHIFT:
            raise WrongUsage(
                "the shop's allowance is a share of basic time; give one of the shift with --allowance.",
                option="--allowance-of",
            )
    try:
        used = Allowance(share=allowance, of=ShareOf(of))
    except ValueError as error:
        raise WrongUsage(f"{error}.", option="--allowance") from None
    return Study(
        files=tuple(files_named),
        readings=kept,
        doubts=(*found, *slips(kept)),
        shop=shop,
        allowance=used,
        whose=whose,
        sureness=sureness,
        elements=work_out(kept, used, sureness),
        kept=frozenset(confirmed),
    )


def _again(label: str) -> Fault:
    return Fault(
        code="file-twice",
        source=Source(file=label),
        found="a file that was named already",
        expected="each file once",
        mend="Its readings count once.",
        severity=Severity.DOUBT,
    )


def _stop_at_a_fault(found: tuple[Fault, ...]) -> None:
    if any(one.severity is Severity.FAULT for one in found):
        raise BadInput(found)


def new_times(study: Study) -> tuple[NewTime, ...]:
    """The basic times that the shop's element times can take: one for each element and set-up.

    Readings of one element with several transfers are taken together. A set-up that was timed by itself
    counts before one that stands for all.
    """
    from scheduler.intake.shop.take_over import NewTime

    return tuple(
        NewTime(
            element=element,
            set_up=set_up,
            seconds=float(one.basic_s),
            readings=len(one.counted),
            spread_s=one.stdev_s,
        )
        for (element, set_up), one in _by_place(study).items()
    )


def _by_place(study: Study) -> dict[tuple[Element, Setup], ElementStudy]:
    """What was worked out for each element and set-up of the shop's element times, in their order."""
    from scheduler.domain.shop import Element, Setup
    from scheduler.domain.studies import ALL_SET_UPS, Studied
    from scheduler.timing.study import work_out

    elements = {element.value: element for element in Element}
    plain = [
        replace(one, studied=Studied(element=one.studied.element, set_up=one.studied.set_up))
        for one in study.readings
        if one.studied.element in elements and one.studied.set_up
    ]
    found: dict[tuple[Element, Setup], ElementStudy] = {}
    # Those of one set-up last, so that they take the place of what stands for all.
    done = work_out(plain, study.allowance, study.sureness)
    for one in sorted(done, key=lambda one: one.studied.set_up != ALL_SET_UPS):
        for set_up in Setup if one.studied.set_up == ALL_SET_UPS else (Setup(one.studied.set_up),):
            found[elements[one.studied.element], set_up] = one
    order = ((element, set_up) for element in Element for set_up in Setup)
    return {place: found[place] for place in order if place in found}


def doubtful(study: Study) -> dict[tuple[Element, Setup], ElementStudy]:
    """Times of `new_times` that rest on too few readings for the precision asked for, as worked out."""
    return {
        (element, set_up): one
        for (element, set_up), one in _by_place(study).items()
        if one.needed is None
        or one.known_to is None
        or (one.still_needed and one.known_to > study.sureness.precision)
    }


def put_over(study: Study, shop_file: Path) -> TakenOver:
    """Take the basic times over into the shop workbook.

    Raises
    ------
    BadInput
        When there is nothing to take over, a reading is so far from the others that the owner has to say
        first whether it is right, or the workbook can't be written.
    """
    from scheduler.intake.shop.take_over import take_over

    times = new_times(study)
    if not times:
        raise BadInput(
            [
                Fault(
                    code="nothing-to-take-over",
                    source=Source(file=", ".join(study.files)),
                    found="no readings of an element of the shop with its press set-up",
                    expected="elements as in the sheet Element times, and a press set-up or all",
                    mend="Name them in the columns Element and Press set-up.",
                )
            ]
        )
    _stop_at_a_fault(_unconfirmed(study))
    return take_over(shop_file, times, on=this_day(), study=", ".join(study.files))


def _unconfirmed(study: Study) -> tuple[Fault, ...]:
    """Readings that would move a time of the shop far, and that the owner hasn't said to be right."""
    from scheduler.intake.studies.places import place_typed
    from scheduler.timing.study import FAR, far

    faults = {}
    for one in _by_place(study).values():
        for reading in far(one.counted):
            if reading.source in study.kept:
                continue
            place = place_typed(reading, study.readings)
            faults[reading.source] = Fault(
                code="reading-far-taken-over",
                source=reading.source,
                found=f"{figure(reading.seconds)} s of {one.studied}, far from the others: it would make "
                f"{figure(one.basic_s)} s of its basic time",
                expected=f"no more than {FAR} times the others, nor less than a part in {FAR}, in what goes "
                "into the shop workbook",
                mend=f"To leave it out: --drop {place}. If it is right: --keep {place}.",
            )
    return tuple(faults.values())


def not_taken(elements: Iterable[ElementStudy]) -> list[tuple[ElementStudy, str]]:
    """What of a study the element times have no place for, and why."""
    from scheduler.domain.shop import Element
    from scheduler.domain.studies import WHOLE_CYCLE, Held

    known = {element.value for element in Element}
    held = {part.value for part in Held}
    reasons = []
    for one in elements:
        name = one.studied.element
        if name in held:
            reasons.append((one, "the recipe says how long"))
        elif name == WHOLE_CYCLE:
            reasons.append((one, "element times are timed element by element"))
        elif name not in known:
            reasons.append((one, "no element of the shop"))
        elif not one.studied.set_up:
            reasons.append((one, "no press set-up was said"))
    return reasons
