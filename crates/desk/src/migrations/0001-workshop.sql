-- The first form of a workshop's file.
--
-- Never edit this file once a workshop has been written with it: a later form is a further file.
--
-- Times are whole milliseconds since 1970 UTC: they compare and index as numbers, and no moment has two spellings. Names of
-- columns: `at` and `who` are the stamp of a row: when it came to be as it is, and by whom.
--
-- bike, bike_version     A bike is a row that carries what its newest version says of itself (title, kind), so that a list
--                        reads no texts; the records themselves are versions that are only ever added. `words` holds the
--                        other names in the record, for the search. bike_by_time lists bikes, the last touched first.
-- question               What came in. `urgent` holds the safety words that were found, one a line. `pressing` says that a
--                        question has one and is still open (a column like any other, held to that by a check: an index
--                        over a computed one does not cover a list, and every row would be read): such questions stand first in every list, so each index of
--                        lists begins or goes on with it. Numbers grow in the order of coming, so "newest first" needs no
--                        time. One index for each way to narrow a list: all, by state, by bike; the one by state also
--                        counts (a covering index), the partial one counts what presses.
-- draft                  The changes that somebody tries for a question; `question.draft` points at the one that counts.
--                        Undo and redo move that pointer.
-- publication, sheet,    What was published. A publication is the short address; each sheet is one revision of it with the
-- sheet_file             record and the changes that it came from; the rendered files stand apart, so that lists of sheets
--                        do not pass over them. Triggers refuse to alter or remove a sheet: it never changes silently.
--                        publication_by_time lists them, newest first.
-- photo                  Pictures of a question, encoded anew. photo_by_question lists them.
-- setting, tolerance     The workshop's own settings (one row), and tools whose tolerance differs from the usual.
-- account, session       Who may come in. Of a session only the digest of its token is kept. session_by_account ends all
--                        of an account's sessions.
-- question_words,        Full-text search. The row's number is the question's or the bike's. `things` holds what the changes
-- bike_words             touch and `marks` state, bike and the like, as words that nobody types, so that one look-up narrows
--                        and searches. Written in the same transaction as what they mirror. porter: "spacers" finds
--                        "spacer"; remove_diacritics: accents do not matter; prefix: the first letters of a word are fast.

PRAGMA application_id = 0x6b6e6f6b;

CREATE TABLE bike (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    title TEXT NOT NULL,
    kind TEXT CHECK (kind IN ('rigid', 'hardtail', 'full suspension')),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL,
    who TEXT NOT NULL
) STRICT;
CREATE INDEX bike_by_time ON bike (at DESC, id DESC);

CREATE TABLE bike_version (
    bike INTEGER NOT NULL REFERENCES bike (id),
    number INTEGER NOT NULL CHECK (number >= 1),
    text TEXT NOT NULL,
    why TEXT NOT NULL,
    at INTEGER NOT NULL,
    who TEXT NOT NULL,
    PRIMARY KEY (bike, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE question (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    asked TEXT NOT NULL,
    rider TEXT NOT NULL,
    bike INTEGER REFERENCES bike (id),
    state TEXT NOT NULL CHECK (state IN ('new', 'waiting', 'answered', 'set-aside')),
    notes TEXT NOT NULL,
    came INTEGER NOT NULL,
    urgent TEXT NOT NULL,
    pressing INTEGER NOT NULL CHECK (pressing = (urgent <> '' AND state IN ('new', 'waiting'))),
    draft INTEGER NOT NULL CHECK (draft >= 1),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL,
    who TEXT NOT NULL
) STRICT;
CREATE INDEX question_by_pressing ON question (pressing, id);
CREATE INDEX question_by_state ON question (state, pressing, id);
CREATE INDEX question_by_bike ON question (bike, pressing, id);
CREATE INDEX question_pressing ON question (id) WHERE pressing = 1;

CREATE TABLE draft (
    question INTEGER NOT NULL REFERENCES question (id),
    number INTEGER NOT NULL CHECK (number >= 1),
    changes TEXT NOT NULL,
    instead TEXT,
    at INTEGER NOT NULL,
    who TEXT NOT NULL,
    PRIMARY KEY (question, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE publication (
    question INTEGER PRIMARY KEY REFERENCES question (id),
    code TEXT NOT NULL UNIQUE CHECK (length(code) = 8 AND code NOT GLOB '*[^0-9a-z]*'),
    revisions INTEGER NOT NULL CHECK (revisions >= 1),
    at INTEGER NOT NULL
) STRICT;
CREATE INDEX publication_by_time ON publication (at DESC, question DESC);

CREATE TABLE sheet (
    question INTEGER NOT NULL REFERENCES publication (question),
    revision INTEGER NOT NULL CHECK (revision >= 1),
    way TEXT NOT NULL CHECK (way IN ('first', 'instead')),
    title TEXT NOT NULL,
    bike TEXT NOT NULL,
    headline TEXT NOT NULL,
    sentences TEXT NOT NULL,
    record TEXT NOT NULL,
    changes TEXT NOT NULL,
    at INTEGER NOT NULL,
    who TEXT NOT NULL,
    PRIMARY KEY (question, revision)
) STRICT, WITHOUT ROWID;

CREATE TABLE sheet_file (
    question INTEGER NOT NULL,
    revision INTEGER NOT NULL,
    format TEXT NOT NULL CHECK (format IN ('html', 'svg', 'md', 'txt', 'json')),
    content TEXT NOT NULL,
    UNIQUE (question, revision, format),
    FOREIGN KEY (question, revision) REFERENCES sheet (question, revision)
) STRICT;

CREATE TRIGGER sheet_stays BEFORE UPDATE ON sheet
BEGIN SELECT RAISE(ABORT, 'a published sheet never changes'); END;
CREATE TRIGGER sheet_is_kept BEFORE DELETE ON sheet
BEGIN SELECT RAISE(ABORT, 'a published sheet is kept'); END;
CREATE TRIGGER sheet_file_stays BEFORE UPDATE ON sheet_file
BEGIN SELECT RAISE(ABORT, 'a published sheet never changes'); END;
CREATE TRIGGER sheet_file_is_kept BEFORE DELETE ON sheet_file
BEGIN SELECT RAISE(ABORT, 'a published sheet is kept'); END;

CREATE TABLE photo (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    question INTEGER NOT NULL REFERENCES question (id),
    caption TEXT NOT NULL,
    width INTEGER NOT NULL CHECK (width BETWEEN 1 AND 2048),
    height INTEGER NOT NULL CHECK (height BETWEEN 1 AND 2048),
    at INTEGER NOT NULL,
    who TEXT NOT NULL,
    jpeg BLOB NOT NULL
) STRICT;
CREATE INDEX photo_by_question ON photo (question);

CREATE TABLE setting (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    workshop TEXT NOT NULL,
    drawn_by TEXT NOT NULL,
    length TEXT NOT NULL CHECK (length IN ('mm', 'inch')),
    label_language TEXT NOT NULL CHECK (label_language IN ('english', 'german', 'french', 'italian', 'spanish')),
    at INTEGER NOT NULL,
    who TEXT NOT NULL
) STRICT;

CREATE TABLE tolerance (
    tool TEXT PRIMARY KEY,
    pm REAL NOT NULL CHECK (pm >= 0.0)
) STRICT, WITHOUT ROWID;

CREATE TABLE account (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL UNIQUE COLLATE NOCASE,
    password TEXT NOT NULL,
    role TEXT NOT NULL CHECK (role IN ('answer', 'read')),
    made INTEGER NOT NULL,
    who TEXT NOT NULL
) STRICT;

CREATE TABLE session (
    digest BLOB PRIMARY KEY CHECK (length(digest) = 32),
    account INTEGER NOT NULL REFERENCES account (id) ON DELETE CASCADE,
    made INTEGER NOT NULL,
    seen INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX session_by_account ON session (account);

CREATE VIRTUAL TABLE question_words USING fts5 (
    asked, rider, bike, changes, answer, notes, things, marks,
    tokenize = 'porter unicode61 remove_diacritics 2', prefix = '1 2 3'
);

CREATE VIRTUAL TABLE bike_words USING fts5 (
    title, words,
    tokenize = 'porter unicode61 remove_diacritics 2', prefix = '1 2 3'
);
