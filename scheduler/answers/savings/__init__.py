"""The answers of `pressday savings`."""
