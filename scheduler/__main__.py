"""Where `pressday` and `python -m scheduler` begin.

Nothing is imported before Ctrl-C is looked after: reading the program itself takes longer than a finger.
"""

from __future__ import annotations

import sys

STOPPED = 130
"""Exit code of Ctrl-C before a command was at its work: the one that shells know it by."""


def run() -> None:
    """Run the command line and leave with its exit code; say so when it was stopped before its work."""
    sys.unraisablehook = heard_again
    try:
        from scheduler.cli.main import run as run_commands

        run_commands()
    except KeyboardInterrupt:
        _stopped()
    except SystemExit as end:
        # What interrupts the reading of a command line is turned into this code on the way.
        if end.code != STOPPED:
            raise
        _stopped()
    finally:
        import signal

        # All is said: a Ctrl-C that comes late would only break into the interpreter's own end.
        signal.signal(signal.SIGINT, signal.SIG_IGN)


def heard_again(raised: sys.UnraisableHookArgs) -> None:
    """Let a Ctrl-C that struck where nothing can be raised, as when an object goes, strike again soon.

    Python would print a traceback and forget it.
    """
    if not issubclass(raised.exc_type, KeyboardInterrupt):
        sys.__unraisablehook__(raised)
        return
    import _thread
    import threading

    threading.Timer(0.01, _thread.interrupt_main).start()


def _stopped() -> None:
    sys.stderr.write("Stopped before anything was done.\n")
    # Not chained to the interrupt: its lines say nothing to an owner.
    raise SystemExit(STOPPED) from None


if __name__ == "__main__":
    run()
