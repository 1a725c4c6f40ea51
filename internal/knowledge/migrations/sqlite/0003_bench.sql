-- +goose Up
-- Who tests what next: claims, the bench box, the weekly prompt, verdicts as
-- they change, and the trace of what was done to products.

ALTER TABLE communities ADD COLUMN reminder_weekday INTEGER NOT NULL DEFAULT 1 CHECK (reminder_weekday BETWEEN 0 AND 6); -- 0 Sunday
ALTER TABLE communities ADD COLUMN reminder_hour INTEGER NOT NULL DEFAULT 8 CHECK (reminder_hour BETWEEN 0 AND 23);
ALTER TABLE communities ADD COLUMN box_items INTEGER NOT NULL DEFAULT 5 CHECK (box_items BETWEEN 1 AND 50);
ALTER TABLE communities ADD COLUMN box_days INTEGER NOT NULL DEFAULT 28 CHECK (box_days BETWEEN 1 AND 365);
ALTER TABLE communities ADD COLUMN keep_days INTEGER NOT NULL DEFAULT 30 CHECK (keep_days BETWEEN 1 AND 3650); -- after leaving

ALTER TABLE members ADD COLUMN may_mention INTEGER NOT NULL DEFAULT 0 CHECK (may_mention IN (0, 1));
ALTER TABLE members ADD COLUMN tell_verdicts INTEGER NOT NULL DEFAULT 0 CHECK (tell_verdicts IN (0, 1));

ALTER TABLE products ADD COLUMN merged_into INTEGER REFERENCES products (id); -- null: a product in its own right

ALTER TABLE estimates ADD COLUMN latest_test INTEGER NOT NULL DEFAULT -1; -- the community's latest test then; -1 not recorded

-- Who said they would test what. Of the claims on one combination at most one
-- is open.
CREATE TABLE claims (
	id            INTEGER PRIMARY KEY,
	community_id  INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER NOT NULL,
	syringe_id    INTEGER NOT NULL,
	member_id     INTEGER NOT NULL,
	taken_on      TEXT NOT NULL CHECK (taken_on LIKE '____-__-__'),
	due_on        TEXT NOT NULL CHECK (due_on LIKE '____-__-__'),
	state         TEXT NOT NULL CHECK (state IN ('taken', 'reminded', 'logged', 'lapsed', 'given up', 'merged')),
	closed_on     TEXT NOT NULL DEFAULT '', -- '' open
	test_id       INTEGER,                  -- the test that closed it
	CHECK ((state IN ('taken', 'reminded')) = (closed_on = '')),
	CHECK ((state = 'logged') = (test_id IS NOT NULL)),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id),
	FOREIGN KEY (community_id, test_id) REFERENCES tests (community_id, id)
) STRICT;

CREATE UNIQUE INDEX claims_open ON claims (community_id, product_id, instrument_id, syringe_id) WHERE closed_on = '';
CREATE INDEX claims_by_closing ON claims (community_id, closed_on);
CREATE INDEX claims_by_test ON claims (test_id);

-- Nearly finished syringes put aside for the bench. A number is free again once
-- its place is empty.
CREATE TABLE box_items (
	id            INTEGER PRIMARY KEY,
	community_id  INTEGER NOT NULL,
	number        INTEGER NOT NULL CHECK (number > 0),
	member_id     INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER NOT NULL,
	syringe_id    INTEGER NOT NULL,
	put_on        TEXT NOT NULL CHECK (put_on LIKE '____-__-__'),
	state         TEXT NOT NULL CHECK (state IN ('waiting', 'tested', 'thrown away')),
	left_at       TEXT NOT NULL DEFAULT '', -- '' still there
	left_by       INTEGER,
	request_key   TEXT CHECK (request_key <> ''),
	CHECK ((state = 'waiting') = (left_at = '')),
	UNIQUE (community_id, id),
	UNIQUE (community_id, request_key),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id),
	FOREIGN KEY (community_id, left_by) REFERENCES members (community_id, id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id)
) STRICT;

CREATE UNIQUE INDEX box_places ON box_items (community_id, number) WHERE left_at = '';

-- What became of a bench session's results, so that the same message sent twice
-- gives the same answer.
CREATE TABLE batches (
	id           INTEGER PRIMARY KEY,
	community_id INTEGER NOT NULL,
	member_id    INTEGER NOT NULL,
	request_key  TEXT CHECK (request_key <> ''),
	logged_at    TEXT NOT NULL,
	UNIQUE (community_id, id),
	UNIQUE (community_id, request_key),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id)
) STRICT;

CREATE TABLE batch_results (
	community_id INTEGER NOT NULL,
	batch_id     INTEGER NOT NULL,
	position     INTEGER NOT NULL CHECK (position >= 0),
	number       INTEGER NOT NULL,
	item_id      INTEGER, -- null: no such place
	test_id      INTEGER, -- null: not stored, for this reason:
	field        TEXT NOT NULL,
	problem      TEXT NOT NULL,
	CHECK ((test_id IS NULL) = (problem <> '')),
	PRIMARY KEY (batch_id, position),
	FOREIGN KEY (community_id, batch_id) REFERENCES batches (community_id, id),
	FOREIGN KEY (community_id, item_id) REFERENCES box_items (community_id, id),
	FOREIGN KEY (community_id, test_id) REFERENCES tests (community_id, id)
) STRICT;

-- What the estimate says of each tested combination, and when that changed.
CREATE TABLE verdicts (
	community_id  INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER NOT NULL,
	syringe_id    INTEGER NOT NULL,
	verdict       TEXT NOT NULL CHECK (verdict <> ''),
	ceiling_s     REAL NOT NULL CHECK (ceiling_s > 0), -- at which it was said
	PRIMARY KEY (product_id, instrument_id, syringe_id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id)
) STRICT;

CREATE TABLE verdict_changes (
	id            INTEGER PRIMARY KEY,
	community_id  INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER NOT NULL,
	syringe_id    INTEGER NOT NULL,
	before        TEXT NOT NULL, -- '' untested
	after         TEXT NOT NULL, -- '' untested
	cause         TEXT NOT NULL CHECK (cause IN ('new tests', 'log changed')),
	kept_tests    INTEGER NOT NULL CHECK (kept_tests >= 0), -- of the combination, after
	changed_at    TEXT NOT NULL,
	CHECK (before <> after),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id)
) STRICT;

CREATE INDEX verdict_changes_by_time ON verdict_changes (community_id, changed_at);

-- Who asked about what, for those who want to hear when the answer changes.
CREATE TABLE asked (
	community_id  INTEGER NOT NULL,
	member_id     INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER NOT NULL,
	syringe_id    INTEGER NOT NULL,
	asked_on      TEXT NOT NULL CHECK (asked_on LIKE '____-__-__'), -- the latest day
	PRIMARY KEY (member_id, product_id, instrument_id, syringe_id),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id)
) STRICT;

CREATE INDEX asked_by_combination ON asked (community_id, product_id, instrument_id, syringe_id, asked_on);
CREATE INDEX asked_by_day ON asked (community_id, asked_on);

-- What the program says unasked, each at most once.
CREATE TABLE notices (
	id           INTEGER PRIMARY KEY,
	community_id INTEGER NOT NULL REFERENCES communities (id),
	kind         TEXT NOT NULL CHECK (kind IN ('weekly prompt', 'claim reminder', 'box proposal', 'verdict news')),
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

-- Tests that a trainer has looked at. Rows are only ever added.
CREATE TABLE test_checks (
	id           INTEGER PRIMARY KEY,
	community_id INTEGER NOT NULL,
	test_id      INTEGER NOT NULL,
	member_id    INTEGER NOT NULL,
	checked_at   TEXT NOT NULL,
	FOREIGN KEY (community_id, test_id) REFERENCES tests (community_id, id),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id)
) STRICT;

CREATE INDEX test_checks_by_test ON test_checks (community_id, test_id, id);

-- What was done to a product. Rows are only ever added.
CREATE TABLE product_changes (
	id           INTEGER PRIMARY KEY,
	community_id INTEGER NOT NULL,
	product_id   INTEGER NOT NULL, -- for a merge the one that is left
	other_id     INTEGER,          -- for a merge the one that went into it
	action       TEXT NOT NULL CHECK (action IN ('renamed', 'name added', 'class set', 'merged')),
	before       TEXT NOT NULL,
	after        TEXT NOT NULL,
	member_id    INTEGER NOT NULL,
	changed_at   TEXT NOT NULL,
	reason       TEXT NOT NULL, -- '' none given
	UNIQUE (community_id, id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, other_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id)
) STRICT;

CREATE INDEX product_changes_by_product ON product_changes (community_id, product_id, id);

-- The tests that followed a product into another.
CREATE TABLE merged_tests (
	community_id INTEGER NOT NULL,
	change_id    INTEGER NOT NULL,
	test_id      INTEGER NOT NULL,
	PRIMARY KEY (change_id, test_id),
	FOREIGN KEY (community_id, change_id) REFERENCES product_changes (community_id, id),
	FOREIGN KEY (community_id, test_id) REFERENCES tests (community_id, id)
) STRICT;

CREATE INDEX merged_tests_by_test ON merged_tests (community_id, test_id);

-- What one more test of a combination is worth, beside everything it stands on:
-- looked up where that is still so, worked out anew where it is not.
CREATE TABLE appraisals (
	community_id   INTEGER NOT NULL,
	product_id     INTEGER NOT NULL,
	instrument_id  INTEGER NOT NULL,
	syringe_id     INTEGER NOT NULL,
	log_version    INTEGER NOT NULL,
	model          INTEGER NOT NULL, -- which computation made it
	ceiling_s      REAL NOT NULL,
	bore_m         REAL NOT NULL,
	tube_m         REAL NOT NULL,
	gas_m3         REAL NOT NULL,
	verdict        TEXT NOT NULL CHECK (verdict <> ''),
	worth_now      REAL NOT NULL, -- standard deviations of a share
	worth_expected REAL NOT NULL,
	PRIMARY KEY (product_id, instrument_id, syringe_id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id)
) STRICT;
