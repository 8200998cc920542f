"""What new orders would cost: the questions of `pressday promise`, asked one after the other."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.workflow.question import Looked, Looking
from scheduler.workflow.stopped import Stopped, why_stopped

if TYPE_CHECKING:
    from scheduler.domain.schedule import Result
    from scheduler.engine.effort import Effort
    from scheduler.planning.helps import TryOut
    from scheduler.planning.promise import MadeLate
    from scheduler.planning.rest import Rest

REFINEMENTS = 6
"""Times that an earlier answer is looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HelpAnswer:
    """What some help is worth, by a search of its own.

    Attributes
    ----------
    kind
        "split", "overtime" or "person".
    who
        Who works longer; empty for the other kinds.
    span, places
        From when to when (ticks) and at which presses one more person works; None when nobody came.
    ready
        By new order: when it is ready with that help and nothing else made late, in ticks.
    fits
        All are ready in time and nothing else is made late.
    beside
        How many other orders are made late, with that help.
    """

    kind: str
    who: tuple[str, ...] = ()
    span: tuple[int, int] | None = None
    places: tuple[str, ...] = ()
    ready: dict[str, int]
    fits: bool
    beside: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """Answers about new orders. Times in ticks.

    Attributes
    ----------
    by
        By new order: when it must be ready.
    earliest
        By new order: the earliest found with nothing else made late; left out when it fits nowhere.
    never_before
        By new order: the tick before which it can't be ready whatever yields to it.
    beside
        Orders that become late even so, because nothing better was found.
    fits
        All are ready in time and nothing is made late.
    at_by
        By new order: when it is ready if all else yields to it; empty when the earliest is in time. Of some
        orders one may have to be ready later than at the earliest, so that the others are in time.
    late
        What becomes late then.
    helps
        What help is worth, cheapest first.
    stopped
        Why a search was stopped early, the first that was; None: none was.
    overtime
        Ticks of overtime of all people together in the plan that has them ready by then, or else as early as
        can be, and as things stand.
    """

    by: dict[str, int]
    earliest: dict[str, int]
    never_before: dict[str, int]
    beside: tuple[MadeLate, ...]
    fits: bool
    at_by: dict[str, int]
    late: tuple[MadeLate, ...]
    helps: tuple[HelpAnswer, ...]
    stopped: Stopped | None
    overtime: tuple[int, int] = (0, 0)


def promise_for(
    rest_of: Callable[[frozenset[str]], Rest],
    without: Rest,
    by: dict[str, int],
    looking: Looking,
    *,
    effort: str,
) -> Promise:
    """Ask the day everything about its new orders.

    Parameters
    ----------
    rest_of
        The rest of the day with the new orders, those named in lots if they may be pressed in some.
    without
        The rest of the day without them.
    by
        By new order: the tick at which it must be ready.
    """
    from scheduler.engine.chains import OrderChains
    from scheduler.engine.effort import EFFORTS

    # What no plan can beat is shown by the order alone; bounds of the whole day would answer nothing here.
    hard = replace(EFFORTS[effort], deterministic=0.0)
    day = _Day(rest_of, without, by, looking)
    tried = day.tried
    chains = OrderChains(tried.instance)
    alone = {job.id: chains.finish(job) for job in tried.instance.jobs if job.id in by}
    never = {order: way.finish for order, way in alone.items() if way is not None}
    earliest = _earliest(day, never, effort, hard)
    then = earliest
    if not day.fits(earliest):
        then = min(earliest, day.yielding(by, hard, near=earliest), key=day.missed)
        if _worth(then) < _worth(earliest):
            # One answer must not deny the other: this is earlier, with nothing else made late for it.
            earliest = then
    fits = day.fits(then)
    return Promise(
        by=by,
        earliest=earliest.ready,
        never_before=never,
        beside=earliest.beside,
        fits=fits,
        at_by={} if then is earliest and fits else then.ready,
        late=() if fits else then.beside,
        helps=() if fits else tuple(_helps(day, then)),
        stopped=day.stopped or (Stopped(limit_s=looking.seconds) if looking.over else None),
        overtime=(then.looked.overtime, day.stands.overtime),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """What a search found: when the new orders are ready, and what else is late for them."""

    looked: Looked
    ready: dict[str, int]
    beside: tuple[MadeLate, ...]


def _worth(found: _Found) -> tuple[int, int, int]:
    """Less of anything else made late first, then more orders done, then earlier."""
    late = sum(one.late - one.before for one in found.beside)
    return late, -len(found.ready), sum(found.ready.values())


class _Day:
    """A day with its new orders, to be asked."""

    def __init__(
        self,
        rest_of: Callable[[frozenset[str]], Rest],
        without: Rest,
        by: dict[str, int],
        looking: Looking,
    ) -> None:
        self.rest_of = rest_of
        self.by = by
        self.looking = looking
        self.stopped: Stopped | None = None
        self.stands = looking.as_it_stands(_tried(without))
        self.tried = _tried(rest_of(frozenset()))

    def rush(self, effort: str) -> _Found:
        """What accepting the new orders would give: the very search of `pressday rush`."""
        return self._found(self.looking.look(self.tried, self.tried.instance, effort))

    def ask(self, since: dict[str, int], effort: Effort, near: _Found) -> _Found:
        """The new orders as early as can be with nothing else made late; minutes since a tick count."""
        from scheduler.planning.promise import asked_earliest

        asked = asked_earliest(self.tried.instance, since, self.stands.finished)
        return self._found(self.looking.look(self.tried, asked, effort, near.looked.schedule))

    def yielding(
        self, by: dict[str, int], effort: Effort, tried: TryOut | None = None, *, near: _Found
    ) -> _Found:
        """The new orders ready by given ticks, whatever yields to them."""
        from scheduler.planning.promise import asked_by

        day = tried or self.tried
        there = {(task.id, mode.id) for task in day.instance.tasks for mode in task.modes}
        begin = near.looked.schedule
        begin = replace(
            begin,
            tasks=tuple(done for done in begin.tasks if (done.task, done.mode) in there),
            left_over=tuple(task for task in begin.left_over if task in day.problem.contents),
        )
        return self._found(self.looking.look(day, asked_by(day.instance, by), effort, begin))

    def missed(self, found: _Found) -> tuple[int, int, tuple[int, int, int]]:
        """By how many orders, and ticks, the hours asked for are missed; then how it stands otherwise."""
        late = [max(0, found.ready[order] - tick) for order, tick in self.by.items() if order in found.ready]
        return len(self.by) - len(late), sum(late), _worth(found)

    def fits(self, found: _Found) -> bool:
        """All in time, and nothing else made late."""
        in_time = all(order in found.ready and found.ready[order] <= tick for order, tick in self.by.items())
        return in_time and not found.beside

    def _found(self, looked: Looked) -> _Found:
        from scheduler.planning.promise import made_late

        self.stopped = self.stopped or self._why(looked.result)
        others = {order: ticks for order, ticks in looked.late.items() if order not in self.by}
        return _Found(
            looked=looked,
            ready={order: looked.finished[order] for order in self.by if order in looked.finished},
            beside=made_late(others, self.stands.late),
        )

    def _why(self, result: Result) -> Stopped | None:
        """Why a search was stopped; of seconds those that were given for all of them together."""
        why = why_stopped(result)
        if why is None or why.limit_s is None or self.looking.seconds is None:
            return why
        return Stopped(limit_s=self.looking.seconds)


def _earliest(day: _Day, never: dict[str, int], effort: str, hard: Effort) -> _Found:
    """The new orders as early as was found with nothing else made late; the hours asked for play no part.

    Begun with what `pressday rush` gives, so that it is no later than that.
    """
    rush = day.rush(effort)
    begin = day.tried.instance.heating_days[0].start
    asked = day.ask(dict.fromkeys(day.by, begin), hard, rush)
    return _earlier(day, min(rush, asked, key=_worth), never)


def _earlier(day: _Day, best: _Found, never: dict[str, int]) -> _Found:
    """Earlier than was found: the new orders go first at some earlier time, and the others find their places.

    The times lie between those found and those that no plan can beat, nearer to the one or the other as
    each search ends.
    """
    from scheduler.engine.effort import BRIEF

    low, high = Fraction(0), Fraction(1)
    share = low
    for _ in range(REFINEMENTS):
        if day.looking.over or all(best.ready.get(order) == tick for order, tick in never.items()):
            break
        goal = {
            order: tick + int(share * (best.ready.get(order, tick) - tick)) for order, tick in never.items()
        }
        found = day.yielding({**best.ready, **goal}, BRIEF, near=best)
        if _worth(found) < _worth(best):
            # Shares are of what is left between the new find and the least.
            best, low, high = found, Fraction(0), Fraction(1)
        else:
            low = share
        share = (low + high) / 2
    return best


def _tried(rest: Rest) -> TryOut:
    from scheduler.planning.helps import TryOut

    return TryOut(problem=rest.problem, instance=rest.instance, kept=rest.kept)


def _helps(day: _Day, near: _Found) -> Iterator[HelpAnswer]:
    """What smaller lots, overtime and one more person are worth; of overtime as little as will do."""
    from scheduler.engine.effort import BRIEF
    from scheduler.planning.helps import beyond, can_stay_longer, helper_hours, with_helper, with_overtime

    tried = day.tried

    def ask(helped: TryOut) -> tuple[_Found, bool]:
        found = day.yielding(day.by, BRIEF, helped, near=near)
        return found, day.fits(found)

    in_lots = _tried(day.rest_of(frozenset(day.by)))
    if len(in_lots.instance.tasks) > len(tried.instance.tasks):
        found, fits = ask(in_lots)
        yield HelpAnswer(kind="split", ready=found.ready, fits=fits, beside=len(found.beside))
    people = can_stay_longer(tried)
    if people:
        found, fits = ask(with_overtime(tried, people))
        who = beyond(tried, found.looked.schedule) if fits else people
        fewer: list[HelpAnswer] = []
        for name in who if fits and len(who) > 1 else ():
            alone, enough = ask(with_overtime(tried, [name]))
            if enough:
                fewer.append(HelpAnswer(kind="overtime", who=(name,), ready=alone.ready, fits=True))
                break
        late = len(found.beside)
        yield from fewer or [HelpAnswer(kind="overtime", who=who, ready=found.ready, fits=fits, beside=late)]
    helped = with_helper(tried)
    if helped is not tried:
        found, fits = ask(helped)
        hours = helper_hours(found.looked.schedule, helped.instance)
        yield HelpAnswer(
            kind="person",
            span=hours[:2] if hours else None,
            places=hours[2] if hours else (),
            ready=found.ready,
            fits=fits,
            beside=len(found.beside),
        )
