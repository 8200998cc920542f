"""What presses, people, platens and garments have time for, said of a cover of set-up families.

The cover alone leaves out all times. Here each way of a task has its person too, and over stretches of a
day the work that must lie in them is no more than there is time for:

    sum of the work that must lie in [a, d)  <=  time of a press, a person or the platens of a kind in [a, d)

Where the stretch begins with the day, set-ups count too: behind its first run a press stands still for each
changeover, and what is done by hand takes somebody's time. A task that may be late must lie in a stretch
unless its order is as late as that makes it.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, NamedTuple

from ortools.sat.python import cp_model

from scheduler.engine.cpsat.loads import Hours, Load, loads_of, time_in

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import IntVar, LinearExpr

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.cover import Cover
    from scheduler.engine.cpsat.families import Artwork, Families
    from scheduler.engine.cpsat.needs import Needs

MOST_ENDS = 8
"""Ends of stretches looked at on a day; of more, some are passed over, which only lets the bound be lower. On
the twelve days of 8 runs 16 raised no bound but one, by a tick; with 4 they were raised 0.2 % less."""

MOST_BEGINS = 3
"""Begins of stretches looked at on a day, beside that of the day. There 1 and 6 gave the same bounds."""


class Inside(NamedTuple):
    """A load and whether it must lie in a stretch."""

    load: Load
    there: IntVar


class Workload:
    """The times of a cover; its rules are added to the cover's model when it is made.

    Parameters
    ----------
    cover, needs
        Of all tasks, nothing put aside; measured first in ticks, then in ticks by hand.
    latest
        Ends by which tasks must be done; the horizon where there is none.
    soft
        Whether orders may be late at all: else `latest` says all about their cut-offs.

    Attributes
    ----------
    lateness
        Weighted ticks late, at least.
    overtime
        Ticks of overtime, at least.
    """

    def __init__(
        self,
        instance: Instance,
        cover: Cover,
        needs: Needs,
        families: Families,
        latest: dict[str, int],
        *,
        soft: bool,
    ) -> None:
        self.instance = instance
        self.model = cover.model
        self._cover = cover
        self._ticks, self._by_hand = needs.costs[:2]
        self._hours = Hours(instance)
        self._jobs = {job.id: job for job in instance.jobs}
        self._soft = soft
        self._late: dict[str, IntVar] = {}
        self._after: dict[tuple[str, int, int], IntVar] = {}
        self.loads = loads_of(instance, cover, needs, families, latest)
        self._first_day = needs.first_day
        self.lateness = self._lateness()
        over: list[LinearExpr | int] = []
        for day in range(len(instance.heating_days)):
            mine = [load for load in self.loads if load.day == day]
            if mine:
                self._day(day, mine)
                over.append(self._overtime(day, mine))
        self.overtime = cp_model.LinearExpr.sum(over)
        self._garments()

    def _lateness(self) -> LinearExpr:
        """Late by so much as the day alone says that a task is done on."""
        if not self._soft:
            return cp_model.LinearExpr.sum([])
        terms = []
        for job in self.instance.jobs:
            if job.due is not None and job.weight:
                most = self.instance.horizon + job.packing
                most += max((load.task.cooling for load in self.loads if load.task.job == job.id), default=0)
                self._late[job.id] = self.model.new_int_var(0, max(0, most - job.due), f"{job.id}.late")
                terms.append(job.weight * self._late[job.id])
        for load in self.loads:
            soft = self._in_time(load)
            if soft is not None and load.begin + load.work > soft:
                least = load.begin + load.work - soft
                self.model.add(self._late[load.task.job] >= least).only_enforce_if(load.literal)
        return cp_model.LinearExpr.sum(terms)

    def _in_time(self, load: Load) -> int | None:
        """Latest end at which its order is not late; None when it can't be late."""
        job = self._jobs[load.task.job]
        if job.id not in self._late or job.due is None:
            return None
        return job.due - job.packing - load.task.cooling

    def _within(self, loads: list[Load], end: int) -> list[Inside]:
        """Loads that must end by so far, those of late orders if they are not as late as that."""
        within = []
        for load in loads:
            soft = self._in_time(load)
            if load.end <= end:
                within.append(Inside(load, load.literal))
            elif soft is not None and soft <= end:
                there = self.model.new_bool_var(f"{load.literal.name}.by{end}")
                self.model.add_bool_or([there, load.literal.negated(), self._done_after(load, soft, end)])
                within.append(Inside(load, there))
        return within

    def _done_after(self, load: Load, soft: int, end: int) -> IntVar:
        """Whether something of its order that is as urgent ends after a tick."""
        key = load.task.job, soft, end
        if key not in self._after:
            after = self._after[key] = self.model.new_bool_var(f"{key[0]}.after{end}")
            self.model.add(self._late[key[0]] >= end + 1 - soft).only_enforce_if(after)
        return self._after[key]

    def _day(self, day: int, mine: list[Load]) -> None:
        ends = {load.end for load in mine}
        if self._soft:
            soft = {self._in_time(load) for load in mine}
            ends |= {tick for tick in soft if tick is not None and tick > min(load.begin for load in mine)}
            ends |= {last for spans in self._hours.spans.values() for _, last in spans}
            last = self.instance.heating_days[day].end
            ends = {min(end, last) for end in ends if end > self.instance.heating_days[day].start}
        begins = sorted({load.task.release for load in mine} - {0})
        first = min(load.begin for load in mine)
        begins = [begin for begin in begins if begin > first]
        for end in _some(sorted(ends), MOST_ENDS):
            within = self._within(mine, end)
            if not within:
                continue
            self._from_morning(day, within, mine, end)
            for begin in _some(begins, MOST_BEGINS):
                later = [each for each in within if each.load.begin >= begin]
                if later:
                    self._people(later, begin, end, hands=False)
                    self._presses(later, begin, end)
                    self._platens(later, begin, end)

    def _from_morning(self, day: int, within: list[Inside], mine: list[Load], end: int) -> None:
        start = self.instance.heating_days[day].start
        self._people(within, start, end, hands=True)
        self._presses(within, start, end)
        self._platens(within, start, end)
        by_machine: dict[int, list[Inside]] = defaultdict(list)
        for each in within:
            by_machine[each.load.machine].append(each)
        by_hand: list[LinearExpr | int] = []
        for machine, inside in by_machine.items():
            here = [load for load in mine if load.machine == machine]
            whole = len(inside) == len(here) and all(each.there is each.load.literal for each in inside)
            entered = self._entered(machine, day, inside, whole)
            first = min(load.begin for load in here)
            still = entered.still(self._ticks.graphs[machine].warm, self._ticks.enter)
            self.model.add(_work(inside) + still <= max(0, end - first))
            # Whoever did an earlier run may have set up the family: nobody, where a run needs nobody.
            if all(
                load.person is not None for load in mine if machine == load.machine or machine in load.mates
            ):
                graph = self._by_hand.graphs[machine]
                by_hand.append(entered.cost(graph.start, graph.warm, self._by_hand.enter))
        people = sorted({load.person for load in mine if load.person is not None})
        room = sum(time_in(self._hours.spans[person], start, end) for person in people)
        staffed = [each for each in within if each.load.person is not None]
        self.model.add(_work(staffed) + cp_model.LinearExpr.sum(by_hand) <= room)

    def _people(self, within: list[Inside], begin: int, end: int, *, hands: bool) -> None:
        by_person: dict[str, list[Inside]] = defaultdict(list)
        for each in within:
            if each.load.person is not None:
                by_person[each.load.person].append(each)
        for person, inside in by_person.items():
            self.model.add(_work(inside, hands=hands) <= time_in(self._hours.spans[person], begin, end))

    def _presses(self, within: list[Inside], begin: int, end: int) -> None:
        """A press works only while one of its people does."""
        by_machine: dict[int, list[Inside]] = defaultdict(list)
        for each in within:
            by_machine[each.load.machine].append(each)
        for inside in by_machine.values():
            first = max(begin, min(each.load.begin for each in inside))
            people = {each.load.person for each in inside}
            room = max(0, end - first)
            if None not in people:
                room = time_in(self._hours.of(sorted(p for p in people if p is not None)), first, end)
            self.model.add(_work(inside) <= room)

    def _platens(self, within: list[Inside], begin: int, end: int) -> None:
        by_kind: dict[str, list[Inside]] = defaultdict(list)
        for each in within:
            if each.load.platen is not None:
                by_kind[each.load.platen].append(each)
        for platen in self.instance.platens:
            inside = by_kind[platen.id]
            if len({each.load.machine for each in inside}) > platen.count:
                first = max(begin, min(each.load.begin for each in inside))
                self.model.add(_work(inside) <= platen.count * max(0, end - first))

    def _entered(self, machine: int, day: int, inside: list[Inside], whole: bool) -> _Entered:
        """What the work of a press that must lie in a stretch from the morning on is entered by."""
        links = self._cover.links(machine, day)
        entered = _Entered(day == self._first_day, whole, links)
        if day != self._first_day:
            return entered
        families: dict[int, list[IntVar]] = defaultdict(list)
        artworks: dict[Artwork, list[IntVar]] = defaultdict(list)
        for each in inside:
            families[each.load.family].append(each.there)
            if each.load.artwork is not None:
                artworks[each.load.artwork].append(each.there)
        for family, there in families.items():
            entered.families[family] = self._any(there)
        for artwork, there in artworks.items():
            entered.artworks[artwork] = self._any(there)
        return entered

    def _any(self, literals: list[IntVar]) -> IntVar:
        either = self.model.new_bool_var("")
        for literal in literals:
            self.model.add_implication(literal, either)
        return either

    def _overtime(self, day: int, mine: list[Load]) -> LinearExpr | int:
        """What is more than the paid hours of the day, person by person."""
        start, last = self.instance.heating_days[day].start, self.instance.heating_days[day].end
        terms: list[LinearExpr | int] = []
        for person in self.instance.operators:
            inside = [Inside(load, load.literal) for load in mine if load.person == person.id]
            shifts = [shift for shift in person.shifts if shift.overtime_end > start and shift.start < last]
            late = sum(shift.overtime_end - shift.end for shift in shifts)
            if not inside or not late:
                continue
            hours = [(max(start, shift.start), min(last, shift.end)) for shift in shifts]
            paid = sum(time_in(self._hours.spans[person.id], first, end) for first, end in hours)
            over = self.model.new_int_var(0, late, f"{person.id}.overtime{day}")
            self.model.add(over >= _work(inside, hands=True) - paid)
            terms.append(over)
        return cp_model.LinearExpr.sum(terms)

    def _garments(self) -> None:
        """Garments are at one press at a time."""
        stacks: dict[str, list[str]] = defaultdict(list)
        for task in self.instance.tasks:
            for bundle in dict.fromkeys(task.bundles):
                stacks[bundle].append(task.id)
        by_task: dict[str, list[Load]] = defaultdict(list)
        for load in self.loads:
            by_task[load.task.id].append(load)
        crew = self._hours.of(self._hours.spans)
        for names in dict.fromkeys(tuple(each) for each in stacks.values() if len(each) > 1):
            loads = [load for name in names for load in by_task[name]]
            if not loads:
                continue
            first, last = min(load.begin for load in loads), max(load.end for load in loads)
            room = last - first
            if all(load.person is not None for load in loads):
                room = time_in(crew, first, last)
            self.model.add(_work([Inside(load, load.literal) for load in loads]) <= max(0, room))


class _Entered:
    """Families and artworks that a press enters in the course of a stretch from the morning on."""

    def __init__(self, first_day: bool, whole: bool, links: list[tuple[int | None, int, IntVar]]) -> None:
        self._first_day = first_day
        self._whole = whole
        self._links = links
        self.families: dict[int, IntVar] = {}
        self.artworks: dict[Artwork, IntVar] = {}

    def still(self, warm: list[list[int]], enter: dict[Artwork, int]) -> LinearExpr | int:
        """Ticks for which the press stands still behind its first run, at least."""
        if self._whole:
            steps = [warm[a][b] * link for a, b, link in self._links if a is not None and warm[a][b]]
        else:
            least = {b: _least_into(warm, b) for b in self.families}
            steps = [least[b] * literal for b, literal in self.families.items() if least[b]]
            steps += [-least[b] * link for a, b, link in self._links if a is None and least.get(b)]
        lined_up = [enter[artwork] * literal for artwork, literal in self.artworks.items()]
        spared = max((enter[artwork] for artwork in self.artworks), default=0)
        return cp_model.LinearExpr.sum([*steps, *lined_up]) - spared

    def cost(self, start: list[int], warm: list[list[int]], enter: dict[Artwork, int]) -> LinearExpr | int:
        """What entering them costs, the first run's too."""
        if self._whole:
            steps = [warm[a][b] * link for a, b, link in self._links if a is not None and warm[a][b]]
            if self._first_day:
                steps += [start[b] * link for a, b, link in self._links if a is None and start[b]]
        else:
            least = {b: min(start[b], _least_into(warm, b)) for b in self.families}
            steps = [least[b] * literal for b, literal in self.families.items() if least[b]]
        lined_up = [enter[artwork] * literal for artwork, literal in self.artworks.items()]
        return cp_model.LinearExpr.sum([*steps, *lined_up])


def _least_into(warm: list[list[int]], family: int) -> int:
    others = (row[family] for at, row in enumerate(warm) if at != family)
    return min(others, default=0)


def _work(inside: list[Inside], *, hands: bool = False) -> LinearExpr:
    return cp_model.LinearExpr.sum(
        [(load.work + (load.hands if hands else 0)) * there for load, there in inside]
    )


def _some(values: list[int], most: int) -> list[int]:
    """So many of the values, the last among them."""
    if len(values) <= most:
        return values
    return sorted({values[(at + 1) * len(values) // most - 1] for at in range(most)})
