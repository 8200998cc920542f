"""`python -m scheduler.engine.warm`: compile the search once, so that later commands find it ready.

With a file as argument: run the machine code in it, and end with 1 unless it does what the source does.
"""

import sys
from pathlib import Path

from scheduler.engine.backend import from_file, plain, warm
from scheduler.engine.exercise import exercise

if __name__ == "__main__":
    if len(sys.argv) > 1:
        raise SystemExit(exercise(from_file(Path(sys.argv[1]))) != exercise(plain()))
    warm()
