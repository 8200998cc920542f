"""Shop and orders to an instance for the engine, and a checked schedule back to trade words."""

from scheduler.planning.assemble import assemble_plan
from scheduler.planning.build import build_day, day_faults

__all__ = ["assemble_plan", "build_day", "day_faults"]
