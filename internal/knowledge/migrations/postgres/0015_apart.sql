-- +goose Up
-- Two gels whose names are alike and which are two; syringes are kept in order as needles are.

CREATE TABLE products_apart (
	community_id BIGINT NOT NULL,
	product_id   BIGINT NOT NULL, -- the one that was added first
	other_id     BIGINT NOT NULL,
	PRIMARY KEY (community_id, product_id, other_id),
	CHECK (product_id < other_id),
	FOREIGN KEY (community_id, product_id) REFERENCES products (community_id, id) DEFERRABLE,
	FOREIGN KEY (community_id, other_id) REFERENCES products (community_id, id) DEFERRABLE
);

-- '' on the list; else the day it was retired: no longer suggested, its tests stay.
ALTER TABLE syringes ADD COLUMN retired_on TEXT COLLATE "C" NOT NULL DEFAULT '' CHECK (retired_on = '' OR retired_on LIKE '____-__-__');
ALTER TABLE list_changes ADD COLUMN syringe_id BIGINT REFERENCES syringes (id) DEFERRABLE; -- null where it is about no syringe
