-- The first form of a book. Every change is a row of operation, kept for ever; the tables named as kinds of record hold the
-- records as those operations left them, in the order in which lists are read (day, then id), and could be made anew
-- from the operations. Ids are the 16 bytes of a UUID; instants are RFC 3339 text in UTC; days count from 1999-12-31,
-- 0 where a record has none.

CREATE TABLE book (
  name TEXT NOT NULL PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE operation (
  seq INTEGER PRIMARY KEY,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  action TEXT NOT NULL CHECK (action IN ('add', 'change', 'remove')),
  kind TEXT NOT NULL,
  record BLOB NOT NULL CHECK (length(record) = 16),
  base INTEGER NOT NULL CHECK (base >= 0),
  revision INTEGER CHECK (revision > 0),      -- that it made of the record; NULL if it clashed and was not applied
  against INTEGER CHECK (against > 0),        -- the revision it clashed with
  body BLOB,                                  -- the record after it as it was sent, JSON; NULL for a removal
  merged BLOB,                                -- the record after it, where changes of two hands were put together
  hash BLOB NOT NULL CHECK (length(hash) = 32),
  person BLOB CHECK (length(person) = 16),
  device BLOB CHECK (length(device) = 16),
  made TEXT,
  received TEXT NOT NULL,
  undoes BLOB REFERENCES operation (id),
  UNIQUE (record, revision),
  CHECK ((revision IS NULL) = (against IS NOT NULL)),
  CHECK ((body IS NULL) = (action = 'remove'))
) STRICT;

CREATE INDEX clash ON operation (record) WHERE revision IS NULL;

CREATE TABLE asked (
  question TEXT NOT NULL PRIMARY KEY,
  first TEXT NOT NULL,
  times INTEGER NOT NULL CHECK (times > 0)
) STRICT, WITHOUT ROWID;

CREATE TABLE picture_bytes (
  hash TEXT NOT NULL PRIMARY KEY CHECK (length(hash) = 64),
  bytes BLOB NOT NULL
) STRICT;

CREATE TABLE person (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE device (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE setting (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE site (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE garden (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE bed (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE crop (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE variety (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE material (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE measure (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE trial (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE planting (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE harvest (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE work (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE cultivation (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE amendment (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE watering (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE cover (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE treatment (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE measurement (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE soil_test (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE loss (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE picture (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE note (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE weather (
  day INTEGER NOT NULL,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  body BLOB NOT NULL,
  PRIMARY KEY (day, id)
) STRICT, WITHOUT ROWID;
