-- Version 1. Every instant is UTC in milliseconds since 1970 (`*_ms`); `*_offset_min` is what the clock
-- that told it lay ahead of UTC, in minutes, and is kept for display only. Every table has an integer
-- key that grows in the order of arrival: that order holds even when a clock is set back.

CREATE TABLE store_info (
    id         INTEGER PRIMARY KEY CHECK (id = 1),
    device_uid TEXT NOT NULL                 -- which phone or computer wrote here
) STRICT;

CREATE TABLE systems (
    id         INTEGER PRIMARY KEY,
    uid        TEXT NOT NULL UNIQUE,         -- the same on every phone
    first_name TEXT NOT NULL,                -- the name now is that of the latest record version
    created_ms INTEGER NOT NULL,
    created_offset_min INTEGER NOT NULL
) STRICT;

CREATE TABLE record_versions (
    id          INTEGER PRIMARY KEY,
    system_id   INTEGER NOT NULL REFERENCES systems (id),
    name        TEXT NOT NULL,
    hash        TEXT NOT NULL,               -- BLAKE3 of the text, hexadecimal
    parent_hash TEXT,                        -- the version that was edited
    toml        TEXT NOT NULL,               -- the record exactly as written
    created_ms  INTEGER NOT NULL,
    created_offset_min INTEGER NOT NULL,
    device_uid  TEXT NOT NULL
) STRICT;
CREATE INDEX record_versions_of_system ON record_versions (system_id);

CREATE TABLE sources (                       -- who says it: `ble:SERIAL`, `log:SERIAL`, `file`, `typed`
    id   INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE
) STRICT;

CREATE TABLE sessions (
    id         INTEGER PRIMARY KEY,
    uid        TEXT NOT NULL UNIQUE,
    system_id  INTEGER NOT NULL REFERENCES systems (id),
    source_id  INTEGER NOT NULL REFERENCES sources (id),
    serial     TEXT,                         -- of the controller, once it has said it
    started_ms INTEGER NOT NULL,
    started_offset_min INTEGER NOT NULL,
    ended_ms   INTEGER,                      -- null: still open, or the program was killed
    ended_offset_min INTEGER,
    end_reason TEXT
) STRICT;
CREATE INDEX sessions_of_system ON sessions (system_id);

CREATE TABLE frames (                        -- bytes as the radio delivered them
    id             INTEGER PRIMARY KEY,
    session_id     INTEGER NOT NULL REFERENCES sessions (id),
    received_ms    INTEGER NOT NULL,         -- on the receiving device's clock
    characteristic BLOB NOT NULL,            -- 128-bit UUID, big-endian
    bytes          BLOB NOT NULL
) STRICT;
CREATE INDEX frames_of_session ON frames (session_id);

CREATE TABLE readings (
    id            INTEGER PRIMARY KEY,
    system_id     INTEGER NOT NULL REFERENCES systems (id),
    at_ms         INTEGER NOT NULL,
    at_offset_min INTEGER NOT NULL,
    source_id     INTEGER NOT NULL REFERENCES sources (id),
    twin          INTEGER NOT NULL DEFAULT 0, -- 1, 2, ...: same instant said again with other values
    session_id    INTEGER REFERENCES sessions (id),
    device_ms     INTEGER,                   -- the controller's own running time, never set back
    state         INTEGER,                   -- 0 running, 1 starting, 2 stopped, 3 tripped
    flags         INTEGER,                   -- bit set; 0 is "told, none raised", null is "not told"
    array_v         REAL,                    -- V
    array_a         REAL,                    -- A
    motor_rpm       REAL,                    -- rpm
    phase_u_a       REAL,                    -- A rms
    phase_v_a       REAL,                    -- A rms
    phase_w_a       REAL,                    -- A rms
    output_v        REAL,                    -- V rms
    controller_c    REAL,                    -- degC
    irradiance_w_m2 REAL,                    -- W/m2
    module_c        REAL,                    -- degC
    air_c           REAL,                    -- degC
    flow_m3_h       REAL,                    -- m3/h
    wellhead_kpa    REAL,                    -- kPa gauge
    water_level_m   REAL,                    -- m below the wellhead
    tank_level_pct  REAL,                    -- %
    volume_m3       REAL,                    -- m3
    energy_kwh      REAL,                    -- kWh
    UNIQUE (system_id, at_ms, source_id, twin)
) STRICT;

CREATE TABLE gaps (                          -- stretches in which nothing was received
    id         INTEGER PRIMARY KEY,
    session_id INTEGER NOT NULL REFERENCES sessions (id),
    from_ms    INTEGER NOT NULL,
    from_offset_min INTEGER NOT NULL,
    to_ms      INTEGER NOT NULL,
    to_offset_min INTEGER NOT NULL,
    missing    INTEGER,                      -- frames, when their numbers tell
    reason     TEXT NOT NULL
) STRICT;
CREATE INDEX gaps_of_session ON gaps (session_id);

CREATE TABLE checks_made (
    id         INTEGER PRIMARY KEY,
    system_id  INTEGER NOT NULL REFERENCES systems (id),
    code       TEXT NOT NULL,
    at_ms      INTEGER,                      -- on the person's clock; null: not said
    at_offset_min INTEGER,
    answers    TEXT NOT NULL,                -- JSON, tagged by kind
    saved_ms   INTEGER NOT NULL,
    saved_offset_min INTEGER NOT NULL
) STRICT;
CREATE INDEX checks_made_of_system ON checks_made (system_id);

CREATE TABLE findings (
    id             INTEGER PRIMARY KEY,
    system_id      INTEGER NOT NULL REFERENCES systems (id),
    created_ms     INTEGER NOT NULL,
    created_offset_min INTEGER NOT NULL,
    window_from_ms INTEGER,
    window_to_ms   INTEGER,
    verdict        TEXT NOT NULL,
    model_version  TEXT NOT NULL,
    record_hash    TEXT NOT NULL,            -- of the record version it was reached with
    json           TEXT NOT NULL             -- the whole finding
) STRICT;
CREATE INDEX findings_of_system ON findings (system_id);
