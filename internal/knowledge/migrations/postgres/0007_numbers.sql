-- +goose Up
-- A test's number is its community's own: 1, 2, 3 as logged, so that nobody can
-- count from their own numbers what other groups log. Tests that are there keep
-- the number their group knows them by; the next one follows the group's latest.
-- Rows go on pointing at tests by their id, which nobody sees.

ALTER TABLE tests ADD COLUMN number BIGINT NOT NULL DEFAULT 0; -- from 1, in the order logged; never given twice

UPDATE tests SET number = id;

CREATE UNIQUE INDEX tests_by_number ON tests (community_id, number);

-- What a button is about stands in it by numbers, and who looks behind the button
-- could count by those: gels, needles and syringes have their community's own, too.

ALTER TABLE products ADD COLUMN number BIGINT NOT NULL DEFAULT 0;
ALTER TABLE instruments ADD COLUMN number BIGINT NOT NULL DEFAULT 0;
ALTER TABLE syringes ADD COLUMN number BIGINT NOT NULL DEFAULT 0;

UPDATE products SET number = id;
UPDATE instruments SET number = id;
UPDATE syringes SET number = id;

CREATE UNIQUE INDEX products_by_number ON products (community_id, number);
CREATE UNIQUE INDEX instruments_by_number ON instruments (community_id, number);
CREATE UNIQUE INDEX syringes_by_number ON syringes (community_id, number);
