"""A shop folder and a way to run commands, for the tests of this folder."""

from tests.support.commands import *  # noqa: F403
