-- A day book as form 1 wrote it.
PRAGMA application_id = 1346656578;
PRAGMA user_version = 1;
BEGIN TRANSACTION;
CREATE TABLE events (
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
    ) STRICT;
INSERT INTO "events" VALUES(1,'e1','2027-03-09',1,'finished','A-front','Ana','2027-03-09T08:50:00',29,1,'scorched','Press 1','','2027-03-09T09:00:00');
CREATE TABLE plan_ends (
        number INTEGER PRIMARY KEY,
        plan TEXT NOT NULL UNIQUE REFERENCES plans (id),
        outcome TEXT NOT NULL CHECK (outcome IN ('in place', 'dropped')),
        folder TEXT NOT NULL,
        at TEXT NOT NULL
    ) STRICT;
INSERT INTO "plan_ends" VALUES(1,'p1','in place','2027-03-09','2027-03-08T18:00:01');
CREATE TABLE plans (
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
    ) STRICT;
INSERT INTO "plans" VALUES(1,'p1','2027-03-09',1,'2027-03-08T18:00:00',1,'ACDE3479','.2027-03-09-new-abc','{}');
CREATE INDEX events_of_a_day ON events (day);
CREATE TRIGGER plans_no_update BEFORE UPDATE ON plans BEGIN SELECT RAISE(ABORT, 'the day book is only ever added to'); END;
CREATE TRIGGER plans_no_delete BEFORE DELETE ON plans BEGIN SELECT RAISE(ABORT, 'the day book is only ever added to'); END;
CREATE TRIGGER plans_no_replace BEFORE INSERT ON plans WHEN EXISTS (SELECT 1 FROM plans WHERE id = NEW.id OR (day = NEW.day AND version = NEW.version) OR number = NEW.number) BEGIN SELECT RAISE(ABORT, 'the day book is only ever added to'); END;
CREATE TRIGGER plan_ends_no_update BEFORE UPDATE ON plan_ends BEGIN SELECT RAISE(ABORT, 'the day book is only ever added to'); END;
CREATE TRIGGER plan_ends_no_delete BEFORE DELETE ON plan_ends BEGIN SELECT RAISE(ABORT, 'the day book is only ever added to'); END;
CREATE TRIGGER plan_ends_no_replace BEFORE INSERT ON plan_ends WHEN EXISTS (SELECT 1 FROM plan_ends WHERE plan = NEW.plan OR number = NEW.number) BEGIN SELECT RAISE(ABORT, 'the day book is only ever added to'); END;
CREATE TRIGGER events_no_update BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'the day book is only ever added to'); END;
CREATE TRIGGER events_no_delete BEFORE DELETE ON events BEGIN SELECT RAISE(ABORT, 'the day book is only ever added to'); END;
CREATE TRIGGER events_no_replace BEFORE INSERT ON events WHEN EXISTS (SELECT 1 FROM events WHERE id = NEW.id OR number = NEW.number) BEGIN SELECT RAISE(ABORT, 'the day book is only ever added to'); END;
COMMIT;
