"""Small random shop days with every rule in play, for tests that compare readings of the rules.

Times are a few ticks only, so that ties, exact fits and breaks met by one tick are common.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from scheduler.domain.instance import (
    Choice,
    Circuit,
    Day,
    Instance,
    Job,
    Level,
    Machine,
    Mode,
    Operator,
    Platen,
    Precedence,
    SetupPart,
    SetupTable,
    Shift,
    Task,
)

DAY_TICKS = 100
NIGHT_TICKS = 40
PRESSURES = 3
ARTWORKS = 4
TEMPERATURES = 3


def random_day(
    seed: int,
    *,
    tasks: int = 6,
    days: int | None = None,
    machines: int = 2,
    operators: int = 2,
    platens: int = 3,
    jobs: int | None = None,
) -> Instance:
    """A random but valid small shop day; the same arguments give the same instance.

    In play: skills and paces, breaks, shifts, overtime, platens fewer than presses with some
    mounted at tick 0, temperatures (hands-off, cooling slower than heating), pressure, artwork
    that goes with the platen, warm-ups on a circuit that bears one press at a time, garments that
    cool, two presses side by side under one person, precedences, choices between a pair of placements
    and two runs and between a whole run and its lots, releases, due dates, packing, runs that need no
    operator, presses without platen.

    Parameters
    ----------
    seed
        Decides everything that the other arguments leave open.
    tasks
        Exact number of tasks, those of options that exclude each other included.
    days
        Heating days; None: one, and two for about every fourth seed, one of them in two parts now and then.
    jobs
        Orders; None: about one for two tasks.
    """
    rng = Random(f"day {seed} {tasks} {machines} {operators} {platens}")
    beside = Random(f"mates {seed}")
    count = days if days is not None else (2 if rng.random() < 0.25 else 1)
    heating = _days(rng, count)
    kinds = tuple(
        Platen(id=f"P{n}", count=max(1, rng.choice((1, 1, 2, machines)))) for n in range(max(1, platens))
    )
    parts = _parts(rng, len(kinds))
    presses = _machines(rng, machines, kinds)
    fits = {press.id: _fitting(rng, press, kinds) for press in presses}
    crew = tuple(Operator(id=f"O{n}", shifts=_shifts(rng, heating)) for n in range(operators))
    skilled = {press.id: _skilled(rng, crew) for press in presses}
    pace = {person.id: rng.choice((0.8, 1.0, 1.0, 1.25)) for person in crew}
    orders = tuple(
        _job(rng, n, heating) for n in range(jobs if jobs is not None else max(1, (tasks + 1) // 2))
    )
    # Without an operator at all, every run must be one that needs nobody.
    unattended = {press.id: not crew or rng.random() < 0.15 for press in presses}

    def modes(work: int, pair: bool) -> tuple[Mode, ...]:
        able = rng.sample(presses, rng.randint(1, min(len(presses), 1 if pair else 2)))
        temperature, pressure, artwork = (rng.randrange(size) for size in (TEMPERATURES, PRESSURES, ARTWORKS))
        warm_up = rng.choice((0, 4, 6, 9))
        found = []
        for press in sorted(able, key=lambda press: press.id):
            for kind in rng.sample(fits[press.id], rng.randint(1, min(2, len(fits[press.id])))):
                value = len(kinds) if kind is None else [each.id for each in kinds].index(kind)
                found.append(
                    Mode(
                        id=f"{press.id}/{kind or 'none'}",
                        machine=press.id,
                        platen=kind,
                        state=(value, pressure, artwork, temperature),
                        work=work if unattended[press.id] else 0,
                        operators=()
                        if unattended[press.id]
                        else tuple((name, max(1, round(work / pace[name]))) for name in skilled[press.id]),
                        warm_up=warm_up,
                    )
                )
        if beside.random() < 0.35:
            found += mated(found, work)
        return tuple(found)

    def mated(alone: list[Mode], work: int) -> list[Mode]:
        """The last way once more, with another press beside it: quicker, and not always possible."""
        like = alone[-1]
        others = [p for p in presses if p.id != like.machine and like.platen in fits[p.id]]
        if not others or unattended[like.machine]:
            return []
        mate = beside.choice(others).id
        people = [name for name in skilled[like.machine] if name in skilled[mate]]
        if not people or unattended[mate]:
            return []
        return [
            replace(
                like,
                id=f"{like.machine}+{mate}/{like.platen or 'none'}",
                operators=tuple((name, max(1, round(0.6 * work / pace[name]))) for name in people),
                mate=mate,
                mate_warm_up=0 if like.warm_up == 0 else beside.choice((4, 6, 9)),
            )
        ]

    made: list[Task] = []
    choices: list[Choice] = []
    precedences: list[Precedence] = []

    def add(
        name: str, job: str, bundles: tuple[str, ...], release: int, work: int, pair: bool = False
    ) -> str:
        made.append(
            Task(
                id=name,
                job=job,
                release=release,
                cooling=rng.choice((0, 0, 0, 3, 8)),
                bundles=bundles,
                pressings=work * (2 if pair else 1),
                modes=modes(work, pair),
            )
        )
        return name

    group = 0
    while len(made) < tasks:
        room = tasks - len(made)
        group += 1
        job = rng.choice(orders).id
        release = _release(rng, heating)
        work = rng.randint(2, 12)
        bundle = f"G{group}"
        kind = rng.choice(("one", "pair", "lots", "two"))
        if kind == "pair" and room >= 3:
            both = add(f"R{group}-both", job, (bundle,), release, work + 2, pair=True)
            left = add(f"R{group}-left", job, (bundle,), release, work)
            right = add(f"R{group}-right", job, (bundle,), release, work)
            choices.append(Choice(id=f"C{group}", options=((both,), (left, right))))
            if rng.random() < 0.3:
                precedences.append(Precedence(before=left, after=right))
        elif kind == "lots" and room >= 3:
            parts_of = (f"{bundle}.1", f"{bundle}.2")
            complete = add(f"R{group}-all", job, parts_of, release, 2 * work)
            lots = tuple(
                add(f"R{group}-lot{n}", job, (part,), release, work) for n, part in enumerate(parts_of, 1)
            )
            choices.append(Choice(id=f"C{group}", options=((complete,), lots)))
            if room >= 4 and rng.random() < 0.6:  # a second placement on the same garments
                add(f"R{group}-back", job, parts_of, release, work)
        elif kind == "two" and room >= 2:
            first = add(f"R{group}-inside", job, (bundle,), release, work)
            second = add(f"R{group}-front", job, (bundle,), _release(rng, heating), work)
            if rng.random() < 0.7:
                precedences.append(Precedence(before=first, after=second))
        else:
            add(f"R{group}", job, (bundle,) if rng.random() < 0.7 else (), release, work)

    # Now and then something of one order waits for something of another; by position: no cycles.
    for _ in range(tasks // 6):
        earlier, later = sorted(rng.sample(range(tasks), 2))
        pair = Precedence(before=made[earlier].id, after=made[later].id)
        if pair not in precedences and rng.random() < 0.3:
            precedences.append(pair)

    return Instance(
        name=f"random day {seed}",
        horizon=heating[-1].end,
        days=heating if days is not None else _cut(Random(f"cut {seed}"), heating),
        setup_parts=parts,
        machines=presses,
        platens=kinds,
        circuits=(Circuit(id="L1", limit_w=2000),),
        operators=crew,
        jobs=orders,
        tasks=tuple(made),
        choices=tuple(choices),
        precedences=tuple(precedences),
    )


def side_by_side(instance: Instance) -> Instance:
    """The same day with no ways left but those at two presses, where there are any, and platens for them."""
    tasks = [
        replace(task, modes=tuple(mode for mode in task.modes if mode.mate) or task.modes)
        for task in instance.tasks
    ]
    platens = [replace(platen, count=max(2, platen.count)) for platen in instance.platens]
    return replace(instance, tasks=tuple(tasks), platens=tuple(platens))


def _days(rng: Random, count: int) -> tuple[Day, ...]:
    first = rng.choice((0, 5))
    return tuple(
        Day(
            start=first + n * (DAY_TICKS + NIGHT_TICKS), end=first + n * (DAY_TICKS + NIGHT_TICKS) + DAY_TICKS
        )
        for n in range(count)
    )


def _cut(rng: Random, days: tuple[Day, ...]) -> tuple[Day, ...]:
    """Now and then a day in two that touch, as when everybody was out; shifts may go on over that."""
    if rng.random() < 0.8:
        return days
    cut = rng.choice(days)
    at = cut.start + rng.randint(DAY_TICKS // 4, 3 * DAY_TICKS // 4)
    parts = (Day(start=cut.start, end=at), Day(start=at, end=cut.end))
    return tuple(part for day in days for part in (parts if day is cut else (day,)))


def _parts(rng: Random, kinds: int) -> tuple[SetupPart, ...]:
    """Platen, pressure and artwork by hand; temperature without, heating 1 and cooling 2 to 4 a step."""
    swap = (*(rng.randint(2, 5) for _ in range(kinds)), 0)
    pressure = SetupTable(from_none=(1,) * PRESSURES, by_target=(rng.randint(0, 2),) * PRESSURES)
    artwork = SetupTable(from_none=(2,) * ARTWORKS, by_target=(2,) * ARTWORKS)
    return (
        SetupPart(name="platen", goes_with_platen=True, tables=(SetupTable(from_none=swap, by_target=swap),)),
        SetupPart(name="pressure", tables=(pressure,)),
        SetupPart(name="artwork", goes_with_platen=True, tables=(artwork,)),
        SetupPart(
            name="temperature",
            hands_off=True,
            ends_when_cold=True,
            tables=(_temperatures(1, 2), _temperatures(2, 4)),
        ),
    )


def _temperatures(heat: int, cool: int) -> SetupTable:
    steps = range(TEMPERATURES)
    return SetupTable(
        from_none=tuple(heat * to for to in steps),
        ticks=tuple(tuple(heat * (to - at) if to > at else cool * (at - to) for to in steps) for at in steps),
    )


def _machines(rng: Random, count: int, kinds: tuple[Platen, ...]) -> tuple[Machine, ...]:
    free = {kind.id: kind.count for kind in kinds}
    presses = []
    for number in range(count):
        rack = [name for name, left in free.items() if left > 0]
        mounted = rng.choice(rack) if rack and rng.random() < 0.6 else None
        value = None
        if mounted is not None:
            free[mounted] -= 1
            value = [kind.id for kind in kinds].index(mounted)
        presses.append(
            Machine(
                id=f"M{number}",
                tables=(0, 0, 0, rng.randrange(2)),
                initial=(
                    value,
                    rng.choice((None, rng.randrange(PRESSURES))),
                    None if mounted is None else rng.choice((None, rng.randrange(ARTWORKS))),
                    None,
                ),
                mounted=mounted,
                circuit=rng.choice(("L1", "L1", None)),
                watts=rng.choice((900, 1400)),
            )
        )
    return tuple(presses)


def _fitting(rng: Random, press: Machine, kinds: tuple[Platen, ...]) -> list[str | None]:
    """Platens that fit a press, the mounted one always; a few presses take some runs without any."""
    names = rng.sample([kind.id for kind in kinds], rng.randint(1, len(kinds)))
    if press.mounted is not None and press.mounted not in names:
        names.append(press.mounted)
    found: list[str | None] = [*sorted(names)]
    if rng.random() < 0.2:
        found.append(None)
    return found


def _shifts(rng: Random, days: tuple[Day, ...]) -> tuple[Shift, ...]:
    """One shift a day or none, with up to two breaks, one of them now and then in the overtime."""
    shifts = []
    for number, day in enumerate(days):
        if number and rng.random() < 0.2:
            continue
        start = day.start + rng.choice((0, 5, 12))
        end = day.end - rng.choice((8, 15, 30))
        overtime_end = min(day.end, end + rng.choice((0, 0, 8)))
        breaks = []
        at = start + rng.randint(15, 25)
        for _ in range(rng.choice((0, 1, 1, 2))):
            length = rng.choice((3, 6))
            if at + length <= overtime_end:
                breaks.append((at, at + length))
            at += length + rng.randint(15, 30)
        if overtime_end > end and rng.random() < 0.3 and (not breaks or breaks[-1][1] < end):
            breaks.append((end, end + 2))
        shifts.append(Shift(start=start, end=end, overtime_end=overtime_end, breaks=tuple(breaks)))
    return tuple(shifts)


def _skilled(rng: Random, crew: tuple[Operator, ...]) -> list[str]:
    """Who may run a press: everybody, or one person only."""
    names = [person.id for person in crew]
    return [rng.choice(names)] if names and rng.random() < 0.35 else names


def _job(rng: Random, number: int, days: tuple[Day, ...]) -> Job:
    day = rng.choice(days)
    due = None if rng.random() < 0.1 else day.start + rng.randint(20, DAY_TICKS)
    return Job(id=f"J{number}", due=due, weight=rng.choice((1, 1, 2, 3)), packing=rng.choice((0, 2, 5)))


def _release(rng: Random, days: tuple[Day, ...]) -> int:
    """Mostly from the start; else during the first day, or on a later morning."""
    if rng.random() < 0.7:
        return 0
    day = rng.choice((days[0], days[0], days[-1]))
    return day.start + rng.randint(5, DAY_TICKS // 2)


def mutated(day: Instance, rng: Random) -> Instance:
    """The day with what `random_day` never makes, each now and then.

    In play: presses that are hot, under way until later, or warming up since before the day; orders of
    which something is ready; runs of no work; days that touch; orders that weigh nothing; other levels
    in other orders; people with very unlike hours; setup tables that are no distances.
    """
    days = _touching(day.days) if rng.random() < 0.35 else day.days
    idle = rng.choice((0.0, 0.1, 0.1, 0.5))
    return replace(
        day,
        days=days,
        setup_parts=tuple(_uneven(rng, part) if rng.random() < 0.3 else part for part in day.setup_parts),
        machines=tuple(_begun(rng, press, days[0].start) for press in day.machines),
        operators=tuple(
            replace(person, shifts=tuple(_unlike(rng, shift) for shift in person.shifts))
            for person in day.operators
        ),
        jobs=tuple(_other_job(rng, job, days) for job in day.jobs),
        tasks=tuple(_other_task(rng, task, days, idle) for task in day.tasks),
        levels=rng.choice(OTHER_LEVELS) if rng.random() < 0.4 else day.levels,
    )


OTHER_LEVELS: tuple[tuple[Level, ...], ...] = (
    ("left_over", "changeover", "lateness", "finish"),
    ("left_over", "lateness", "overtime", "finish"),
    ("left_over", "finish", "changeover"),
    ("left_over", "changeovers", "changeover", "finish"),
    ("left_over", "lateness", "changeovers", "changeover", "overtime"),
)


def _touching(days: tuple[Day, ...]) -> tuple[Day, ...]:
    """Every day lasts until the next begins."""
    ends = [*(later.start for later in days[1:]), days[-1].end]
    return tuple(replace(day, end=end) for day, end in zip(days, ends, strict=True))


def _uneven(rng: Random, part: SetupPart) -> SetupPart:
    """With some entries changed, so that going by way of a third value may be quicker."""

    def changed(row: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(ticks if rng.random() < 0.6 else rng.choice((0, 1, 3, 7, 12)) for ticks in row)

    tables = (
        SetupTable(
            from_none=changed(table.from_none),
            by_target=changed(table.by_target),
            ticks=tuple(map(changed, table.ticks)),
        )
        for table in part.tables
    )
    return replace(part, tables=tuple(tables))


def _begun(rng: Random, press: Machine, begin: int) -> Machine:
    match rng.randrange(6):
        case 0:
            initial = (*press.initial[:-1], rng.choice((None, rng.randrange(TEMPERATURES))))
            return replace(press, hot=True, free_from=begin + rng.choice((0, 5, 20)), initial=initial)
        case 1:
            return replace(press, free_from=begin + rng.choice((5, 15)))
        case 2 if begin:
            return replace(press, warming=(begin - rng.randint(1, 4), begin + rng.randint(0, 6)))
    return press


def _unlike(rng: Random, shift: Shift) -> Shift:
    """Often a much shorter one somewhere in it."""
    if rng.random() < 0.6:
        return shift
    start = shift.start + rng.randint(0, 30)
    end = min(shift.end, start + rng.randint(15, 45))
    overtime_end = min(shift.overtime_end, end + rng.choice((0, 0, 10)))
    if start >= end:
        return shift
    breaks = tuple((a, b) for a, b in shift.breaks if start <= a and b <= overtime_end)
    return Shift(start=start, end=end, overtime_end=overtime_end, breaks=breaks)


def _other_job(rng: Random, job: Job, days: tuple[Day, ...]) -> Job:
    if rng.random() < 0.2:
        job = replace(job, ready=rng.choice((5, 30, 90, 150)))
    if rng.random() < 0.1:
        job = replace(job, weight=0)
    if job.due is not None and rng.random() < 0.4:
        job = replace(job, due=rng.choice(days).start + rng.randint(5, 60))
    return job


def _other_task(rng: Random, task: Task, days: tuple[Day, ...], idle: float) -> Task:
    if rng.random() < idle:
        nothing = (
            replace(mode, work=0, operators=tuple((name, 0) for name, _ in mode.operators))
            for mode in task.modes
        )
        task = replace(task, modes=tuple(nothing))
    if rng.random() < 0.2:
        task = replace(task, release=rng.choice(days).start + rng.choice((0, 10, 40, 70)))
    return task
