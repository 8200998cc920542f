"""The answers of `pressday compare`."""
