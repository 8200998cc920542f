"""Changeovers that no plan can avoid: the cheapest way for the presses to visit the families needed."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from scheduler.engine.cpsat.families import artwork_parts, families_of
from scheduler.engine.cpsat.solver import bound_of, settings, watched

if TYPE_CHECKING:
    from collections.abc import Callable

    from ortools.sat.python.cp_model import ArcT, CpModel, IntVar, LinearExpr

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.families import Artwork, Families, FamilyGraph
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

    All times are left out: each press may visit each family once, in any order, and every task must
    be done in a family that is visited.

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
    if aside:
        whole = families_of(instance, count=count, artworks=(), latest=latest)
        if sum(len(graph.members) ** 2 for graph in whole.graphs) <= MOST_LINKS:
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
    model = cp_model.CpModel()
    visited, terms = _paths(model, families)
    terms += _tasks(model, instance, families, visited, left_over)
    if not terms:
        return 0
    model.minimize(sum(terms))
    solver = settings(0, 1, deterministic_limit)
    with watched(solver, stop):
        status = solver.solve(model)
    if status == cp_model.MODEL_INVALID:
        raise RuntimeError(f"the model of set-up families is invalid: {model.validate()}")
    if status == cp_model.INFEASIBLE:
        # No plan leaves over as little as that: nothing is said about those that leave more.
        return 0
    bound = max(0, bound_of(solver))
    log.info(
        "set-up families: %d, bound %d (%s) in %.2f units",
        sum(len(graph.members) for graph in families.graphs),
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
    visited, terms = _paths(model, families)
    lined_up: dict[Artwork, IntVar] = {}
    for task in variables.tasks:
        ways = dict(zip((id(mode) for mode in task.task.modes), families.visits[task.task.id], strict=True))
        for node in task.nodes:
            way = ways[id(node.mode)]
            model.add_implication(node.literal, visited[way.machine, way.family])
            if families.enter[way.artwork]:
                if way.artwork not in lined_up:
                    lined_up[way.artwork] = model.new_bool_var(f"artwork {way.artwork}")
                model.add_implication(node.literal, lined_up[way.artwork])
    terms += [families.enter[artwork] * literal for artwork, literal in lined_up.items()]
    model.add(sum(terms) <= changeover)


def _paths(model: CpModel, families: Families) -> tuple[dict[tuple[int, int], IntVar], list[LinearExpr]]:
    """One path of families per machine, chained into one circuit; a literal for each visit."""
    visited: dict[tuple[int, int], IntVar] = {}
    terms: list[LinearExpr] = []
    arcs: list[ArcT] = []
    count = len(families.graphs)
    node = count
    for graph in families.graphs:
        depot, following = graph.machine, (graph.machine + 1) % count
        places = list(range(node, node + len(graph.members)))
        node += len(places)
        name = f"m{graph.machine}"
        idle = model.new_bool_var(f"{name}.idle")
        arcs.append((depot, following, idle))
        colds: list[IntVar] = []
        for at, place in enumerate(places):
            visit = model.new_bool_var(f"{name}.f{at}")
            visited[graph.machine, at] = visit
            if count == 1:
                # The idle arc is a loop here, and a ring of visits could do without the depot.
                model.add_implication(visit, idle.negated())
            arcs.append((place, place, visit.negated()))
            arcs.append((place, following, model.new_bool_var(f"{name}.f{at}.last")))
            first = model.new_bool_var(f"{name}.f{at}.first")
            arcs.append((depot, place, first))
            terms.append(graph.start[at] * first)
            _links(model, graph, families.nights, at, places, arcs, terms, colds)
        if colds:
            model.add(sum(colds) <= families.nights)
    model.add_circuit(arcs)
    return visited, terms


def _links(
    model: CpModel,
    graph: FamilyGraph,
    nights: int,
    at: int,
    places: list[int],
    arcs: list[ArcT],
    terms: list[LinearExpr],
    colds: list[IntVar],
) -> None:
    for to, place in enumerate(places):
        if to == at:
            continue
        warm = model.new_bool_var(f"m{graph.machine}.f{at}>{to}")
        arcs.append((places[at], place, warm))
        terms.append(graph.warm[at][to] * warm)
        if nights and graph.cold[at][to] < graph.warm[at][to]:
            cold = model.new_bool_var(f"m{graph.machine}.f{at}>{to}*")
            arcs.append((places[at], place, cold))
            terms.append(graph.cold[at][to] * cold)
            colds.append(cold)


def _tasks(
    model: CpModel,
    instance: Instance,
    families: Families,
    visited: dict[tuple[int, int], IntVar],
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
    lined_up: dict[Artwork, IntVar] = {}
    left: list[LinearExpr] = []
    for each in instance.tasks:
        ways: list[IntVar] = []
        for number, way in enumerate(dict.fromkeys(families.visits[each.id])):
            done = model.new_bool_var(f"{each.id}.{number}")
            ways.append(done)
            model.add_implication(done, visited[way.machine, way.family])
            if families.enter[way.artwork]:
                if way.artwork not in lined_up:
                    lined_up[way.artwork] = model.new_bool_var(f"artwork {way.artwork}")
                model.add_implication(done, lined_up[way.artwork])
        if left_over >= each.pressings:
            over = model.new_bool_var(f"{each.id}.left")
            left.append(each.pressings * over)
            ways.append(over)
        carried = options.get(each.id)
        model.add(sum(ways) == (1 if carried is None else sum(carried)))
    if left:
        model.add(sum(left) <= left_over)
    return [families.enter[artwork] * literal for artwork, literal in lined_up.items()]
