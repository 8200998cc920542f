"""What holds for all tests: properties are tried on the same examples every time, and Ctrl-C is heard."""

from __future__ import annotations

import signal
import threading

from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None)
settings.load_profile("fixed")

if (
    threading.current_thread() is threading.main_thread()
    and signal.getsignal(signal.SIGINT) is signal.SIG_IGN
):
    # Tests started behind an "&" ignore it, and so would the programs that they start and interrupt.
    signal.signal(signal.SIGINT, signal.default_int_handler)
