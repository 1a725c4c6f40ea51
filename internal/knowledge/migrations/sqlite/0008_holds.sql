-- +goose Up
-- A hold says no more than the tests carry: how many of them it takes, by how many
-- members, and whether a trainer has looked at a set-up that is unlike the others.

ALTER TABLE communities ADD COLUMN least_tests INTEGER NOT NULL DEFAULT 3 CHECK (least_tests >= 2);
ALTER TABLE communities ADD COLUMN least_members INTEGER NOT NULL DEFAULT 2 CHECK (least_members >= 1);

-- The way of advising holds that the community began with: one that is there
-- already is told once that it has changed.
ALTER TABLE communities ADD COLUMN first_method INTEGER NOT NULL DEFAULT 1;

-- Set-ups that a trainer has looked at. Rows are only ever added.
CREATE TABLE setup_looks (
	id            INTEGER PRIMARY KEY,
	community_id  INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER NOT NULL,
	syringe_id    INTEGER NOT NULL,
	member_id     INTEGER NOT NULL,
	looked_at     TEXT NOT NULL,
	latest_test   INTEGER NOT NULL CHECK (latest_test > 0), -- the number of the community's latest test then
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id)
) STRICT;

CREATE INDEX setup_looks_by_product ON setup_looks (community_id, product_id, id);

-- What is said of each tested combination, and by which rule. What was said
-- before was said by another: it is said anew, and the changes are no news.
DROP TABLE verdicts;

CREATE TABLE verdicts (
	community_id  INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER NOT NULL,
	syringe_id    INTEGER NOT NULL,
	state         TEXT NOT NULL CHECK (state <> ''),
	tests         INTEGER NOT NULL CHECK (tests >= 0),   -- that count for a hold at the usual pull
	members       INTEGER NOT NULL CHECK (members >= 0), -- who made them
	near          INTEGER NOT NULL CHECK (near IN (0, 1)), -- nothing but their number is missing to a hold
	ceiling_s     REAL NOT NULL CHECK (ceiling_s > 0),
	target_share  REAL NOT NULL,
	least_tests   INTEGER NOT NULL,
	least_members INTEGER NOT NULL,
	PRIMARY KEY (product_id, instrument_id, syringe_id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id)
) STRICT;

ALTER TABLE verdict_changes ADD COLUMN model INTEGER NOT NULL DEFAULT 1; -- which computation said it

-- What a test is worth hangs on no verdict.
DROP TABLE appraisals;

CREATE TABLE appraisals (
	community_id   INTEGER NOT NULL,
	product_id     INTEGER NOT NULL,
	instrument_id  INTEGER NOT NULL,
	syringe_id     INTEGER NOT NULL,
	log_version    INTEGER NOT NULL,
	model          INTEGER NOT NULL, -- which computation made it
	spread_version INTEGER NOT NULL,
	ceiling_s      REAL NOT NULL,
	bore_m         REAL NOT NULL,
	unknown_wall   INTEGER NOT NULL, -- the gauge whose wall class is not on record; 0 it is, or the bore was measured
	tube_m         REAL NOT NULL,
	gas_m3         REAL NOT NULL,
	worth_now      REAL NOT NULL, -- standard deviations of a share
	worth_expected REAL NOT NULL,
	PRIMARY KEY (product_id, instrument_id, syringe_id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id)
) STRICT;
