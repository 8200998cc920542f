"""Short codes that tell one thing from another on paper."""

from __future__ import annotations

import hashlib
import json

LETTERS = "ACDEFHJKMNPRTUWXY3479"
"""Capital letters and digits of which no two look alike in a hurried hand."""


def short_code(data: object, length: int) -> str:
    """The code of some JSON values: the same values have the same code, whatever machine made it."""
    digest = hashlib.sha256(json.dumps(data, sort_keys=True).encode()).digest()
    number = int.from_bytes(digest, "big")
    code = ""
    for _ in range(length):
        number, place = divmod(number, len(LETTERS))
        code += LETTERS[place]
    return code
