-- Designs and all that is said about them. A design points at its newest revision; revisions are added and never changed.
CREATE TABLE designs (
    -- Never given twice, so that a list can be walked while designs come and go.
    position BIGINT NOT NULL GENERATED ALWAYS AS IDENTITY CONSTRAINT designs_pk PRIMARY KEY,
    id TEXT NOT NULL CONSTRAINT designs_id_unique UNIQUE
        CONSTRAINT designs_id_uuid CHECK (id ~ '^.{8}-.{4}-.{4}-.{4}-.{12}$'),
    studio_id BIGINT NOT NULL CONSTRAINT designs_studio REFERENCES studios (id),
    revision BIGINT NOT NULL CONSTRAINT designs_revision_counted CHECK (revision >= 1),
    slug TEXT CONSTRAINT designs_slug_unique UNIQUE
        CONSTRAINT designs_slug_plain CHECK (length(slug) BETWEEN 1 AND 100 AND slug !~ '[^a-z0-9-]'),
    published_revision BIGINT,
    published_at TEXT CONSTRAINT designs_published_at_utc CHECK (published_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$'),
    retired_at TEXT CONSTRAINT designs_retired_at_utc CHECK (retired_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$'),
    created_at TEXT NOT NULL CONSTRAINT designs_created_at_utc CHECK (created_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$'),
    updated_at TEXT NOT NULL CONSTRAINT designs_updated_at_utc CHECK (updated_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$'),
    CONSTRAINT designs_published_whole CHECK (
        (published_revision IS NULL) = (published_at IS NULL) AND (published_revision IS NULL OR slug IS NOT NULL)
    ),
    CONSTRAINT designs_retired_unpublished CHECK (retired_at IS NULL OR published_revision IS NULL)
);

CREATE INDEX designs_in_order ON designs (studio_id, position);
CREATE INDEX designs_published ON designs (slug) WHERE published_revision IS NOT NULL;

CREATE TABLE revisions (
    design BIGINT NOT NULL CONSTRAINT revisions_design REFERENCES designs (position),
    number BIGINT NOT NULL CONSTRAINT revisions_number_counted CHECK (number >= 1),
    title TEXT NOT NULL CONSTRAINT revisions_title_given CHECK (length(trim(title)) > 0 AND length(title) <= 200),
    -- The design as it was sent, a JSON object.
    content TEXT NOT NULL CONSTRAINT revisions_content_json CHECK (jsonb_typeof(content::jsonb) = 'object'),
    -- The pattern that a plan was graded to, kept because a later grader may write it differently.
    graded TEXT,
    restored_from BIGINT CONSTRAINT revisions_restored_from_older CHECK (restored_from < number),
    created_at TEXT NOT NULL CONSTRAINT revisions_created_at_utc CHECK (created_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$'),
    CONSTRAINT revisions_pk PRIMARY KEY (design, number)
);

ALTER TABLE designs
    ADD CONSTRAINT designs_revision_kept FOREIGN KEY (position, revision)
        REFERENCES revisions (design, number) DEFERRABLE INITIALLY DEFERRED,
    ADD CONSTRAINT designs_published_kept FOREIGN KEY (position, published_revision)
        REFERENCES revisions (design, number) DEFERRABLE INITIALLY DEFERRED;

CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '%', TG_ARGV[0];
END
$$;

CREATE TRIGGER revisions_stay_as_they_are BEFORE UPDATE ON revisions
FOR EACH ROW EXECUTE FUNCTION refuse('a revision is never changed');

CREATE TRIGGER revisions_stay BEFORE DELETE ON revisions
FOR EACH ROW EXECUTE FUNCTION refuse('a revision is never removed');

-- What testers say of a design that they made.
CREATE TABLE reports (
    position BIGINT NOT NULL GENERATED ALWAYS AS IDENTITY CONSTRAINT reports_pk PRIMARY KEY,
    id TEXT NOT NULL CONSTRAINT reports_id_unique UNIQUE
        CONSTRAINT reports_id_uuid CHECK (id ~ '^.{8}-.{4}-.{4}-.{4}-.{12}$'),
    design BIGINT NOT NULL,
    revision BIGINT NOT NULL,
    content TEXT NOT NULL CONSTRAINT reports_content_json CHECK (jsonb_typeof(content::jsonb) = 'object'),
    created_at TEXT NOT NULL CONSTRAINT reports_created_at_utc CHECK (created_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$'),
    CONSTRAINT reports_revision FOREIGN KEY (design, revision) REFERENCES revisions (design, number)
);

CREATE INDEX reports_in_order ON reports (design, position);

-- Keys that stand for a studio. The key itself is not kept, only what it can be known by.
CREATE TABLE keys (
    prefix TEXT NOT NULL CONSTRAINT keys_pk PRIMARY KEY
        CONSTRAINT keys_prefix_length CHECK (length(prefix) = 8),
    studio_id BIGINT NOT NULL CONSTRAINT keys_studio REFERENCES studios (id),
    hash BYTEA NOT NULL CONSTRAINT keys_hash_length CHECK (length(hash) = 32),
    scope TEXT NOT NULL CONSTRAINT keys_scope_known CHECK (scope IN ('read', 'write')),
    name TEXT NOT NULL CONSTRAINT keys_name_length CHECK (length(name) <= 200),
    created_at TEXT NOT NULL CONSTRAINT keys_created_at_utc CHECK (created_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$'),
    expires_at TEXT CONSTRAINT keys_expires_at_utc CHECK (expires_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$'),
    revoked_at TEXT CONSTRAINT keys_revoked_at_utc CHECK (revoked_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$')
);

-- What was put into the store once and is not put there again, even if it is retired.
CREATE TABLE seeds (
    name TEXT NOT NULL CONSTRAINT seeds_pk PRIMARY KEY,
    created_at TEXT NOT NULL CONSTRAINT seeds_created_at_utc CHECK (created_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$')
);
