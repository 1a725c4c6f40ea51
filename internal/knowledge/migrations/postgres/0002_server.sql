-- +goose Up
-- A community can live in a server of a chat platform: who its trainers are
-- there, where it is reminded, and since when the program is out of it. A test
-- can say where it is to be seen.

ALTER TABLE communities ADD COLUMN trainer_role TEXT COLLATE "C" NOT NULL DEFAULT '';     -- the platform's id; '' whoever manages the server
ALTER TABLE communities ADD COLUMN reminder_channel TEXT COLLATE "C" NOT NULL DEFAULT ''; -- the platform's id; '' no reminders
ALTER TABLE communities ADD COLUMN left_at TEXT COLLATE "C" NOT NULL DEFAULT '';          -- '' still there

ALTER TABLE tests ADD COLUMN film_marks TEXT COLLATE "C" NOT NULL DEFAULT ''; -- start and end as typed; '' not filmed or not said
ALTER TABLE tests ADD COLUMN film_link TEXT COLLATE "C" NOT NULL DEFAULT '';  -- where it was posted
