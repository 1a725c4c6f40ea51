-- +goose Up
-- A bench session as it goes on in the chat: a row for each time that a syringe was
-- to be watched. Of a member's at most one goes on.

CREATE TABLE watches (
	id           INTEGER PRIMARY KEY,
	community_id INTEGER NOT NULL,
	number       INTEGER NOT NULL CHECK (number > 0), -- the community's own
	member_id    INTEGER NOT NULL,
	item_id      INTEGER NOT NULL,
	session_at   TEXT NOT NULL, -- when its session began: a member's rows with the same are one session
	bench        TEXT NOT NULL, -- liquid, temperature, pull of the session, as a log line has them
	began_at     TEXT NOT NULL DEFAULT '', -- plunger at its mark, by the platform's clock; '' not yet
	fate         TEXT NOT NULL DEFAULT '' CHECK (fate IN ('', 'logged', 'begun anew', 'skipped', 'blocked', 'over')), -- '' it goes on
	test_id      INTEGER,
	CHECK ((fate = 'logged') = (test_id IS NOT NULL)),
	UNIQUE (community_id, number),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id),
	FOREIGN KEY (community_id, item_id) REFERENCES box_items (community_id, id),
	FOREIGN KEY (community_id, test_id) REFERENCES tests (community_id, id)
) STRICT;

CREATE UNIQUE INDEX watches_open ON watches (community_id, member_id) WHERE fate = '';
CREATE INDEX watches_by_session ON watches (community_id, member_id, session_at);
