-- +goose Up
-- A trainer keeps the lists in order from the chat: gels and needles are corrected and
-- retired, settings changed, and each change is on record and can be undone for an hour.

-- '' on the list; else the day it was retired: no longer suggested, its tests stay.
ALTER TABLE products ADD COLUMN retired_on TEXT NOT NULL DEFAULT '' CHECK (retired_on = '' OR retired_on LIKE '____-__-__');
ALTER TABLE instruments ADD COLUMN retired_on TEXT NOT NULL DEFAULT '' CHECK (retired_on = '' OR retired_on LIKE '____-__-__');

-- What was done to the lists and the settings. Rows are only ever added.
CREATE TABLE list_changes (
	id            INTEGER PRIMARY KEY,
	community_id  INTEGER NOT NULL,
	product_id    INTEGER,       -- for a merge the one that is left; null where it is about no gel
	other_id      INTEGER,       -- for a merge the one that went into it
	action        TEXT NOT NULL CHECK (action <> ''),
	before        TEXT NOT NULL,
	after         TEXT NOT NULL,
	member_id     INTEGER NOT NULL,
	changed_at    TEXT NOT NULL,
	reason        TEXT NOT NULL, -- '' none given
	instrument_id INTEGER,       -- null where it is about no needle or cannula
	undo          TEXT NOT NULL DEFAULT '', -- what undoing it takes; '' where it cannot be undone any more
	UNIQUE (community_id, id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, other_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id)
) STRICT;

INSERT INTO list_changes (id, community_id, product_id, other_id, action, before, after, member_id, changed_at, reason)
SELECT id, community_id, product_id, other_id, action, before, after, member_id, changed_at, reason
FROM product_changes;

CREATE TABLE merged_tests_of_lists (
	community_id INTEGER NOT NULL,
	change_id    INTEGER NOT NULL,
	test_id      INTEGER NOT NULL,
	PRIMARY KEY (change_id, test_id),
	FOREIGN KEY (community_id, change_id) REFERENCES list_changes (community_id, id),
	FOREIGN KEY (community_id, test_id) REFERENCES tests (community_id, id)
) STRICT;

INSERT INTO merged_tests_of_lists (community_id, change_id, test_id)
SELECT community_id, change_id, test_id FROM merged_tests;

DROP TABLE merged_tests;
DROP TABLE product_changes;

ALTER TABLE merged_tests_of_lists RENAME TO merged_tests;

CREATE INDEX merged_tests_by_test ON merged_tests (community_id, test_id);
CREATE INDEX list_changes_by_product ON list_changes (community_id, product_id, id);
CREATE INDEX list_changes_by_time ON list_changes (community_id, changed_at);

-- What the program says unasked has more kinds than were thought of.
CREATE TABLE notices_of_any_kind (
	id           INTEGER PRIMARY KEY,
	community_id INTEGER NOT NULL REFERENCES communities (id),
	kind         TEXT NOT NULL CHECK (kind <> ''),
	notice_key   TEXT NOT NULL CHECK (notice_key <> ''),
	nonce        TEXT NOT NULL CHECK (nonce <> ''),
	state        TEXT NOT NULL CHECK (state IN ('claimed', 'posted', 'silent')),
	attempt      INTEGER NOT NULL CHECK (attempt > 0),
	begun_at     TEXT NOT NULL, -- the first attempt
	claimed_at   TEXT NOT NULL, -- the latest attempt; '' given back
	ended_at     TEXT NOT NULL DEFAULT '',
	post_ref     TEXT NOT NULL DEFAULT '', -- the platform's id of the post
	CHECK ((state = 'claimed') = (ended_at = '')),
	UNIQUE (community_id, kind, notice_key)
) STRICT;

INSERT INTO notices_of_any_kind
	(id, community_id, kind, notice_key, nonce, state, attempt, begun_at, claimed_at, ended_at, post_ref)
SELECT id, community_id, kind, notice_key, nonce, state, attempt, begun_at, claimed_at, ended_at, post_ref
FROM notices;

DROP TABLE notices;

ALTER TABLE notices_of_any_kind RENAME TO notices;
