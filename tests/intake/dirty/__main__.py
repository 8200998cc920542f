"""Many dirtied sheets, read and judged.

python -m tests.intake.dirty --count 10000 --seed 1
python -m tests.intake.dirty --bytes --count 2000 --seed 1
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter

from tests.intake.dirty.broken import judged_bytes
from tests.intake.dirty.judge import judged


def main() -> int:
    """Judge the sheets asked for; 1 when one was read wrongly."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="Begin with this file.")
    parser.add_argument("--show", type=int, default=20, help="Print at most so many that are wrong.")
    parser.add_argument("--bytes", action="store_true", help="Damage the bytes of files instead.")
    asked = parser.parse_args()
    outcomes: Counter[str] = Counter()
    wrong = []
    for number in range(asked.first, asked.first + asked.count):
        seed = asked.seed * 1_000_000 + number
        wrong += judged_bytes(seed, outcomes) if asked.bytes else judged(seed, outcomes)
        if number % 500 == 499:
            print(f"up to file {number}: {len(wrong)} read wrongly so far", file=sys.stderr, flush=True)
    for line in wrong[: asked.show]:
        print(line)
    for name, count in sorted(outcomes.items()):
        print(f"{count:7} {name}")
    print(f"{asked.count} files, {len(wrong)} read wrongly")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
