-- A device that goes on under another name says which was the first one: who is shut out is shut out under all of them.
ALTER TABLE devices ADD COLUMN follows TEXT;
