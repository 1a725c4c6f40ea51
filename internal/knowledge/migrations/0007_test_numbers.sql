-- A test's number is its community's own: 1, 2, 3 as logged, so that nobody can
-- count from their own numbers what other groups log. Tests that are there keep
-- the number their group knows them by; the next one follows the group's latest.
-- Rows go on pointing at tests by their id, which nobody sees.

ALTER TABLE tests ADD COLUMN number INTEGER NOT NULL DEFAULT 0; -- from 1, in the order logged; never given twice

UPDATE tests SET number = id;

CREATE UNIQUE INDEX tests_by_number ON tests (community_id, number);
