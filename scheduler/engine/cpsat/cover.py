"""Changeovers that no plan can avoid: the cheapest way for the presses to visit the families needed."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from scheduler.engine.cpsat.families import artwork_parts, families_of, links_of
from scheduler.engine.cpsat.needs import needs_of
from scheduler.engine.cpsat.solver import bound_of, settings, watched

if TYPE_CHECKING:
    from collections.abc import Callable

    from ortools.sat.python.cp_model import ArcT, CpModel, IntVar, LinearExpr

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.families import Artwork, Families, FamilyGraph
    from scheduler.engine.cpsat.needs import Needs, Place
    from scheduler.engine.cpsat.variables import Variables

log = logging.getLogger(__name__)


MOST_LINKS = 4_000
"""Links between families up to which every run's artwork is taken as a family of its own as well."""


def changeover_bound(
    instance: Instance,
    deterministic_limit: float,
    *,
    left_over: int = 0,
    latest: dict[str, int] | None = None,
    count: bool = False,
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
    """
    best = 0
    aside = artwork_parts(instance)
    ways: list[tuple[tuple[int, ...], float]] = [(aside, deterministic_limit)]
    if aside and links_of(instance) <= MOST_LINKS:
        # The rough families give most of the bound soon, the fine ones the rest.
        ways = [(aside, deterministic_limit / 2), ((), deterministic_limit / 2)]
    for parts, limit in ways:
        if stop is None or not stop():
            families = families_of(instance, count=count, artworks=parts, latest=latest)
            best = max(best, cover_bound(instance, families, limit, left_over, stop))
    return best


def cover_bound(
    instance: Instance,
    families: Families,
    deterministic_limit: float,
    left_over: int = 0,
    stop: Callable[[], bool] | None = None,
) -> int:
    """The cheapest cover of the families, or what is shown of it within the limit."""
    needs = needs_of(instance, families, left_over)
    return cheapest(instance, families, needs, deterministic_limit, left_over, stop)


def cheapest(
    instance: Instance,
    families: Families,
    needs: Needs,
    deterministic_limit: float,
    left_over: int = 0,
    stop: Callable[[], bool] | None = None,
) -> int:
    """The same of these needs."""
    model = cp_model.CpModel()
    visited, terms = _paths(model, needs.graphs, _days_by_family(needs))
    terms += _tasks(model, instance, families, needs, visited, left_over)
    if not terms:
        return needs.constant
    model.minimize(sum(terms))
    solver = settings(0, 1, deterministic_limit)
    with watched(solver, stop):
        status = solver.solve(model)
    if status == cp_model.MODEL_INVALID:
        raise RuntimeError(f"the model of set-up families is invalid: {model.validate()}")
    if status == cp_model.INFEASIBLE:
        # No plan leaves over as little as that: nothing is said about those that leave more.
        return 0
    bound = needs.constant + max(0, bound_of(solver))
    log.info(
        "set-up families: %d of %d, runs %d of %d, bound %d (%s) in %.2f units",
        sum(len(graph.members) for graph in needs.graphs),
        sum(len(graph.members) for graph in families.graphs),
        len(needs.tasks),
        len(instance.tasks),
        bound,
        solver.status_name(status),
        solver.response_proto.deterministic_time,
    )
    return bound


def add_cover(model: CpModel, variables: Variables, families: Families, changeover: LinearExpr) -> None:
    """Say in a day's model that its changeovers cost no less than the cover of the families used.

    It follows from the rules, but the solver does not see it: with it, bounds are near the cover's from
    the start, and plans are found that reach it.
    """
    days: dict[tuple[int, int], set[int]] = {}
    for task in variables.tasks:
        for way in families.visits[task.task.id]:
            days.setdefault((way.machine, way.family), set()).update(families.days[task.task.id])
    visited, terms = _paths(model, families.graphs, days)
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
    terms += [families.enter[artwork] * literal for artwork, literal in lined_up.items()]
    model.add(sum(terms) <= changeover)


def _days_by_family(needs: Needs) -> dict[tuple[int, int], set[int]]:
    days: dict[tuple[int, int], set[int]] = {}
    for need in needs.tasks:
        for (machine, day, family), _ in need.ways:
            days.setdefault((machine, family), set()).add(day)
    return days


def _paths(
    model: CpModel, graphs: list[FamilyGraph], days: dict[tuple[int, int], set[int]]
) -> tuple[dict[Place, IntVar], list[LinearExpr]]:
    """One path per machine through the days, chained into one circuit; a literal for each visit.

    A family may be visited once a day.
    """
    visited: dict[Place, IntVar] = {}
    terms: list[LinearExpr] = []
    arcs: list[ArcT] = []
    count = len(graphs)
    node = count
    first_day = min((day for each in days.values() for day in each), default=0)
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
            terms.append((graph.start if day == first_day else graph.start_later)[family] * first)
            for to, (later, other) in enumerate(places):
                if later < day or to == at:
                    continue
                link = model.new_bool_var(f"{here}>d{later}.f{other}")
                arcs.append((begin + at, begin + to, link))
                cost = (graph.warm if later == day else graph.cold)[family][other]
                if cost:
                    terms.append(cost * link)
    model.add_circuit(arcs)
    return visited, terms


def _tasks(
    model: CpModel,
    instance: Instance,
    families: Families,
    needs: Needs,
    visited: dict[Place, IntVar],
    left_over: int,
) -> list[LinearExpr]:
    """Every task that is carried out is done in one of its families; the line-ups that follow."""
    options: dict[str, list[IntVar]] = {}
    for choice in instance.choices:
        literals = [model.new_bool_var(f"{choice.id}[{at}]") for at in range(len(choice.options))]
        if literals:
            model.add_exactly_one(literals)
        for literal, option in zip(literals, choice.options, strict=True):
            for task in dict.fromkeys(option):
                options.setdefault(task, []).append(literal)
    terms: list[LinearExpr] = [
        cost * literal for task, cost in needs.line_ups.items() for literal in options[task]
    ]
    lined_up: dict[Artwork, IntVar] = {}
    left: list[LinearExpr] = []
    for need in needs.tasks:
        ways: list[IntVar] = []
        for number, (place, artwork) in enumerate(need.ways):
            done = model.new_bool_var(f"{need.task}.{number}")
            ways.append(done)
            model.add_implication(done, visited[place])
            if artwork is not None:
                if artwork not in lined_up:
                    lined_up[artwork] = model.new_bool_var(f"artwork {artwork}")
                model.add_implication(done, lined_up[artwork])
        if need.pressings is not None:
            over = model.new_bool_var(f"{need.task}.left")
            left.append(need.pressings * over)
            ways.append(over)
        carried = options.get(need.task)
        model.add(sum(ways) == (1 if carried is None else sum(carried)))
    if left:
        model.add(sum(left) <= left_over)
    return terms + [families.enter[artwork] * literal for artwork, literal in lined_up.items()]
