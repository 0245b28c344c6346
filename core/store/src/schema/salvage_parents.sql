-- After salvage: rows whose system, source or session could not be read get a stand-in for it, so that
-- no reading is dropped for want of a parent.

INSERT INTO systems (id, uid, first_name, created_ms, created_offset_min)
SELECT id, 'salvaged-' || lower(hex(randomblob(16))), 'Salvaged system ' || id, 0, 0
FROM (
    SELECT system_id AS id FROM record_versions
    UNION SELECT system_id FROM sessions
    UNION SELECT system_id FROM readings
    UNION SELECT system_id FROM checks_made
    UNION SELECT system_id FROM findings
) WHERE id NOT IN (SELECT id FROM systems);

-- Frames and gaps without their session and without any system to hang on to.
INSERT INTO systems (uid, first_name, created_ms, created_offset_min)
SELECT 'salvaged-' || lower(hex(randomblob(16))), 'Salvaged sessions', 0, 0
WHERE EXISTS (
    SELECT session_id FROM frames UNION SELECT session_id FROM gaps
    EXCEPT SELECT id FROM sessions EXCEPT SELECT session_id FROM readings
);

INSERT INTO sources (id, name)
SELECT id, 'salvaged-' || id
FROM (SELECT source_id AS id FROM sessions UNION SELECT source_id FROM readings)
WHERE id NOT IN (SELECT id FROM sources);

INSERT OR IGNORE INTO sources (name) VALUES ('salvaged');

INSERT INTO sessions (id, uid, system_id, source_id, started_ms, started_offset_min, end_reason)
SELECT lost.id, 'salvaged-' || lower(hex(randomblob(16))),
       coalesce((SELECT system_id FROM readings WHERE session_id = lost.id LIMIT 1),
                (SELECT max(id) FROM systems)),
       coalesce((SELECT source_id FROM readings WHERE session_id = lost.id LIMIT 1),
                (SELECT id FROM sources WHERE name = 'salvaged')),
       coalesce((SELECT min(at_ms) FROM readings WHERE session_id = lost.id), 0), 0, 'salvaged'
FROM (
    SELECT session_id AS id FROM frames
    UNION SELECT session_id FROM gaps
    UNION SELECT session_id FROM readings WHERE session_id IS NOT NULL
) AS lost WHERE lost.id NOT IN (SELECT id FROM sessions);
