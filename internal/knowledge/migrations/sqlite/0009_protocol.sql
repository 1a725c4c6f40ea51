-- +goose Up
-- Where a community keeps its own emergency protocol.

ALTER TABLE communities ADD COLUMN protocol_link TEXT NOT NULL DEFAULT '' CHECK (protocol_link = '' OR protocol_link LIKE 'https://%'); -- '' none
