"""The answers of `pressday times`."""
