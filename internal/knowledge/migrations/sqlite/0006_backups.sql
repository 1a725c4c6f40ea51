-- +goose Up
-- The nightly backups of the whole store: who makes one, so that of several
-- programs one does, and what became of it.

CREATE TABLE backups (
	night      TEXT PRIMARY KEY CHECK (night LIKE '____-__-__'),
	state      TEXT NOT NULL CHECK (state IN ('claimed', 'made', 'failed')),
	claimed_at TEXT NOT NULL,
	ended_at   TEXT NOT NULL DEFAULT '',
	file       TEXT NOT NULL DEFAULT '', -- its name in the folder
	bytes      INTEGER NOT NULL DEFAULT 0,
	CHECK ((state = 'claimed') = (ended_at = ''))
) STRICT;
