"""Rule: a cold press is heated before its first run, and circuits bear the heating."""

from __future__ import annotations

from collections import defaultdict

from scheduler.domain.schedule import Break, WarmUp
from scheduler.verify.overlap import Stretch, excesses
from scheduler.verify.view import Run, View, whole

BEGUN = "what was switched on before"


def check_warm_up(view: View) -> list[Break]:
    """Check the warm-up of every cold run that needs one, and the watts on every circuit.

    The warm-up lies in the run's day, is of the length that its mode states, begins when the
    machine's last run has ended and ends by the start of pressing. A machine has one a day at most
    and none that no cold run needs.
    """
    # A press that was on before the first day's start is heated from then.
    breaks = [_unreadable(warm_up) for warm_up in view.unreadable_warm_ups]
    for machine, runs in view.by_machine.items():
        given: dict[int | None, list[WarmUp]] = defaultdict(list)
        for warm_up in view.warm_ups.get(machine, ()):
            given[_day(view, warm_up)].append(warm_up)
        for run in runs:
            if run.cold and run.warm_up > 0:
                found = given[run.day]
                if found:
                    breaks += _pair_breaks(view, run, found.pop(0))
                else:
                    message = (
                        f"{run.id} starts on {machine} at tick {run.start} "
                        f"without the warm-up of {run.warm_up} ticks"
                    )
                    breaks.append(_break((run.id,), machine, run.start, run.warm_up, message))
        for needless in (warm_up for found in given.values() for warm_up in found):
            span = f"[{needless.start}, {needless.end})"
            message = f"{machine} is heated over {span}, which no first run of a day needs"
            breaks.append(
                _break((), machine, needless.start, max(1, abs(needless.end - needless.start)), message)
            )
    return breaks + _circuit_breaks(view)


def _break(tasks: tuple[str, ...], machine: str | None, at: int, amount: int, message: str) -> Break:
    return Break(rule="warm_up", tasks=tasks, machine=machine, at=at, amount=amount, message=message)


def _unreadable(warm_up: WarmUp) -> Break:
    if whole(warm_up.start, warm_up.end) is None:
        reason = f"a time that is no whole number of ticks: ({warm_up.start}, {warm_up.end})"
    else:
        reason = "a machine that is not there"
    return _break((), str(warm_up.machine), 0, 1, f"a warm-up of {warm_up.machine} names {reason}")


def _day(view: View, warm_up: WarmUp) -> int | None:
    """Index of the day that the warm-up meant: the first that isn't over when it begins."""
    return next((number for number, day in enumerate(view.days) if warm_up.start < day.end), None)


def _pair_breaks(view: View, run: Run, warm_up: WarmUp) -> list[Break]:
    breaks = []
    machine = run.machine.id
    what = f"the warm-up of {machine} over [{warm_up.start}, {warm_up.end}) for {run.id}"
    length = warm_up.end - warm_up.start
    if length != run.warm_up:
        message = f"{what} lasts {length} ticks, but takes {run.warm_up}"
        breaks.append(_break((run.id,), machine, warm_up.start, abs(length - run.warm_up), message))
    begun = run.machine.warming[0] if run.machine.warming and run.day == 0 else None
    early = view.days[max(run.day, 0)].start - warm_up.start
    if begun is not None and warm_up.start != begun:
        message = f"{what} begins at {warm_up.start}, but it has been on since {begun}"
        breaks.append(_break((run.id,), machine, warm_up.start, abs(warm_up.start - begun), message))
    elif early > 0 and begun is None:
        message = f"{what} begins {early} ticks before the day"
        breaks.append(_break((run.id,), machine, warm_up.start, early, message))
    if run.predecessor is not None and warm_up.start < run.predecessor.end:
        short = run.predecessor.end - warm_up.start
        message = f"{what} begins {short} ticks before {run.predecessor.id} ends there"
        breaks.append(_break((run.predecessor.id, run.id), machine, warm_up.start, short, message))
    if run.predecessor is None and begun is None and warm_up.start < run.machine.free_from:
        short = run.machine.free_from - warm_up.start
        message = f"{what} begins {short} ticks before the machine is free"
        breaks.append(_break((run.id,), machine, warm_up.start, short, message))
    if warm_up.end > run.start:
        late = warm_up.end - run.start
        message = f"{what} ends {late} ticks after pressing starts at {run.start}"
        breaks.append(_break((run.id,), machine, run.start, late, message))
    return breaks


def _circuit_breaks(view: View) -> list[Break]:
    heating: dict[str, list[Stretch]] = {circuit.id: [] for circuit in view.instance.circuits}
    for machine in view.instance.machines:
        if machine.circuit is not None:
            # One that was begun before counts over the stretch that the instance states for it.
            heating[machine.circuit] += [
                Stretch(warm_up.start, warm_up.end, machine.watts, machine.id)
                for warm_up in view.warm_ups.get(machine.id, ())
                if machine.warming is None or machine.hot or warm_up.start != machine.warming[0]
            ]
            if machine.warming is not None:
                heating[machine.circuit].append(Stretch(*machine.warming, machine.watts, BEGUN))
    breaks = []
    for circuit in view.instance.circuits:
        # What was switched on before is no break by itself: nothing that is planned now adds to it.
        for excess in excesses(heating[circuit.id], circuit.limit_w, excused=BEGUN):
            message = (
                f"at tick {excess.at} {', '.join(dict.fromkeys(excess.names))} heat at once "
                f"and draw {circuit.limit_w + excess.amount} W; "
                f"circuit {circuit.id} bears {circuit.limit_w} W (amount: watts)"
            )
            breaks.append(_break((), excess.names[-1], excess.at, excess.amount, message))
    return breaks
