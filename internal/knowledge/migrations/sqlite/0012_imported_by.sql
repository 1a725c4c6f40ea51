-- +goose Up
-- Who brought a test in from a file, where that was a member.

ALTER TABLE tests ADD COLUMN entered_by INTEGER REFERENCES members (id); -- null: logged by the tester, or brought in by whoever runs the program
