"""True times: stopwatch studies, times from recorded days, learning, pressing by the recipe."""
