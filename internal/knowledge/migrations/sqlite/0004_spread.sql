-- +goose Up
-- How far tests vary, learned from the group's own: each time it was learned,
-- what it stands on, and which of them every estimate was made with.

ALTER TABLE communities ADD COLUMN spread_version INTEGER NOT NULL DEFAULT 0; -- the spread in force; 0 the defaults
ALTER TABLE estimates ADD COLUMN spread_version INTEGER NOT NULL DEFAULT 0;   -- the spread it was made with
ALTER TABLE appraisals ADD COLUMN spread_version INTEGER NOT NULL DEFAULT 0;

-- Rows are only ever added; the latest is in force. Spreads are standard
-- deviations of ln suction.
CREATE TABLE spreads (
	id                    INTEGER PRIMARY KEY,
	community_id          INTEGER NOT NULL REFERENCES communities (id),
	version               INTEGER NOT NULL CHECK (version > 0),
	own                   INTEGER NOT NULL CHECK (own IN (0, 1)), -- 0: back to the defaults
	model                 INTEGER NOT NULL, -- which computation made it
	made_at               TEXT NOT NULL,
	log_version           INTEGER NOT NULL, -- the log it stands on: the sum over its products
	combination           REAL NOT NULL CHECK (combination > 0),
	combination_low       REAL NOT NULL,
	combination_high      REAL NOT NULL,
	tester                REAL NOT NULL CHECK (tester >= 0),
	tester_low            REAL NOT NULL,
	tester_high           REAL NOT NULL,
	rest                  REAL NOT NULL CHECK (rest > 0),
	rest_low              REAL NOT NULL,
	rest_high             REAL NOT NULL,
	tests                 INTEGER NOT NULL CHECK (tests >= 0),
	shown                 INTEGER NOT NULL CHECK (shown >= 0),
	products              INTEGER NOT NULL CHECK (products >= 0),
	testers               INTEGER NOT NULL CHECK (testers >= 0),
	repeats               INTEGER NOT NULL CHECK (repeats >= 0), -- a tester's tests beyond the first on a combination
	repeated_combinations INTEGER NOT NULL CHECK (repeated_combinations >= 0),
	gain                  REAL NOT NULL, -- logarithm of how many times likelier than with the defaults
	remarks               TEXT NOT NULL, -- one a line; '' none
	UNIQUE (community_id, version)
) STRICT;

-- Whose turn it is to learn, so that of many programs on one store one does it.
CREATE TABLE spread_turns (
	community_id INTEGER PRIMARY KEY REFERENCES communities (id),
	turn         TEXT NOT NULL CHECK (turn <> ''),
	begun_at     TEXT NOT NULL,
	ended_at     TEXT NOT NULL DEFAULT '', -- '' still at it
	model        INTEGER NOT NULL,
	log_version  INTEGER NOT NULL,         -- what was looked at
	repeats      INTEGER NOT NULL CHECK (repeats >= 0)
) STRICT;

-- A verdict can change because the spread did: one cause more.
CREATE TABLE verdict_changes_by_cause (
	id            INTEGER PRIMARY KEY,
	community_id  INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER NOT NULL,
	syringe_id    INTEGER NOT NULL,
	before        TEXT NOT NULL, -- '' untested
	after         TEXT NOT NULL, -- '' untested
	cause         TEXT NOT NULL CHECK (cause IN ('new tests', 'log changed', 'spread learned')),
	kept_tests    INTEGER NOT NULL CHECK (kept_tests >= 0), -- of the combination, after
	changed_at    TEXT NOT NULL,
	CHECK (before <> after),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id)
) STRICT;

INSERT INTO verdict_changes_by_cause
	(id, community_id, product_id, instrument_id, syringe_id, before, after, cause, kept_tests, changed_at)
SELECT id, community_id, product_id, instrument_id, syringe_id, before, after, cause, kept_tests, changed_at
FROM verdict_changes;

DROP TABLE verdict_changes;

ALTER TABLE verdict_changes_by_cause RENAME TO verdict_changes;

CREATE INDEX verdict_changes_by_time ON verdict_changes (community_id, changed_at);
