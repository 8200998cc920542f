"""Rule: what must be pressed first is pressed first."""

from __future__ import annotations

from scheduler.domain.schedule import Break
from scheduler.verify.view import View


def check_precedence(view: View) -> list[Break]:
    """Check `s_q >= e_p + cooling_p` for p before q, and that q is left over when p is.

    Nothing is asked when p or q belongs to an option that isn't taken.
    """
    breaks = []
    for pair in view.instance.precedences:
        after = view.by_task.get(pair.after, ())
        if not after:
            continue
        later = min(after, key=lambda run: run.start)
        if pair.before in view.left_over:
            breaks.append(
                Break(
                    rule="precedence",
                    tasks=(pair.before, pair.after),
                    machine=later.machine.id,
                    at=later.start,
                    amount=1,
                    message=f"{pair.after} is done although {pair.before}, "
                    "which must come before it, is left over (amount: runs)",
                )
            )
        before = view.by_task.get(pair.before, ())
        if not before:
            continue
        earlier = max(before, key=lambda run: run.ready)
        if later.start < earlier.ready:
            short = earlier.ready - later.start
            breaks.append(
                Break(
                    rule="precedence",
                    tasks=(pair.before, pair.after),
                    machine=later.machine.id,
                    at=later.start,
                    amount=short,
                    message=f"{pair.after} starts on {later.machine.id} at tick {later.start}, {short} ticks "
                    f"before {pair.before}, which must come first, has ended and cooled at {earlier.ready}",
                )
            )
    return breaks
