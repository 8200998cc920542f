"""Calls made in processes of this machine, several at a time, that end at once when Ctrl-C asks for it.

A process for each place, and a pipe to each; no thread, lock or queue between them, so that an interrupt can
strike anywhere and all that has to be done is to end the processes.
"""

from __future__ import annotations

import multiprocessing
import signal
import threading
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing.connection import wait
from traceback import format_exc
from typing import TYPE_CHECKING, Generic, TypeVar, cast

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Iterator, Sequence
    from multiprocessing.connection import Connection

T = TypeVar("T")
R = TypeVar("R")


@dataclass(frozen=True, slots=True)
class Lost:
    """In place of a result: the process ended before its call did, killed for want of memory, say."""

    words: str


def made_apart(
    function: Callable[[T], R], items: Sequence[T], *, at_a_time: int
) -> Generator[tuple[int, R | Lost], None, None]:
    """The function's results, each as soon as it is there.

    Parameters
    ----------
    function
        Can be sent to another process, as can items and results.
    at_a_time
        Processes, at least 1.

    Yields
    ------
    tuple
        The item's number and its result; `Lost` where its process ended before.

    Raises
    ------
    Exception
        What the function raised, with where it happened as a note.

    Notes
    -----
    However the iteration ends, closed or interrupted, no process is left.
    """
    crew: list[_Worker[T, R]] = []
    to_come = iter(enumerate(items))
    try:
        for number, item in to_come:
            _started(function, crew).give(number, item)
            if len(crew) == at_a_time:
                break
        busy = {one.pipe: one for one in crew}
        while busy:
            for pipe in wait(list(busy)):
                one = busy.pop(pipe)  # type: ignore[call-overload]  # only these pipes were waited for
                number, result = one.number, one.taken()
                following = next(to_come, None)
                if following is not None:
                    if isinstance(result, Lost):
                        one = _started(function, crew)
                    one.give(*following)
                    busy[one.pipe] = one
                yield number, result
    finally:
        for one in crew:
            one.process.kill()
        for one in crew:
            one.process.join()
            one.pipe.close()


class _Worker(Generic[T, R]):
    """A process that makes one call after the other, and what it is at."""

    def __init__(self, function: Callable[[T], R]) -> None:
        context = multiprocessing.get_context("spawn")
        self.number = -1
        self.pipe, there = context.Pipe()
        self.process = context.Process(target=_work, args=(function, there), daemon=True)
        self.process.start()
        # Held by the process alone, so that its end is the end of the pipe.
        there.close()

    def give(self, number: int, item: T) -> None:
        """Hand over the next item; what can't be handed over is found lost when it is taken."""
        self.number = number
        with suppress(BrokenPipeError, ConnectionResetError):
            self.pipe.send(item)

    def taken(self) -> R | Lost:
        """What came of the item."""
        try:
            result, error = self.pipe.recv()
        except (EOFError, ConnectionResetError):
            self.process.join()
            return Lost(f"its process ended with code {self.process.exitcode}")
        if error is not None:
            raise error
        return cast("R", result)


def _started(function: Callable[[T], R], crew: list[_Worker[T, R]]) -> _Worker[T, R]:
    """One more, which is among the crew before anything can interrupt."""
    with _put_off(), _deaf():
        crew.append(_Worker(function))
    return crew[-1]


def _work(function: Callable[[T], R], pipe: Connection) -> None:
    """Make calls until nobody asks for more."""
    # Where signals can't be held back, as in `_deaf`.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    with suppress(EOFError, BrokenPipeError, ConnectionResetError):
        while True:
            item = pipe.recv()
            answer: tuple[R | None, Exception | None]
            try:
                answer = function(item), None
            except Exception as error:  # handed to the process that asked, which raises it
                error.add_note(format_exc())
                answer = None, error
            pipe.send(answer)


@contextmanager
def _put_off() -> Iterator[None]:
    """What interrupts meanwhile does so at the end: a process must not be left half started."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    heard: list[int] = []
    handlers = {number: signal.getsignal(number) for number in _heard()}
    own = {number: handler for number, handler in handlers.items() if callable(handler)}
    for one in own:
        signal.signal(one, lambda number, _: heard.append(number))
    try:
        yield
    finally:
        for one, handler in own.items():
            signal.signal(one, handler)
        for number in heard[:1]:
            own[signal.Signals(number)](number, None)


@contextmanager
def _deaf() -> Iterator[None]:
    """What is started meanwhile never hears Ctrl-C, not even while it is still being loaded.

    Terminals send Ctrl-C to all processes; a new one would answer with a traceback until it could ignore it.
    It inherits which signals are held back in this thread.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    from multiprocessing.resource_tracker import ensure_running

    # It would be started by the first process, and let all signals through again.
    ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, (signal.SIGINT, signal.SIGHUP))
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _heard() -> list[signal.Signals]:
    """The signals by which people end a command, as far as there are such."""
    names = ("SIGINT", "SIGTERM", "SIGHUP")
    return [getattr(signal, name) for name in names if hasattr(signal, name)]
