-- The published tables that a studio reckons with, and the yarns that it keeps. Every studio has rows of its own, so that
-- one may come to correct its table without changing another's; those that are here already get the published ones.
CREATE TABLE yarn_weights (
    studio_id BIGINT NOT NULL CONSTRAINT yarn_weights_studio REFERENCES studios (id),
    number INTEGER NOT NULL CONSTRAINT yarn_weights_number_known CHECK (number BETWEEN 0 AND 7),
    name TEXT NOT NULL CONSTRAINT yarn_weights_name_given CHECK (length(name) > 0),
    types TEXT NOT NULL,
    crochet_least INTEGER,
    crochet_most INTEGER,
    hook_mm_least DOUBLE PRECISION,
    hook_mm_most DOUBLE PRECISION,
    us_hooks TEXT NOT NULL,
    knit_least INTEGER,
    knit_most INTEGER,
    needle_mm_least DOUBLE PRECISION,
    needle_mm_most DOUBLE PRECISION,
    us_needles TEXT NOT NULL,
    wraps_least INTEGER,
    wraps_most INTEGER,
    wraps_weavers TEXT,
    yards_per_pound_weavers TEXT,
    metres_per_100g_least INTEGER,
    metres_per_100g_most INTEGER,
    uk_and_au_names TEXT NOT NULL,
    note TEXT NOT NULL,
    source TEXT NOT NULL CONSTRAINT yarn_weights_source_given CHECK (length(source) > 0),
    CONSTRAINT yarn_weights_pk PRIMARY KEY (studio_id, number),
    CONSTRAINT yarn_weights_crochet_range
        CHECK (coalesce(crochet_least, crochet_most, 0) > 0 AND coalesce(crochet_least <= crochet_most, TRUE)),
    CONSTRAINT yarn_weights_hook_mm_range
        CHECK (coalesce(hook_mm_least, hook_mm_most, 0) > 0 AND coalesce(hook_mm_least <= hook_mm_most, TRUE)),
    CONSTRAINT yarn_weights_knit_range
        CHECK (coalesce(knit_least, knit_most, 0) > 0 AND coalesce(knit_least <= knit_most, TRUE)),
    CONSTRAINT yarn_weights_needle_mm_range
        CHECK (coalesce(needle_mm_least, needle_mm_most, 0) > 0 AND coalesce(needle_mm_least <= needle_mm_most, TRUE)),
    CONSTRAINT yarn_weights_wraps_range
        CHECK (coalesce(wraps_least, wraps_most, 0) > 0 AND coalesce(wraps_least <= wraps_most, TRUE)),
    CONSTRAINT yarn_weights_metres_per_100g_range
        CHECK (coalesce(metres_per_100g_least, metres_per_100g_most, 0) > 0 AND coalesce(metres_per_100g_least <= metres_per_100g_most, TRUE))
);

CREATE TABLE hooks (
    studio_id BIGINT NOT NULL CONSTRAINT hooks_studio REFERENCES studios (id),
    -- The place in the table: a diameter and a name may each stand twice.
    position INTEGER NOT NULL CONSTRAINT hooks_position_counted CHECK (position >= 0),
    kind TEXT NOT NULL CONSTRAINT hooks_kind_known CHECK (kind IN ('yarn', 'thread', 'steel')),
    mm DOUBLE PRECISION NOT NULL CONSTRAINT hooks_mm_range CHECK (mm BETWEEN 0.1 AND 100),
    us TEXT,
    us_source TEXT NOT NULL,
    us_also TEXT,
    uk_old TEXT,
    uk_source TEXT NOT NULL,
    usual BOOLEAN NOT NULL,
    note TEXT NOT NULL,
    source TEXT NOT NULL CONSTRAINT hooks_source_given CHECK (length(source) > 0),
    CONSTRAINT hooks_pk PRIMARY KEY (studio_id, position),
    CONSTRAINT hooks_us_sourced CHECK ((us IS NULL) = (us_source = '')),
    CONSTRAINT hooks_uk_sourced CHECK ((uk_old IS NULL) = (uk_source = ''))
);

-- A ball is kept in metres and grams as exact as it was given; what it was given in is not kept.
CREATE TABLE yarns (
    -- Never given twice, so that a list can be walked while yarns come and go.
    position BIGINT NOT NULL GENERATED ALWAYS AS IDENTITY CONSTRAINT yarns_pk PRIMARY KEY,
    id TEXT NOT NULL CONSTRAINT yarns_id_unique UNIQUE
        CONSTRAINT yarns_id_uuid CHECK (id ~ '^.{8}-.{4}-.{4}-.{4}-.{12}$'),
    studio_id BIGINT NOT NULL CONSTRAINT yarns_studio REFERENCES studios (id),
    name TEXT NOT NULL CONSTRAINT yarns_name_given CHECK (length(trim(name)) > 0 AND length(name) <= 200),
    ball_metres DOUBLE PRECISION CONSTRAINT yarns_ball_metres_range CHECK (ball_metres BETWEEN 1 AND 100000),
    ball_grams DOUBLE PRECISION CONSTRAINT yarns_ball_grams_range CHECK (ball_grams BETWEEN 1 AND 100000),
    yarn_weight INTEGER CONSTRAINT yarns_yarn_weight_known CHECK (yarn_weight BETWEEN 0 AND 7),
    fibre TEXT CONSTRAINT yarns_fibre_length CHECK (length(fibre) BETWEEN 1 AND 200),
    notes TEXT CONSTRAINT yarns_notes_length CHECK (length(notes) BETWEEN 1 AND 4000),
    created_at TEXT NOT NULL CONSTRAINT yarns_created_at_utc CHECK (created_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$'),
    updated_at TEXT NOT NULL CONSTRAINT yarns_updated_at_utc CHECK (updated_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$')
);

CREATE INDEX yarns_in_order ON yarns (studio_id, position);
CREATE INDEX yarns_by_weight ON yarns (studio_id, yarn_weight, position);

-- Answers to writes that carried an Idempotency-Key, to be given again when the same request comes again.
CREATE TABLE idempotency_keys (
    studio_id BIGINT NOT NULL CONSTRAINT idempotency_keys_studio REFERENCES studios (id),
    operation TEXT NOT NULL CONSTRAINT idempotency_keys_operation_given CHECK (length(operation) > 0),
    name TEXT NOT NULL CONSTRAINT idempotency_keys_name_length CHECK (length(name) BETWEEN 1 AND 255),
    fingerprint BYTEA NOT NULL CONSTRAINT idempotency_keys_fingerprint_length CHECK (length(fingerprint) = 32),
    status INTEGER NOT NULL CONSTRAINT idempotency_keys_status_success CHECK (status BETWEEN 200 AND 299),
    location TEXT NOT NULL,
    body BYTEA NOT NULL,
    created_at TEXT NOT NULL CONSTRAINT idempotency_keys_created_at_utc CHECK (created_at ~ '^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*Z$'),
    CONSTRAINT idempotency_keys_pk PRIMARY KEY (studio_id, operation, name)
);

CREATE INDEX idempotency_keys_by_age ON idempotency_keys (created_at);

WITH published (
    number, name, types, crochet_least, crochet_most, hook_mm_least, hook_mm_most, us_hooks, knit_least, knit_most,
    needle_mm_least, needle_mm_most, us_needles, wraps_least, wraps_most, wraps_weavers, yards_per_pound_weavers,
    metres_per_100g_least, metres_per_100g_most, uk_and_au_names, note, source
) AS (
    VALUES
        (0, 'Lace', 'Fingering; 10-count (size 10) crochet thread', 32, 42, 1.5, 2.25, 'Steel 8-1; regular B-1', 33, 40, 1.5, 2.25, '000-1', 30, NULL, '18+', '2401+', 600, NULL, 'UK/AU 2 ply; 1 ply cobweb (800+ m)', 'open ended; older editions print 32-42 double crochet, not single, with steel 8 to 6 (1.4-1.6 mm): follow the pattern', 'S01; S02; S03; S04; S05; S08; S09; S10; S14; S15; S16'),
        (1, 'Super Fine', 'Sock; Fingering; Baby', 21, 32, 2.25, 3.5, 'B-1 to E-4', 27, 32, 2.25, 3.25, '1-3', 14, 30, '16-18', '1901-2400', 350, 600, 'UK/AU 3 ply and 4 ply', 'sources leave a gap between 450 and 500 m in 100 g', 'S01; S02; S04; S05; S08; S09; S10; S13; S14; S15; S16'),
        (2, 'Fine', 'Sport; Baby', 16, 20, 3.5, 4.5, 'E-4 to 7', 23, 26, 3.25, 3.75, '3-5', 12, 18, '14-15', '1201-1900', 250, 350, 'AU 5 ply; UK light DK', '', 'S01; S02; S04; S05; S08; S09; S10; S13; S14; S15; S16'),
        (3, 'Light', 'DK; Light Worsted', 12, 17, 4.5, 5.5, '7 to I-9', 21, 24, 3.75, 4.5, '5-7', 11, 15, '12-13', '901-1200', 200, 250, 'UK DK; AU 8 ply', '', 'S01; S02; S04; S05; S08; S09; S10; S13; S14; S16'),
        (4, 'Medium', 'Worsted; Afghan; Aran', 11, 14, 5.5, 6.5, 'I-9 to K-10 1/2', 16, 20, 4.5, 5.5, '7-9', 9, 12, '10-11', '601-900', 120, 200, 'UK aran; AU 10 ply', 'one publisher prints 11-12 single crochet', 'S01; S02; S04; S05; S07; S08; S09; S10; S13; S14; S16'),
        (5, 'Bulky', 'Chunky; Craft; Rug', 8, 11, 6.5, 9.0, 'K-10 1/2 to M-13', 12, 15, 5.5, 8.0, '9-11', 6, 9, '8-9', '401-600', 90, 130, 'UK chunky; AU 12 ply', 'some print the top of the US range as M/N-13', 'S01; S02; S04; S05; S08; S09; S10; S13; S14; S16'),
        (6, 'Super Bulky', 'Super Bulky (also Super Chunky); Roving', 6, 9, 9.0, 16.0, 'M-13 to Q', 7, 11, 8.0, 12.75, '11-17', 5, 6, '7 or less', '400 or less', 40, 100, 'UK super chunky; AU 14-16 ply', 'before weight 7 was added in 2015: 5-9 single crochet, hook 9 mm and larger, 6-11 knitted, needle 8 mm and larger; two publishers stop at 15 mm', 'S01; S02; S03; S04; S06; S07; S08; S09; S10; S13; S14; S16'),
        (7, 'Jumbo', 'Jumbo; Roving', NULL, 5, 16.0, NULL, 'Q and larger', NULL, 6, 12.75, NULL, '17 and larger', 1, 4, NULL, NULL, NULL, 40, 'AU 16 ply and over', '5 stitches and fewer crocheted, 6 and fewer knitted; two publishers begin at 15 mm', 'S01; S02; S06; S07; S08; S09; S10; S16')
)
INSERT INTO yarn_weights (
    studio_id, number, name, types, crochet_least, crochet_most, hook_mm_least, hook_mm_most, us_hooks, knit_least,
    knit_most, needle_mm_least, needle_mm_most, us_needles, wraps_least, wraps_most, wraps_weavers,
    yards_per_pound_weavers, metres_per_100g_least, metres_per_100g_most, uk_and_au_names, note, source
)
SELECT studios.id, published.* FROM studios CROSS JOIN published;

WITH published (
    position, kind, mm, us, us_source, us_also, uk_old, uk_source, usual, note, source
) AS (
    VALUES
        (0, 'yarn', 2.0, NULL, '', 'B-1 (S19; S21)', '14', 'S17; S18; S19', TRUE, 'tables disagree whether it has a US letter', 'S17; S18; S19; S16; S21'),
        (1, 'yarn', 2.25, 'B-1', 'S02; S16; S17; S18; S19; S20', NULL, '13', 'S17; S18; S19', TRUE, '', 'S02; S16; S17; S18; S19; S20'),
        (2, 'yarn', 2.5, NULL, '', 'C-2 (S21)', '12', 'S17', TRUE, 'one table alone puts C here', 'S17; S21; S16; S18'),
        (3, 'yarn', 2.75, 'C-2', 'S16; S17; S18; S19; S20', NULL, '12', 'S18; S19', TRUE, 'one table prints UK 11', 'S16; S17; S18; S19; S20'),
        (4, 'yarn', 3.0, NULL, '', NULL, '11', 'S17; S18', TRUE, '', 'S17; S18'),
        (5, 'yarn', 3.25, 'D-3', 'S16; S17; S18; S19; S20; S21', NULL, '10', 'S17; S18; S19', TRUE, '', 'S16; S17; S18; S19; S20; S21'),
        (6, 'yarn', 3.5, 'E-4', 'S01; S02; S16; S17; S18; S19; S20; S21', NULL, '9', 'S17; S19', TRUE, '', 'S01; S02; S16; S17; S18; S19; S20; S21'),
        (7, 'yarn', 3.75, 'F-5', 'S16; S17; S18; S19; S20; S21', NULL, NULL, '', TRUE, 'has no UK number as a hook', 'S16; S17; S18; S19; S20; S21'),
        (8, 'yarn', 4.0, 'G-6', 'S16; S17; S18; S19; S20; S21', NULL, '8', 'S17; S18; S19', TRUE, '', 'S16; S17; S18; S19; S20; S21'),
        (9, 'yarn', 4.25, 'G', 'S16', NULL, NULL, '', FALSE, '', 'S16'),
        (10, 'yarn', 4.5, '7', 'S01; S02; S16; S18; S19; S20; S21', NULL, '7', 'S17; S18; S19', TRUE, 'the only one with a US number and no letter', 'S01; S02; S16; S18; S19; S20; S21; S17'),
        (11, 'yarn', 5.0, 'H-8', 'S16; S17; S18; S19; S20; S21', NULL, '6', 'S17; S18; S19', TRUE, '', 'S16; S17; S18; S19; S20; S21'),
        (12, 'yarn', 5.5, 'I-9', 'S01; S02; S16; S17; S18; S19; S20; S21', NULL, '5', 'S17; S18; S19', TRUE, '', 'S01; S02; S16; S17; S18; S19; S20; S21'),
        (13, 'yarn', 6.0, 'J-10', 'S16; S17; S18; S19; S20; S21; S22', NULL, '4', 'S18; S19', TRUE, 'one table runs UK 3, 2, 1 for 6, 6.5 and 7 mm', 'S16; S17; S18; S19; S20; S21; S22'),
        (14, 'yarn', 6.5, 'K-10 1/2', 'S01; S02; S16; S17; S18; S19; S20; S21', NULL, '3', 'S18; S19', TRUE, '', 'S01; S02; S16; S17; S18; S19; S20; S21'),
        (15, 'yarn', 7.0, NULL, '', NULL, '2', 'S18', TRUE, 'no US size in any table', 'S18'),
        (16, 'yarn', 7.5, NULL, '', NULL, '1', 'S18', TRUE, 'no US size in any table; the UK number is that of the needle', 'S18'),
        (17, 'yarn', 8.0, 'L-11', 'S16; S17; S18; S19; S20; S21', NULL, '0', 'S17; S18; S19', TRUE, '', 'S16; S17; S18; S19; S20; S21'),
        (18, 'yarn', 9.0, 'M/N-13', 'S01; S16; S18; S19', 'M-13 (S02; S17; S20; S21)', '00', 'S17; S18; S19', TRUE, '', 'S01; S16; S18; S19; S17; S02; S20; S21'),
        (19, 'yarn', 10.0, 'N/P-15', 'S16; S18; S19', 'N-15 (S17); N-13 (S21)', '000', 'S17; S18; S19', TRUE, '', 'S16; S18; S19; S17; S21'),
        (20, 'yarn', 11.5, 'P-16', 'S17', NULL, NULL, '', TRUE, 'one table has P-16 at 11 mm', 'S17; S16'),
        (21, 'yarn', 12.0, NULL, '', 'O (S18); O-16 (S21)', NULL, '', TRUE, 'tables disagree on the US letter', 'S18; S21; S16'),
        (22, 'yarn', 15.0, 'P/Q', 'S16; S18', 'P-19 (S21)', NULL, '', TRUE, '', 'S16; S18; S21'),
        (23, 'yarn', 15.75, 'Q', 'S17', NULL, NULL, '', FALSE, 'printed together with 16 mm', 'S17'),
        (24, 'yarn', 16.0, 'Q', 'S01; S02; S17; S21', NULL, NULL, '', TRUE, 'where yarn weight 6 ends and 7 begins', 'S01; S02; S17; S21'),
        (25, 'yarn', 17.5, 'R', 'S21', NULL, NULL, '', FALSE, 'in one table only', 'S21'),
        (26, 'yarn', 19.0, 'S', 'S21', NULL, NULL, '', TRUE, '', 'S21'),
        (27, 'thread', 1.0, NULL, '', '# 6 (S18)', '19', 'S18', TRUE, 'the UK number is that of the needle', 'S18'),
        (28, 'thread', 1.25, NULL, '', '# 4 (S18)', '18', 'S18', TRUE, 'the UK number is that of the needle', 'S18'),
        (29, 'thread', 1.5, NULL, '', '# 2 (S18)', '17', 'S18', TRUE, 'the UK number is that of the needle', 'S18'),
        (30, 'thread', 1.75, NULL, '', '# 0 (S18)', '15', 'S18', TRUE, 'the UK number is that of the needle', 'S18'),
        (31, 'steel', 0.75, 'Steel 14', 'S22', NULL, NULL, '', FALSE, 'the higher the number, the thinner', 'S22; S23'),
        (32, 'steel', 1.4, 'Steel 8', 'S02; S03', NULL, NULL, '', FALSE, 'as an older table of yarn weights has it, thinner than the run with the same numbers elsewhere', 'S02; S03'),
        (33, 'steel', 1.5, 'Steel 7', 'S02; S03', NULL, NULL, '', FALSE, 'as an older table of yarn weights has it, thinner than the run with the same numbers elsewhere', 'S02; S03; derived: between the two ends that are printed'),
        (34, 'steel', 1.5, 'Steel 8', 'S01', NULL, NULL, '', FALSE, 'as a newer table of yarn weights has it, which prints only the two ends', 'S01'),
        (35, 'steel', 1.6, 'Steel 6', 'S02; S03', NULL, NULL, '', FALSE, 'as an older table of yarn weights has it, thinner than the run with the same numbers elsewhere', 'S02; S03'),
        (36, 'steel', 1.65, 'Steel 7', 'S24', NULL, NULL, '', FALSE, 'the higher the number, the thinner', 'S24; S23'),
        (37, 'steel', 2.25, 'Steel 1', 'S01', NULL, NULL, '', FALSE, 'as a newer table of yarn weights has it, which prints only the two ends', 'S01'),
        (38, 'steel', 3.5, 'Steel 00', 'S22', NULL, NULL, '', FALSE, 'the higher the number, the thinner', 'S22; S23')
)
INSERT INTO hooks (
    studio_id, position, kind, mm, us, us_source, us_also, uk_old, uk_source, usual, note, source
)
SELECT studios.id, published.* FROM studios CROSS JOIN published;
