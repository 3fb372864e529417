-- Whether a log's receipt is in a report, and whether the office has it.
ALTER TABLE reports ADD COLUMN is_receipted INTEGER NOT NULL DEFAULT 0;
ALTER TABLE reports ADD COLUMN is_told INTEGER NOT NULL DEFAULT 0;
