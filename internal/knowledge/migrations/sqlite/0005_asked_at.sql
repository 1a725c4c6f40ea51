-- +goose Up
-- When somebody asked: on the day a verdict changes it makes a difference whether
-- the old answer was seen or the new one. '' for a day alone.
ALTER TABLE asked ADD COLUMN asked_at TEXT NOT NULL DEFAULT '';
