"""The independent check: reads a schedule by the rules of `docs/model.md`, without engine or model."""

from scheduler.verify.check import all_rules, check

__all__ = ["all_rules", "check"]
