-- +goose Up
-- The nightly backups of the whole store: who makes one, so that of several
-- programs one does, and what became of it.

CREATE TABLE backups (
	night      TEXT COLLATE "C" PRIMARY KEY CHECK (night LIKE '____-__-__'),
	state      TEXT COLLATE "C" NOT NULL CHECK (state IN ('claimed', 'made', 'failed')),
	claimed_at TEXT COLLATE "C" NOT NULL,
	ended_at   TEXT COLLATE "C" NOT NULL DEFAULT '',
	file       TEXT COLLATE "C" NOT NULL DEFAULT '', -- its name in the folder
	bytes      BIGINT NOT NULL DEFAULT 0,
	CHECK ((state = 'claimed') = (ended_at = ''))
);
