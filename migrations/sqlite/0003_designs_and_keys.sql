-- Designs and all that is said about them. A design points at its newest revision; revisions are added and never changed.
CREATE TABLE designs (
    -- Never given twice, so that a list can be walked while designs come and go.
    position INTEGER NOT NULL CONSTRAINT designs_pk PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL CONSTRAINT designs_id_unique UNIQUE
        CONSTRAINT designs_id_uuid CHECK (id GLOB '????????-????-????-????-????????????'),
    studio_id INTEGER NOT NULL CONSTRAINT designs_studio REFERENCES studios (id),
    revision INTEGER NOT NULL CONSTRAINT designs_revision_counted CHECK (revision >= 1),
    slug TEXT CONSTRAINT designs_slug_unique UNIQUE
        CONSTRAINT designs_slug_plain CHECK (length(slug) BETWEEN 1 AND 100 AND NOT slug GLOB '*[^a-z0-9-]*'),
    published_revision INTEGER,
    published_at TEXT CONSTRAINT designs_published_at_utc CHECK (published_at GLOB '????-??-??T??:??:??*Z'),
    retired_at TEXT CONSTRAINT designs_retired_at_utc CHECK (retired_at GLOB '????-??-??T??:??:??*Z'),
    created_at TEXT NOT NULL CONSTRAINT designs_created_at_utc CHECK (created_at GLOB '????-??-??T??:??:??*Z'),
    updated_at TEXT NOT NULL CONSTRAINT designs_updated_at_utc CHECK (updated_at GLOB '????-??-??T??:??:??*Z'),
    CONSTRAINT designs_published_whole CHECK (
        (published_revision IS NULL) = (published_at IS NULL) AND (published_revision IS NULL OR slug IS NOT NULL)
    ),
    CONSTRAINT designs_retired_unpublished CHECK (retired_at IS NULL OR published_revision IS NULL),
    CONSTRAINT designs_revision_kept FOREIGN KEY (position, revision)
        REFERENCES revisions (design, number) DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT designs_published_kept FOREIGN KEY (position, published_revision)
        REFERENCES revisions (design, number) DEFERRABLE INITIALLY DEFERRED
) STRICT;

CREATE INDEX designs_in_order ON designs (studio_id, position);
CREATE INDEX designs_published ON designs (slug) WHERE published_revision IS NOT NULL;

CREATE TABLE revisions (
    design INTEGER NOT NULL CONSTRAINT revisions_design REFERENCES designs (position),
    number INTEGER NOT NULL CONSTRAINT revisions_number_counted CHECK (number >= 1),
    title TEXT NOT NULL CONSTRAINT revisions_title_given CHECK (length(trim(title)) > 0 AND length(title) <= 200),
    -- The design as it was sent, a JSON object.
    content TEXT NOT NULL CONSTRAINT revisions_content_json CHECK (json_valid(content)),
    -- The pattern that a plan was graded to, kept because a later grader may write it differently.
    graded TEXT,
    restored_from INTEGER CONSTRAINT revisions_restored_from_older CHECK (restored_from < number),
    created_at TEXT NOT NULL CONSTRAINT revisions_created_at_utc CHECK (created_at GLOB '????-??-??T??:??:??*Z'),
    CONSTRAINT revisions_pk PRIMARY KEY (design, number)
) STRICT;

CREATE TRIGGER revisions_stay_as_they_are BEFORE UPDATE ON revisions
BEGIN
    SELECT raise(ABORT, 'a revision is never changed');
END;

CREATE TRIGGER revisions_stay BEFORE DELETE ON revisions
BEGIN
    SELECT raise(ABORT, 'a revision is never removed');
END;

-- What testers say of a design that they made.
CREATE TABLE reports (
    position INTEGER NOT NULL CONSTRAINT reports_pk PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL CONSTRAINT reports_id_unique UNIQUE
        CONSTRAINT reports_id_uuid CHECK (id GLOB '????????-????-????-????-????????????'),
    design INTEGER NOT NULL,
    revision INTEGER NOT NULL,
    content TEXT NOT NULL CONSTRAINT reports_content_json CHECK (json_valid(content)),
    created_at TEXT NOT NULL CONSTRAINT reports_created_at_utc CHECK (created_at GLOB '????-??-??T??:??:??*Z'),
    CONSTRAINT reports_revision FOREIGN KEY (design, revision) REFERENCES revisions (design, number)
) STRICT;

CREATE INDEX reports_in_order ON reports (design, position);

-- Keys that stand for a studio. The key itself is not kept, only what it can be known by.
CREATE TABLE keys (
    prefix TEXT NOT NULL CONSTRAINT keys_pk PRIMARY KEY
        CONSTRAINT keys_prefix_length CHECK (length(prefix) = 8),
    studio_id INTEGER NOT NULL CONSTRAINT keys_studio REFERENCES studios (id),
    hash BLOB NOT NULL CONSTRAINT keys_hash_length CHECK (length(hash) = 32),
    scope TEXT NOT NULL CONSTRAINT keys_scope_known CHECK (scope IN ('read', 'write')),
    name TEXT NOT NULL CONSTRAINT keys_name_length CHECK (length(name) <= 200),
    created_at TEXT NOT NULL CONSTRAINT keys_created_at_utc CHECK (created_at GLOB '????-??-??T??:??:??*Z'),
    expires_at TEXT CONSTRAINT keys_expires_at_utc CHECK (expires_at GLOB '????-??-??T??:??:??*Z'),
    revoked_at TEXT CONSTRAINT keys_revoked_at_utc CHECK (revoked_at GLOB '????-??-??T??:??:??*Z')
) STRICT;

-- What was put into the store once and is not put there again, even if it is retired.
CREATE TABLE seeds (
    name TEXT NOT NULL CONSTRAINT seeds_pk PRIMARY KEY,
    created_at TEXT NOT NULL CONSTRAINT seeds_created_at_utc CHECK (created_at GLOB '????-??-??T??:??:??*Z')
) STRICT;
