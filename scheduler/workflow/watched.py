"""A search run beside the thread that shows it, so that Ctrl-C ends it with its best plan."""

from __future__ import annotations

import signal
import threading
from contextlib import contextmanager
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from types import FrameType

    from scheduler.domain.schedule import Result
    from scheduler.engine.solve import Progress
    from scheduler.workflow.owner import Show


REDRAW_S = 0.2


class Search(Protocol):
    """The engine's search, with everything but the reporting already given."""

    def __call__(self, *, progress: Callable[[Progress], None], stop: Callable[[], bool]) -> Result: ...


def watched(search: Search, show: Show) -> Result:
    """Run the search beside this thread, show its state, and let Ctrl-C stop it with its best plan.

    A second Ctrl-C gives up.

    Raises
    ------
    KeyboardInterrupt
        On the second Ctrl-C.
    """
    latest: list[Progress] = []
    outcome: list[Result] = []
    trouble: list[BaseException] = []
    stop = threading.Event()

    def keep(state: Progress) -> None:
        latest[:] = [state]

    def work() -> None:
        try:
            outcome.append(search(progress=keep, stop=stop.is_set))
        except BaseException as error:  # handed to the main thread, which raises it
            trouble.append(error)

    thread = threading.Thread(target=work, name="search", daemon=True)
    with interrupts(stop):
        thread.start()
        while True:
            thread.join(REDRAW_S)
            # Before it is drawn: what is drawn last must be what the search said last.
            over = not thread.is_alive()
            show.draw(latest[0] if latest else None, stop.is_set())
            if over:
                break
    if trouble:
        raise trouble[0]
    return outcome[0]


@contextmanager
def interrupts(stop: threading.Event | None = None) -> Iterator[None]:
    """The first Ctrl-C sets `stop`, the second one interrupts as usual; without `stop` the first one does.

    So do being told to end (a shutdown, a time limit) and, where there is such a thing, a closed terminal.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def handle(number: int, frame: FrameType | None) -> None:
        if stop is None or stop.is_set():
            raise KeyboardInterrupt
        stop.set()

    names = ("SIGINT", "SIGTERM", "SIGHUP")
    heard = [getattr(signal, name) for name in names if hasattr(signal, name)]
    # What is ignored stays so: the terminal may be meant to be closed.
    heard = [number for number in heard if signal.getsignal(number) not in (signal.SIG_IGN, None)]
    before = [signal.signal(number, handle) for number in heard]
    try:
        yield
    finally:
        for number, handler in zip(heard, before, strict=True):
            signal.signal(number, handler)
