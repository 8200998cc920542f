"""What `pressday times` does: a stopwatch study worked out, held against recipes, taken over."""
