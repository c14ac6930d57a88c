-- Inspections by protocol, and marks on photos.
--
-- inspection             What somebody looks at by a protocol, for a question. `edition` is that of the protocol when it was begun.
--                        `signed_by` is who closed it with their name; from then on no answer changes unless it is opened again.
--                        inspection_by_question lists those of a question, inspection_by_time the newest of all.
-- inspection_answer      What was found, one row a step, as a file of answers has it; who found it, and when.
-- photo.inspection       The inspection that a photo was taken for; it stays with the question when the inspection goes.
-- photo.marks            What was drawn on it, one mark a line; the picture itself is never drawn on.

CREATE TABLE inspection (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    question INTEGER NOT NULL REFERENCES question (id),
    protocol TEXT NOT NULL,
    edition INTEGER NOT NULL CHECK (edition >= 1),
    part TEXT NOT NULL,
    signed_by TEXT,
    signed_at INTEGER CHECK ((signed_at IS NULL) = (signed_by IS NULL)),
    at INTEGER NOT NULL,
    who TEXT NOT NULL
) STRICT;
CREATE INDEX inspection_by_question ON inspection (question, id);
CREATE INDEX inspection_by_time ON inspection (at DESC, id DESC);

CREATE TABLE inspection_answer (
    inspection INTEGER NOT NULL REFERENCES inspection (id) ON DELETE CASCADE,
    step TEXT NOT NULL,
    answer TEXT NOT NULL,
    note TEXT NOT NULL,
    at INTEGER NOT NULL,
    who TEXT NOT NULL,
    PRIMARY KEY (inspection, step)
) STRICT, WITHOUT ROWID;

ALTER TABLE photo ADD COLUMN inspection INTEGER REFERENCES inspection (id) ON DELETE SET NULL;
ALTER TABLE photo ADD COLUMN marks TEXT NOT NULL DEFAULT '';
CREATE INDEX photo_by_inspection ON photo (inspection) WHERE inspection IS NOT NULL;
