-- +goose Up
-- Which group answers somebody who is in several, in direct messages.

ALTER TABLE members ADD COLUMN direct_at TEXT NOT NULL DEFAULT ''; -- when they last chose this one; '' never

-- The message in a channel that is kept up to date with the group's coverage.
CREATE TABLE coverage_posts (
	community_id INTEGER PRIMARY KEY REFERENCES communities (id),
	channel      TEXT NOT NULL CHECK (channel <> ''), -- the platform's id
	post_ref     TEXT NOT NULL DEFAULT '', -- the platform's id of the message; '' there is none yet
	shown        TEXT NOT NULL DEFAULT '', -- what it shows, as a sum
	begun_at     TEXT NOT NULL DEFAULT '', -- since when a new message is being posted; '' none is
	claimed_at   TEXT NOT NULL DEFAULT ''  -- when somebody took it on to bring it up to date; '' nobody has
) STRICT;

-- What was stored and whose maker could not be told so.
CREATE TABLE unconfirmed (
	id           INTEGER PRIMARY KEY,
	community_id INTEGER NOT NULL,
	member_id    INTEGER NOT NULL,
	what         TEXT NOT NULL CHECK (what <> ''),
	how          TEXT NOT NULL CHECK (how <> ''),
	stored_at    TEXT NOT NULL,
	tests        TEXT NOT NULL, -- the numbers of tests that can be taken back, with , between
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id)
) STRICT;

CREATE INDEX unconfirmed_by_member ON unconfirmed (community_id, member_id, id);
