-- +goose Up
-- The first store. Times are RFC 3339 UTC text, days 2006-01-02 text; every
-- column says its unit. Pairs (community_id, id) are unique so that foreign
-- keys can carry the community along: a row of one community cannot point at
-- another's, whatever a query does. Numbers are never given twice, not even
-- after their rows are erased: a handle or a cache that outlives its community
-- finds nothing rather than another's.

PRAGMA application_id = 1212957762; -- marks the file as ours

CREATE TABLE communities (
	id                 INTEGER PRIMARY KEY AUTOINCREMENT,
	ref                TEXT NOT NULL UNIQUE CHECK (ref <> ''),
	name               TEXT NOT NULL CHECK (name <> ''),
	zone               TEXT NOT NULL CHECK (zone <> ''),
	ceiling_s          REAL NOT NULL CHECK (ceiling_s > 0 AND ceiling_s <= 120),
	target_share       REAL NOT NULL CHECK (target_share > 0 AND target_share < 1),
	vocabulary_version INTEGER NOT NULL DEFAULT 1, -- rises with every change of a name below
	founded_at         TEXT NOT NULL
) STRICT;

CREATE TABLE members (
	id           INTEGER PRIMARY KEY AUTOINCREMENT,
	community_id INTEGER NOT NULL REFERENCES communities (id),
	ref          TEXT NOT NULL CHECK (ref <> ''),
	name         TEXT NOT NULL CHECK (name <> ''),
	role         TEXT NOT NULL CHECK (role IN ('member', 'trainer')),
	admitted_at  TEXT NOT NULL,
	UNIQUE (community_id, ref),
	UNIQUE (community_id, id)
) STRICT;

CREATE TABLE products (
	id            INTEGER PRIMARY KEY AUTOINCREMENT,
	community_id  INTEGER NOT NULL REFERENCES communities (id),
	gel_class     TEXT NOT NULL CHECK (gel_class <> ''),
	first_stocked TEXT NOT NULL, -- '' not recorded
	log_version   INTEGER NOT NULL DEFAULT 0, -- rises with everything an estimate stands on
	kept_tests    INTEGER NOT NULL DEFAULT 0 CHECK (kept_tests >= 0),
	UNIQUE (community_id, id)
) STRICT;

CREATE INDEX products_by_class ON products (community_id, gel_class, kept_tests);

-- The name (position 0) and the aliases of a product share one space of names.
CREATE TABLE product_names (
	community_id INTEGER NOT NULL,
	name_key     TEXT NOT NULL CHECK (name_key <> ''), -- letter case and spacing folded
	product_id   INTEGER NOT NULL,
	name         TEXT NOT NULL,
	position     INTEGER NOT NULL CHECK (position >= 0),
	PRIMARY KEY (community_id, name_key),
	UNIQUE (product_id, position),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id)
) STRICT;

CREATE TABLE instruments (
	id           INTEGER PRIMARY KEY AUTOINCREMENT,
	community_id INTEGER NOT NULL REFERENCES communities (id),
	name_key     TEXT NOT NULL CHECK (name_key <> ''),
	kind         TEXT NOT NULL CHECK (kind IN ('needle', 'cannula')),
	gauge        INTEGER NOT NULL CHECK (gauge > 0),
	length_mm    REAL NOT NULL CHECK (length_mm > 0),
	wall         TEXT NOT NULL CHECK (wall IN ('', 'regular', 'thin', 'extra-thin', 'ultra-thin')), -- '' not recorded
	bore_mm      REAL NOT NULL CHECK (bore_mm >= 0), -- 0 not measured
	hub_mm       REAL NOT NULL CHECK (hub_mm > 0),
	UNIQUE (community_id, name_key),
	UNIQUE (community_id, id)
) STRICT;

CREATE TABLE syringes (
	id           INTEGER PRIMARY KEY AUTOINCREMENT,
	community_id INTEGER NOT NULL REFERENCES communities (id),
	name_key     TEXT NOT NULL CHECK (name_key <> ''),
	name         TEXT NOT NULL,
	fixed_needle INTEGER NOT NULL CHECK (fixed_needle IN (0, 1)),
	volume_ml    REAL NOT NULL CHECK (volume_ml >= 0), -- 0 not said
	gas_ml       REAL NOT NULL CHECK (gas_ml > 0),
	UNIQUE (community_id, name_key),
	UNIQUE (community_id, id)
) STRICT;

CREATE TABLE stock (
	id            INTEGER PRIMARY KEY AUTOINCREMENT,
	community_id  INTEGER NOT NULL,
	member_id     INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER, -- null: not said
	syringe_id    INTEGER NOT NULL,
	stocked_on    TEXT NOT NULL CHECK (stocked_on LIKE '____-__-__'),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id)
) STRICT;

CREATE UNIQUE INDEX stock_once ON stock (member_id, product_id, COALESCE(instrument_id, 0), syringe_id);
CREATE INDEX stock_by_product ON stock (community_id, product_id, instrument_id, member_id);

CREATE TABLE tests (
	id            INTEGER PRIMARY KEY AUTOINCREMENT,
	community_id  INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER NOT NULL,
	syringe_id    INTEGER NOT NULL,
	tester_id     INTEGER NOT NULL,
	tested_on     TEXT NOT NULL CHECK (tested_on LIKE '____-__-__'),
	liquid        TEXT NOT NULL CHECK (liquid <> ''),
	liquid_c      REAL NOT NULL CHECK (liquid_c BETWEEN 0 AND 45),
	pull_ml       REAL NOT NULL CHECK (pull_ml > 0 AND pull_ml <= 1),
	watched_s     REAL NOT NULL CHECK (watched_s > 0 AND watched_s <= 600),
	outcome       TEXT NOT NULL CHECK (outcome IN ('flashback', 'none')),
	seconds       REAL, -- null: no flashback
	seconds_typed TEXT NOT NULL, -- as it was typed
	timing        TEXT NOT NULL CHECK (timing <> ''),
	note          TEXT NOT NULL,
	state         TEXT NOT NULL CHECK (state IN ('kept', 'withdrawn')),
	entered       TEXT NOT NULL CHECK (entered IN ('logged', 'imported')),
	logged_at     TEXT NOT NULL,
	request_key   TEXT CHECK (request_key <> ''),
	corrects_id   INTEGER REFERENCES tests (id),
	CHECK ((outcome = 'none' AND seconds IS NULL AND seconds_typed = '')
	    OR (outcome = 'flashback' AND seconds >= 0 AND seconds <= watched_s AND seconds_typed <> '')),
	UNIQUE (community_id, id),
	UNIQUE (community_id, request_key),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id),
	FOREIGN KEY (community_id, tester_id) REFERENCES members (community_id, id)
) STRICT;

CREATE INDEX tests_by_product ON tests (community_id, product_id, tested_on);
CREATE INDEX tests_by_day ON tests (community_id, tested_on);
CREATE INDEX tests_by_instrument ON tests (community_id, instrument_id);
CREATE INDEX tests_by_syringe ON tests (community_id, syringe_id);
CREATE INDEX tests_by_tester ON tests (community_id, tester_id);

-- What was done to a test after it was logged. Rows are only ever added.
CREATE TABLE test_changes (
	id           INTEGER PRIMARY KEY AUTOINCREMENT,
	community_id INTEGER NOT NULL,
	test_id      INTEGER NOT NULL,
	action       TEXT NOT NULL CHECK (action IN ('withdrawn', 'restored', 'corrected')),
	member_id    INTEGER NOT NULL,
	changed_at   TEXT NOT NULL,
	reason       TEXT NOT NULL CHECK (reason <> ''),
	FOREIGN KEY (community_id, test_id) REFERENCES tests (community_id, id),
	FOREIGN KEY (community_id, member_id) REFERENCES members (community_id, id)
) STRICT;

CREATE INDEX test_changes_by_test ON test_changes (community_id, test_id, id);

-- How many kept tests each combination has, kept in step by every change of a
-- test, so that a question need not count a long log.
CREATE TABLE tested_combinations (
	community_id  INTEGER NOT NULL,
	product_id    INTEGER NOT NULL,
	instrument_id INTEGER NOT NULL,
	syringe_id    INTEGER NOT NULL,
	gel_class     TEXT NOT NULL, -- the product's, repeated for the index below
	kept_tests    INTEGER NOT NULL CHECK (kept_tests >= 0),
	PRIMARY KEY (product_id, instrument_id, syringe_id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id),
	FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id),
	FOREIGN KEY (community_id, syringe_id) REFERENCES syringes (community_id, id)
) STRICT;

CREATE INDEX tested_by_class ON tested_combinations
	(community_id, instrument_id, gel_class, kept_tests, product_id, syringe_id);

-- One estimate per product, beside the version of the log it stands on.
CREATE TABLE estimates (
	product_id   INTEGER PRIMARY KEY,
	community_id INTEGER NOT NULL,
	log_version  INTEGER NOT NULL,
	model        INTEGER NOT NULL, -- which computation made it
	computed_at  TEXT NOT NULL,
	estimate     BLOB NOT NULL,
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id)
) STRICT;

-- How likely each test is a slip of the pen, from the estimate above.
CREATE TABLE slips (
	test_id      INTEGER PRIMARY KEY,
	community_id INTEGER NOT NULL,
	product_id   INTEGER NOT NULL,
	slip         REAL NOT NULL CHECK (slip BETWEEN 0 AND 1),
	FOREIGN KEY (community_id, test_id) REFERENCES tests (community_id, id)
) STRICT;

CREATE INDEX slips_by_product ON slips (product_id);
