"""`python -m scheduler` does what `pressday` does."""

from scheduler.cli.main import run

if __name__ == "__main__":
    run()
