"""`python -m scheduler.engine.warm`: compile the search once, so that later commands find it ready."""

from scheduler.engine.backend import warm

if __name__ == "__main__":
    warm()
