-- +goose Up
-- A trainer keeps the lists in order from the chat: gels and needles are corrected and
-- retired, settings changed, and each change is on record and can be undone for an hour.

-- '' on the list; else the day it was retired: no longer suggested, its tests stay.
ALTER TABLE products ADD COLUMN retired_on TEXT COLLATE "C" NOT NULL DEFAULT '' CHECK (retired_on = '' OR retired_on LIKE '____-__-__');
ALTER TABLE instruments ADD COLUMN retired_on TEXT COLLATE "C" NOT NULL DEFAULT '' CHECK (retired_on = '' OR retired_on LIKE '____-__-__');

-- What was done to the lists and the settings. Rows are only ever added.
ALTER TABLE product_changes RENAME TO list_changes;
ALTER INDEX product_changes_by_product RENAME TO list_changes_by_product;
ALTER TABLE list_changes DROP CONSTRAINT product_changes_action_check;
ALTER TABLE list_changes ADD CHECK (action <> '');
ALTER TABLE list_changes ALTER COLUMN product_id DROP NOT NULL; -- null where it is about no gel
ALTER TABLE list_changes ADD COLUMN instrument_id BIGINT; -- null where it is about no needle or cannula
ALTER TABLE list_changes ADD COLUMN undo TEXT COLLATE "C" NOT NULL DEFAULT ''; -- what undoing it takes; '' where it cannot be undone any more
ALTER TABLE list_changes ADD FOREIGN KEY (community_id, instrument_id) REFERENCES instruments (community_id, id) DEFERRABLE;

CREATE INDEX list_changes_by_time ON list_changes (community_id, changed_at);

-- What the program says unasked has more kinds than were thought of.
ALTER TABLE notices DROP CONSTRAINT notices_kind_check;
ALTER TABLE notices ADD CHECK (kind <> '');
