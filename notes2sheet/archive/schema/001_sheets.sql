-- Sheets, their versions, and what is searched. Names that repeat are kept once (label, term, style).
CREATE TABLE meta (name TEXT PRIMARY KEY, value) WITHOUT ROWID;

CREATE TABLE label (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE);   -- categories, states, levels, flag codes

CREATE TABLE style (
    code TEXT PRIMARY KEY, name TEXT NOT NULL, family TEXT NOT NULL,
    tags TEXT NOT NULL                                                     -- comma-separated
) WITHOUT ROWID;

CREATE TABLE term (
    id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE,
    key TEXT NOT NULL,                                                     -- the name as search words
    categories TEXT NOT NULL                                               -- where it can stand, comma-separated
);
CREATE INDEX term_key ON term (key);

CREATE TABLE broader (                                                     -- every term, under itself and all broader ones
    broader INTEGER NOT NULL REFERENCES term, term INTEGER NOT NULL REFERENCES term,
    PRIMARY KEY (broader, term)
) WITHOUT ROWID;
CREATE INDEX broader_term ON broader (term);

CREATE TABLE sheet (                                                       -- the current version of each, for searching
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,                                              -- the same in every archive it is brought to
    notes BLOB NOT NULL,                                                   -- hash of the notes' words and the sheet's kind
    version INTEGER REFERENCES version,
    status TEXT NOT NULL CHECK (status IN ('draft', 'finished')),
    entry TEXT, entry_key TEXT NOT NULL, maker TEXT, maker_key TEXT NOT NULL, abv REAL,
    style TEXT REFERENCES style,
    judge TEXT, judge_key TEXT NOT NULL,
    tasted TEXT,                                                           -- YYYY-MM-DD
    added TEXT NOT NULL,                                                   -- UTC, ISO 8601
    total REAL, basis TEXT, band TEXT                                      -- basis of the total: sum or said
);
CREATE INDEX sheet_notes ON sheet (notes);
CREATE INDEX sheet_tasted ON sheet (tasted);

CREATE TABLE version (
    id INTEGER PRIMARY KEY,
    sheet INTEGER NOT NULL REFERENCES sheet,
    hash BLOB NOT NULL,                                                    -- of the sheet's JSON
    added TEXT NOT NULL, status TEXT NOT NULL, judge TEXT, tasted TEXT, finished TEXT,
    body BLOB NOT NULL                                                     -- the whole JSON, see codec.py
);
CREATE INDEX version_sheet ON version (sheet);

CREATE TABLE part (
    sheet INTEGER NOT NULL REFERENCES sheet, category INTEGER NOT NULL REFERENCES label, score REAL, cap REAL NOT NULL,
    PRIMARY KEY (sheet, category)
) WITHOUT ROWID;

-- Kept in the order in which it is searched, and only there: a second copy by sheet would cost a tenth of the file.
CREATE TABLE tag (
    term INTEGER NOT NULL REFERENCES term, state INTEGER NOT NULL REFERENCES label,
    sheet INTEGER NOT NULL REFERENCES sheet, n INTEGER NOT NULL,           -- n: its place on the sheet
    category INTEGER NOT NULL REFERENCES label, level INTEGER REFERENCES label, scale INTEGER REFERENCES label,
    flaw INTEGER REFERENCES term,
    PRIMARY KEY (term, state, sheet, n)
) WITHOUT ROWID;
CREATE INDEX tag_flaw ON tag (flaw, state, sheet) WHERE flaw IS NOT NULL;

CREATE TABLE posting (                                                     -- which sheets have a tag: see postings.py
    term INTEGER NOT NULL REFERENCES term, state INTEGER NOT NULL REFERENCES label,
    category INTEGER NOT NULL, level INTEGER NOT NULL, scale INTEGER NOT NULL,  -- 0: any, or not said
    block INTEGER NOT NULL, sheets BLOB NOT NULL,
    PRIMARY KEY (term, state, category, level, scale, block)
) WITHOUT ROWID;

CREATE TABLE flag (
    sheet INTEGER NOT NULL REFERENCES sheet, n INTEGER NOT NULL,
    code INTEGER NOT NULL REFERENCES label, category INTEGER REFERENCES label, severity INTEGER NOT NULL REFERENCES label,
    PRIMARY KEY (sheet, n)
) WITHOUT ROWID;

-- The words of the current versions, folded (fold.py); rowid is sheet.id.
CREATE VIRTUAL TABLE words USING fts5 (notes, comments, content='', columnsize=0, tokenize="ascii tokenchars '_'");
