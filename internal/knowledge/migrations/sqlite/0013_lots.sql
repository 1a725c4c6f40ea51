-- +goose Up
-- What the box said of the gel, and classes: one combination that everybody in a channel
-- tests for an hour.

ALTER TABLE tests ADD COLUMN lot TEXT NOT NULL DEFAULT '';     -- '' not noted
ALTER TABLE tests ADD COLUMN expires TEXT NOT NULL DEFAULT ''; -- 2006-01 or 2006-01-02; '' not noted
ALTER TABLE box_items ADD COLUMN lot TEXT NOT NULL DEFAULT '';
ALTER TABLE box_items ADD COLUMN expires TEXT NOT NULL DEFAULT '';

CREATE TABLE classes (
	id            INTEGER PRIMARY KEY,
	community_id  INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER NOT NULL,
	syringe_id    INTEGER NOT NULL,
	pull_ml       REAL NOT NULL CHECK (pull_ml > 0),
	liquid        TEXT NOT NULL CHECK (liquid <> ''),
	liquid_c      REAL NOT NULL,
	channel_ref   TEXT NOT NULL, -- the platform's id; '' where there are no channels
	opened_at     TEXT NOT NULL,
	closes_at     TEXT NOT NULL, -- by itself, or when it was ended
	UNIQUE (community_id, id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id)
) STRICT;

CREATE INDEX classes_by_channel ON classes (community_id, channel_ref, closes_at);

ALTER TABLE tests ADD COLUMN class_id INTEGER REFERENCES classes (id); -- null: in no class

CREATE INDEX tests_by_class ON tests (class_id) WHERE class_id IS NOT NULL;
