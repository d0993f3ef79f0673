-- A studio owns what is stored. One is there from the start, for a service without keys.
CREATE TABLE studios (
    id BIGINT NOT NULL CONSTRAINT studios_pk PRIMARY KEY,
    name TEXT NOT NULL CONSTRAINT studios_name_given CHECK (length(trim(name)) BETWEEN 1 AND 200),
    created_at TEXT NOT NULL CONSTRAINT studios_created_at_utc CHECK (created_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$'),
    CONSTRAINT studios_name_unique UNIQUE (name)
);

INSERT INTO studios (id, name, created_at)
VALUES (1, 'default', to_char(now() AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"'));
