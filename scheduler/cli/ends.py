"""How a command ends: words and JSON for what went wrong, and the exit codes."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

import typer

from scheduler.answers.faults import faults_json
from scheduler.cli.terminal import put_json, say, say_faults
from scheduler.exceptions import BadInput, BrokenPlan, NoPlan, WrongUsage

if TYPE_CHECKING:
    from collections.abc import Iterator


BAD_INPUT = 1
NO_PLAN = 3
DEFECT = 70
"""What nobody foresaw: a code of its own, so that who runs commands by a program can tell it apart."""


@contextmanager
def told(*, as_json: bool, nothing: str) -> Iterator[None]:
    """Turn what a command raises into words, or one JSON document, and an exit code.

    Parameters
    ----------
    as_json
        Write one JSON document to standard output; the words go to standard error.
    nothing
        What has not been done because of bad input: "Nothing was planned."
    """
    try:
        yield
    except BadInput as error:
        say_faults(error.faults, nothing, to_error=as_json)
        if as_json:
            put_json(faults_json(error.faults))
        raise typer.Exit(BAD_INPUT) from None
    except WrongUsage as error:
        raise typer.BadParameter(str(error), param_hint=error.option or None) from None
    except NoPlan as error:
        raise _no_plan(str(error), as_json) from None
    except BrokenPlan as error:
        words = (
            "The plan that was found breaks a rule of the shop, so nothing was written. "
            f"This is a defect of Pressday, not of your files; please report it with both files.\n{error}"
        )
        raise _no_plan(words, as_json) from None
    except KeyboardInterrupt:
        raise _no_plan("Stopped; nothing was written.", as_json) from None


def _no_plan(words: str, as_json: bool) -> typer.Exit:
    say(words, to_error=True)
    if as_json:
        put_json({**faults_json(()), "no_plan": words})
    return typer.Exit(NO_PLAN)
