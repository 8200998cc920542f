"""Changeovers that no plan can avoid: the cheapest way for the presses to visit the families needed."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, NamedTuple

from ortools.sat.python import cp_model

from scheduler.engine.cpsat.families import artwork_parts, families_of, links_of
from scheduler.engine.cpsat.needs import first_day_of, needs_of
from scheduler.engine.cpsat.solver import bound_of, settings, watched
from scheduler.engine.windows import Windows

if TYPE_CHECKING:
    from collections.abc import Callable

    from ortools.sat.python.cp_model import ArcT, CpModel, IntVar, LinearExpr

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.families import Artwork, Families, FamilyGraph
    from scheduler.engine.cpsat.needs import Need, Needs, Place
    from scheduler.engine.cpsat.variables import Variables

log = logging.getLogger(__name__)


MOST_LINKS = 4_000
"""Links between families up to which every run's artwork is taken as a family of its own as well: families
without it give most of the bound anyway, and sooner."""

LINKS_IN_FULL = 4_000
"""Links up to which the whole effort is spent; beyond it a unit takes longer, and most comes at once. On two
days of 250 runs 1,000 gave a bound 5 % lower in half the time, no limit one 0.1 % higher."""


def changeover_bound(
    instance: Instance,
    deterministic_limit: float,
    *,
    left_over: int = 0,
    latest: dict[str, int] | None = None,
    count: bool = False,
    most: int | None = None,
    windows: Windows | None = None,
    stop: Callable[[], bool] | None = None,
) -> int:
    """Least changeover ticks of any plan, whatever its lateness but for `latest`.

    All times but the day are left out: each press may visit each family once a day, in any order, and
    every task must be done in a family that is visited on one of its days.

    Parameters
    ----------
    deterministic_limit
        Effort in the solver's units; with less the bound is lower, never wrong.
    left_over
        Pressings that plans may leave over.
    latest
        Ends by which tasks must be done in the plans that the bound is for; see `latest_ends`.
    count
        Bound the number of changeovers instead.
    most
        Of which plans, when their number is bounded: those with no more changeover ticks than this.
    windows
        The instance's, where they are made already.
    """
    best = 0
    windows = windows or Windows(instance)
    aside = artwork_parts(instance)
    ways: list[tuple[tuple[int, ...], float]] = [(aside, deterministic_limit)]
    if aside and links_of(instance) <= MOST_LINKS:
        # The rough families give most of the bound soon, the fine ones the rest.
        ways = [(aside, deterministic_limit / 2), ((), deterministic_limit / 2)]
    for parts, limit in ways:
        if stop is None or not stop():
            families = families_of(instance, count=count, artworks=parts, latest=latest, windows=windows)
            ticks = None
            if count and most is not None:
                ticks = families_of(instance, artworks=parts, latest=latest, windows=windows)
            if stop is None or not stop():
                bound = cover_bound(instance, families, limit, left_over, stop, ticks=ticks, most=most)
                best = max(best, bound)
    return best


def cover_bound(
    instance: Instance,
    families: Families,
    deterministic_limit: float,
    left_over: int = 0,
    stop: Callable[[], bool] | None = None,
    *,
    ticks: Families | None = None,
    most: int | None = None,
) -> int:
    """The cheapest cover of the families, or what is shown of it within the limit.

    With `ticks`, the same families by that measure: of the covers that cost at most `most` by it.
    """
    measures = [families] if ticks is None else [families, ticks]
    needs = needs_of(instance, measures, left_over)
    return cheapest(instance, needs, deterministic_limit, left_over, stop, most)


def cheapest(
    instance: Instance,
    needs: Needs,
    deterministic_limit: float,
    left_over: int = 0,
    stop: Callable[[], bool] | None = None,
    most: int | None = None,
) -> int:
    """The same of these needs, measured first by what is minimised."""
    if stop is not None and stop():
        return needs.costs[0].constant
    cover = Cover(instance, needs, left_over)
    if len(needs.costs) > 1 and most is not None:
        cover.model.add(cover.cost(1) <= most)
    cover.model.minimize(cover.cost(0))
    links = sum(len(graph.members) ** 2 for graph in needs.costs[0].graphs)
    solver = settings(0, 1, deterministic_limit * min(1.0, LINKS_IN_FULL / max(1, links)))
    with watched(solver, stop):
        status = solver.solve(cover.model)
    if status == cp_model.MODEL_INVALID:
        raise RuntimeError(f"the model of set-up families is invalid: {cover.model.validate()}")
    if status == cp_model.INFEASIBLE:
        # No plan leaves over as little as that: nothing is said about those that leave more.
        return 0
    bound = max(needs.costs[0].constant, bound_of(solver))
    log.info(
        "set-up families: %d, runs %d of %d, bound %d (%s) in %.2f units",
        sum(len(graph.members) for graph in needs.costs[0].graphs),
        len(needs.tasks),
        len(instance.tasks),
        bound,
        solver.status_name(status),
        solver.response_proto.deterministic_time,
    )
    return bound


class Cover:
    """The model of a cover.

    Attributes
    ----------
    ways
        By task id: the literal of each way of its need.
    """

    def __init__(self, instance: Instance, needs: Needs, left_over: int) -> None:
        self.model = cp_model.CpModel()
        self._needs = needs
        days: dict[tuple[int, int], set[int]] = {}
        for need in needs.tasks:
            for (machine, day, family), _ in need.ways:
                days.setdefault((machine, family), set()).add(day)
        self._visited, self._steps = _paths(self.model, needs.costs[0].graphs, days, needs.first_day)
        self._options = self._choose(instance)
        self._lined_up: dict[Artwork, IntVar] = {}
        self.ways: dict[str, list[IntVar]] = {}
        left: list[LinearExpr] = []
        for need in needs.tasks:
            ways = self.ways[need.task] = [self._way(need, at) for at in range(len(need.ways))]
            carried = self._options.get(need.task)
            served = cp_model.LinearExpr.sum(ways)
            if need.pressings is not None:
                over = self.model.new_bool_var(f"{need.task}.left")
                left.append(need.pressings * over)
                served = served + over
            self.model.add(served == (1 if carried is None else sum(carried)))
        if left:
            self.model.add(sum(left) <= left_over)

    def cost(self, measure: int) -> LinearExpr:
        """What the cover costs by one of the needs' measures."""
        costs = self._needs.costs[measure]
        terms = _ticks(self._steps, costs.graphs)
        terms += [costs.enter[artwork] * literal for artwork, literal in self._lined_up.items()]
        for task, ticks in costs.line_ups.items():
            terms += [ticks * literal for literal in self._options[task]]
        return cp_model.LinearExpr.sum(terms) + costs.constant

    def links(self, machine: int, day: int) -> list[tuple[int | None, int, IntVar]]:
        """Links of a machine's path within a day: (before, after, literal); before None: its very first."""
        return [
            (step.before, step.after, step.literal)
            for step in self._steps
            if step.machine == machine and step.day == day
        ]

    def _choose(self, instance: Instance) -> dict[str, list[IntVar]]:
        options: dict[str, list[IntVar]] = {}
        for choice in instance.choices:
            literals = [self.model.new_bool_var(f"{choice.id}[{at}]") for at in range(len(choice.options))]
            self.model.add_exactly_one(literals)
            for literal, option in zip(literals, choice.options, strict=True):
                for task in dict.fromkeys(option):
                    options.setdefault(task, []).append(literal)
        return options

    def _way(self, need: Need, number: int) -> IntVar:
        place, artwork = need.ways[number]
        done = self.model.new_bool_var(f"{need.task}.{number}")
        self.model.add_implication(done, self._visited[place])
        if artwork is not None:
            if artwork not in self._lined_up:
                self._lined_up[artwork] = self.model.new_bool_var(f"artwork {artwork}")
            self.model.add_implication(done, self._lined_up[artwork])
        return done


def add_cover(model: CpModel, variables: Variables, families: Families, changeover: LinearExpr) -> None:
    """Say in a day's model that its changeovers cost no less than the cover of the families used.

    It follows from the rules, but the solver does not see it: with it, bounds are near the cover's from
    the start, and plans are found that reach it.
    """
    days: dict[tuple[int, int], set[int]] = {}
    for task in variables.tasks:
        for way in families.visits[task.task.id]:
            days.setdefault((way.machine, way.family), set()).update(families.days[task.task.id])
    visited, steps = _paths(model, families.graphs, days, first_day_of(families))
    lined_up: dict[Artwork, IntVar] = {}
    for task in variables.tasks:
        ways = dict(zip((id(mode) for mode in task.task.modes), families.visits[task.task.id], strict=True))
        for node in task.nodes:
            way = ways[id(node.mode)]
            there = [visited[way.machine, day, way.family] for day in families.days[task.task.id]]
            model.add_bool_or([node.literal.negated(), *there])
            if families.enter[way.artwork]:
                if way.artwork not in lined_up:
                    lined_up[way.artwork] = model.new_bool_var(f"artwork {way.artwork}")
                model.add_implication(node.literal, lined_up[way.artwork])
    terms = _ticks(steps, families.graphs)
    terms += [families.enter[artwork] * literal for artwork, literal in lined_up.items()]
    model.add(sum(terms) <= changeover)


class Step(NamedTuple):
    """A link of a path.

    Attributes
    ----------
    before
        None: the machine's first; then `same_day` says whether on the first day of all.
    day
        That of what comes after, if what came before is of that day too.
    """

    literal: IntVar
    machine: int
    before: int | None
    after: int
    same_day: bool
    day: int | None


def _ticks(steps: list[Step], graphs: list[FamilyGraph]) -> list[LinearExpr]:
    """What the links of the paths cost."""
    terms: list[LinearExpr] = []
    for step in steps:
        graph = graphs[step.machine]
        if step.before is None:
            cost = (graph.start if step.same_day else graph.start_later)[step.after]
        else:
            cost = (graph.warm if step.same_day else graph.cold)[step.before][step.after]
        if cost:
            terms.append(cost * step.literal)
    return terms


def _paths(
    model: CpModel, graphs: list[FamilyGraph], days: dict[tuple[int, int], set[int]], first_day: int
) -> tuple[dict[Place, IntVar], list[Step]]:
    """One path per machine through the days, chained into one circuit; a literal for each visit.

    A family may be visited once a day.
    """
    visited: dict[Place, IntVar] = {}
    steps: list[Step] = []
    arcs: list[ArcT] = []
    count = len(graphs)
    node = count
    for graph in graphs:
        depot, following = graph.machine, (graph.machine + 1) % count
        places = [
            (day, family)
            for family in range(len(graph.members))
            for day in sorted(days.get((graph.machine, family), ()))
        ]
        begin, node = node, node + len(places)
        name = f"m{graph.machine}"
        idle = model.new_bool_var(f"{name}.idle")
        arcs.append((depot, following, idle))
        for at, (day, family) in enumerate(places):
            here = f"{name}.d{day}.f{family}"
            visit = model.new_bool_var(here)
            visited[graph.machine, day, family] = visit
            if count == 1:
                # The idle arc is a loop here, and a ring of visits could do without the depot.
                model.add_implication(visit, idle.negated())
            arcs.append((begin + at, begin + at, visit.negated()))
            arcs.append((begin + at, following, model.new_bool_var(f"{here}.last")))
            first = model.new_bool_var(f"{here}.first")
            arcs.append((depot, begin + at, first))
            steps.append(Step(first, graph.machine, None, family, day == first_day, day))
            for to, (later, other) in enumerate(places):
                if later < day or to == at:
                    continue
                link = model.new_bool_var(f"{here}>d{later}.f{other}")
                arcs.append((begin + at, begin + to, link))
                same = later == day
                steps.append(Step(link, graph.machine, family, other, same, day if same else None))
    model.add_circuit(arcs)
    return visited, steps
