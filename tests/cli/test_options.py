"""What the help says of options that several commands take."""

from __future__ import annotations

from typing import get_args

from scheduler.cli.options import StopAfter, StopAsking, StopEach
from scheduler.engine.effort import EFFORTS


def test_the_help_of_seconds_says_each_limit() -> None:
    for option in (StopAfter, StopAsking, StopEach):
        words = " ".join(get_args(option)[1].help.split())
        assert all(f"{effort.seconds:g} s ({name})" in words for name, effort in EFFORTS.items())
        assert ("writing the sheets come on top" in words) is (option is StopAfter)
