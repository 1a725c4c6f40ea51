-- +goose Up
-- A file of more tests than are stored at once comes in parts, and is there whole or not at all.

CREATE TABLE imports (
	id           INTEGER PRIMARY KEY AUTOINCREMENT,
	community_id INTEGER NOT NULL REFERENCES communities (id),
	member_id    INTEGER, -- who brought it in; null: whoever runs the program, or somebody erased
	begun_at     TEXT NOT NULL,
	part_at      TEXT NOT NULL, -- the latest part
	state        TEXT NOT NULL CHECK (state IN ('going on', 'stopped', 'whole', 'taken away')), -- stopped: its tests are being taken away
	last_number  INTEGER NOT NULL DEFAULT 0, -- the highest number that a test of it had: never given twice
	UNIQUE (community_id, id),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id)
) STRICT;

CREATE UNIQUE INDEX imports_open ON imports (community_id) WHERE state IN ('going on', 'stopped');

ALTER TABLE tests ADD COLUMN import_id INTEGER REFERENCES imports (id); -- null: in no file that came in parts

CREATE INDEX tests_by_import ON tests (import_id, id) WHERE import_id IS NOT NULL;

-- What points at a test is looked for when it is taken away.
CREATE INDEX tests_by_corrected ON tests (corrects_id) WHERE corrects_id IS NOT NULL;
CREATE INDEX batch_results_by_test ON batch_results (community_id, test_id) WHERE test_id IS NOT NULL;
CREATE INDEX watches_by_test ON watches (community_id, test_id) WHERE test_id IS NOT NULL;
