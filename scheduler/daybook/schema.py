"""The tables of a day book, and how an older book becomes one of today."""

from __future__ import annotations

import sqlite3

APPLICATION_ID = 0x50445942
"""Written into every day book ("PDYB"), so that it can be told from other SQLite files."""

FORM = 3
"""Number of the tables' form (`user_version`); raised whenever they change, with a step in `STEPS`."""

TABLES = ("plans", "plan_ends", "events")


def _append_only(table: str, same: str) -> tuple[str, ...]:
    """Triggers that keep a table from being changed, whichever program tries."""
    refuse = "SELECT RAISE(ABORT, 'the day book is only ever added to')"
    return (
        f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} BEGIN {refuse}; END",
        f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} BEGIN {refuse}; END",
        # INSERT OR REPLACE deletes without asking the trigger above.
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
        f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {same} OR number = NEW.number) BEGIN {refuse}; END",
    )


_FORM_1 = (
    """CREATE TABLE plans (
        number INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        day TEXT NOT NULL,
        version INTEGER NOT NULL CHECK (version >= 1),
        made_at TEXT NOT NULL,
        form INTEGER NOT NULL,
        fingerprint TEXT NOT NULL,
        staged TEXT NOT NULL,
        plan TEXT NOT NULL,
        UNIQUE (day, version)
    ) STRICT""",
    """CREATE TABLE plan_ends (
        number INTEGER PRIMARY KEY,
        plan TEXT NOT NULL UNIQUE REFERENCES plans (id),
        outcome TEXT NOT NULL CHECK (outcome IN ('in place', 'dropped')),
        folder TEXT NOT NULL,
        at TEXT NOT NULL
    ) STRICT""",
    """CREATE TABLE events (
        number INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        day TEXT NOT NULL,
        version INTEGER NOT NULL CHECK (version >= 1),
        kind TEXT NOT NULL,
        run TEXT NOT NULL,
        who TEXT NOT NULL,
        at TEXT,
        pieces INTEGER CHECK (pieces >= 0),
        spoiled INTEGER CHECK (spoiled >= 0),
        reason TEXT NOT NULL,
        press TEXT NOT NULL,
        corrects TEXT NOT NULL,
        entered TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX events_of_a_day ON events (day)",
    *_append_only("plans", "id = NEW.id OR (day = NEW.day AND version = NEW.version)"),
    *_append_only("plan_ends", "plan = NEW.plan"),
    *_append_only("events", "id = NEW.id"),
)

_FORM_2 = (
    "ALTER TABLE events ADD COLUMN until TEXT",
    "ALTER TABLE events ADD COLUMN subject TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE events ADD COLUMN data TEXT NOT NULL DEFAULT ''",
)
"""A press down, a person away, a late box, a changed order."""

_FORM_3 = ("ALTER TABLE events ADD COLUMN led_to INTEGER CHECK (led_to >= 1)",)
"""The version that the day was planned again as because of it."""

STEPS: tuple[tuple[str, ...], ...] = (_FORM_1, _FORM_2, _FORM_3)
"""Step n makes a book of form n + 1 of one of form n; a new book goes through all of them."""


def upgrade(connection: sqlite3.Connection, form: int) -> None:
    """Bring the tables from a form to today's, inside the transaction that is open."""
    for step in STEPS[form:]:
        for statement in step:
            connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {len(STEPS)}")
