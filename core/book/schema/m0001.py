"""Step 1: the tables of the job book, STRICT, NOT NULL unless 'not known' is a real answer."""

from __future__ import annotations

_CUSTOMER_TO_SHAFT = (
    """CREATE TABLE customer (
        id TEXT PRIMARY KEY NOT NULL,
        name TEXT NOT NULL,
        phone TEXT NOT NULL DEFAULT '',
        email TEXT NOT NULL DEFAULT '',
        address TEXT NOT NULL DEFAULT '',
        notes TEXT NOT NULL DEFAULT '',
        forgotten_at TEXT
    ) STRICT""",
    """CREATE TABLE vessel (
        id TEXT PRIMARY KEY NOT NULL,
        customer_id TEXT NOT NULL REFERENCES customer (id),
        name TEXT NOT NULL,
        kind TEXT NOT NULL DEFAULT '',
        engine_hp REAL CHECK (engine_hp > 0 AND engine_hp < 1e6),
        shaft_rpm REAL CHECK (shaft_rpm > 0 AND shaft_rpm < 1e5),
        notes TEXT NOT NULL DEFAULT ''
    ) STRICT""",
    "CREATE INDEX vessel_of_customer ON vessel (customer_id)",
    """CREATE TABLE shaft (
        id TEXT PRIMARY KEY NOT NULL,
        vessel_id TEXT NOT NULL REFERENCES vessel (id),
        position TEXT NOT NULL DEFAULT '',
        material TEXT NOT NULL DEFAULT '',
        condition TEXT NOT NULL DEFAULT '',
        diameter_in REAL NOT NULL CHECK (diameter_in > 0 AND diameter_in < 100),
        length_in REAL NOT NULL CHECK (length_in > diameter_in AND length_in < 10000),
        zero_end TEXT NOT NULL DEFAULT 'coupling' CHECK (zero_end IN ('coupling', 'propeller')),
        notes TEXT NOT NULL DEFAULT ''
    ) STRICT""",
    "CREATE INDEX shaft_of_vessel ON shaft (vessel_id)",
    """CREATE TABLE riding_area (
        id TEXT PRIMARY KEY NOT NULL,
        shaft_id TEXT NOT NULL REFERENCES shaft (id),
        kind TEXT NOT NULL CHECK (kind IN ('taper', 'bearing', 'shaft log', 'coupling', 'other')),
        name TEXT NOT NULL DEFAULT '',
        from_in REAL NOT NULL CHECK (from_in >= 0),
        to_in REAL NOT NULL CHECK (to_in > from_in),
        limit_in REAL CHECK (limit_in > 0 AND limit_in < 10)
    ) STRICT""",
    "CREATE INDEX area_of_shaft ON riding_area (shaft_id)",
)

_JOB = (
    """CREATE TABLE job (
        id TEXT PRIMARY KEY NOT NULL,
        tag TEXT NOT NULL UNIQUE CHECK (tag <> ''),
        shaft_id TEXT NOT NULL REFERENCES shaft (id),
        state TEXT NOT NULL DEFAULT 'open'
            CHECK (state IN ('open', 'waiting', 'released', 'replaced', 'returned')),
        opened_at TEXT NOT NULL,
        closed_at TEXT,
        roller_a_in REAL CHECK (roller_a_in >= 0),
        roller_b_in REAL CHECK (roller_b_in >= 0),
        complaint TEXT NOT NULL DEFAULT '',
        due TEXT NOT NULL DEFAULT '',
        notes TEXT NOT NULL DEFAULT '',
        waiting_for TEXT NOT NULL DEFAULT '',
        work TEXT NOT NULL CHECK (json_valid(work)),
        CHECK ((closed_at IS NULL) = (state IN ('open', 'waiting'))),
        CHECK (roller_a_in IS NULL OR roller_b_in IS NULL OR roller_a_in <> roller_b_in)
    ) STRICT""",
    "CREATE INDEX job_of_shaft ON job (shaft_id)",
    "CREATE INDEX job_still_open ON job (opened_at) WHERE closed_at IS NULL",
    """CREATE TABLE note (
        id TEXT PRIMARY KEY NOT NULL,
        job_id TEXT NOT NULL REFERENCES job (id),
        topic TEXT NOT NULL DEFAULT '',
        text TEXT NOT NULL,
        by TEXT NOT NULL DEFAULT '',
        at TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX note_of_job ON note (job_id)",
)

_SWEEP = (
    """CREATE TABLE sweep (
        id TEXT PRIMARY KEY NOT NULL,
        job_id TEXT NOT NULL REFERENCES job (id),
        purpose TEXT NOT NULL CHECK
            (purpose IN ('as received', 'working', 'hold check', 'final', 'quick check')),
        started_at TEXT NOT NULL,
        finished_at TEXT,
        roller_a_in REAL NOT NULL CHECK (roller_a_in >= 0),
        roller_b_in REAL NOT NULL CHECK (roller_b_in >= 0 AND roller_b_in <> roller_a_in),
        direction INTEGER NOT NULL DEFAULT 1 CHECK (direction IN (1, -1)),
        marks_deg TEXT NOT NULL CHECK (json_valid(marks_deg)),
        resolution_in REAL NOT NULL CHECK (resolution_in > 0 AND resolution_in < 1),
        repeatability_in REAL CHECK (repeatability_in > 0 AND repeatability_in < 1),
        dial_turn_in REAL NOT NULL CHECK (dial_turn_in > 0 AND dial_turn_in < 10),
        gauge TEXT NOT NULL DEFAULT '',
        measured_by TEXT NOT NULL DEFAULT '',
        stations_in TEXT NOT NULL CHECK (json_valid(stations_in)),
        closing INTEGER NOT NULL DEFAULT 0 CHECK (closing IN (0, 1))
    ) STRICT""",
    "CREATE INDEX sweep_of_job ON sweep (job_id)",
    """CREATE TABLE reading (
        id TEXT PRIMARY KEY NOT NULL,
        sweep_id TEXT NOT NULL REFERENCES sweep (id),
        station_in REAL NOT NULL CHECK (station_in >= 0 AND station_in < 10000),
        clock_deg REAL CHECK (clock_deg >= -360 AND clock_deg <= 720),
        value_in REAL CHECK (value_in > -100 AND value_in < 100),
        raw TEXT NOT NULL,
        kind TEXT NOT NULL CHECK (kind IN ('mark', 'closing', 'blocked', 'tir', 'high spot')),
        taken_at TEXT NOT NULL,
        replaced_by TEXT REFERENCES reading (id) DEFERRABLE INITIALLY DEFERRED,
        CHECK ((value_in IS NULL) = (kind IN ('blocked', 'high spot'))),
        CHECK ((clock_deg IS NULL) = (kind = 'tir')),
        CHECK (kind <> 'tir' OR value_in >= 0)
    ) STRICT""",
    "CREATE INDEX reading_of_sweep ON reading (sweep_id, station_in)",
    """CREATE TRIGGER reading_is_never_rewritten BEFORE UPDATE ON reading
        WHEN OLD.replaced_by IS NOT NULL OR NEW.replaced_by IS NULL
            OR NEW.id IS NOT OLD.id OR NEW.sweep_id IS NOT OLD.sweep_id
            OR NEW.station_in IS NOT OLD.station_in OR NEW.clock_deg IS NOT OLD.clock_deg
            OR NEW.value_in IS NOT OLD.value_in OR NEW.raw IS NOT OLD.raw
            OR NEW.kind IS NOT OLD.kind OR NEW.taken_at IS NOT OLD.taken_at
        BEGIN SELECT RAISE(ABORT, 'a reading is never rewritten'); END""",
    """CREATE TRIGGER reading_is_never_deleted BEFORE DELETE ON reading
        BEGIN SELECT RAISE(ABORT, 'a reading is never deleted'); END""",
    """CREATE TABLE quick_check (
        id TEXT PRIMARY KEY NOT NULL,
        job_id TEXT NOT NULL REFERENCES job (id),
        round_no INTEGER NOT NULL CHECK (round_no >= 1),
        sweep_id TEXT NOT NULL REFERENCES sweep (id)
    ) STRICT""",
    "CREATE INDEX quick_check_of_job ON quick_check (job_id)",
)

_STRAIGHTEN = (
    """CREATE TABLE hit (
        id TEXT PRIMARY KEY NOT NULL,
        job_id TEXT NOT NULL REFERENCES job (id),
        round_no INTEGER NOT NULL CHECK (round_no >= 1),
        method TEXT NOT NULL CHECK (method IN ('press', 'heat')),
        station_in REAL NOT NULL CHECK (station_in >= 0 AND station_in < 10000),
        clock_deg REAL NOT NULL CHECK (clock_deg >= -360 AND clock_deg <= 720),
        angle_rad REAL NOT NULL CHECK (angle_rad >= 0 AND angle_rad < 3),
        load_lbf REAL CHECK (load_lbf >= 0),
        travel_in REAL CHECK (travel_in > -100 AND travel_in < 100),
        stays_in REAL CHECK (stays_in > -100 AND stays_in < 100),
        by TEXT NOT NULL DEFAULT '',
        at TEXT NOT NULL,
        notes TEXT NOT NULL DEFAULT '',
        undone_at TEXT
    ) STRICT""",
    "CREATE INDEX hit_of_job ON hit (job_id)",
    """CREATE TABLE penetrant_check (
        id TEXT PRIMARY KEY NOT NULL,
        job_id TEXT NOT NULL REFERENCES job (id),
        standard TEXT NOT NULL DEFAULT '',
        area TEXT NOT NULL,
        from_in REAL NOT NULL CHECK (from_in >= 0),
        to_in REAL NOT NULL CHECK (to_in >= from_in),
        penetrant_at TEXT,
        wiped_at TEXT,
        developer_at TEXT,
        inspected_at TEXT,
        result TEXT NOT NULL DEFAULT '' CHECK (result IN ('', 'clear', 'crack', 'unclear')),
        notes TEXT NOT NULL DEFAULT '',
        by TEXT NOT NULL DEFAULT '',
        overrule_by TEXT NOT NULL DEFAULT '',
        overrule_reason TEXT NOT NULL DEFAULT '',
        CHECK ((overrule_by = '') = (overrule_reason = ''))
    ) STRICT""",
    "CREATE INDEX penetrant_check_of_job ON penetrant_check (job_id)",
)

_COUPLING = (
    """CREATE TABLE measurement (
        id TEXT PRIMARY KEY NOT NULL,
        job_id TEXT NOT NULL REFERENCES job (id),
        subject TEXT NOT NULL CHECK (subject <> ''),
        what TEXT NOT NULL CHECK (what <> ''),
        set_no INTEGER NOT NULL DEFAULT 1 CHECK (set_no >= 1),
        depth_in REAL CHECK (depth_in > -10000 AND depth_in < 10000),
        clock_deg REAL CHECK (clock_deg >= -360 AND clock_deg <= 720),
        value_in REAL CHECK (value_in > -10000 AND value_in < 10000),
        raw TEXT NOT NULL,
        taken_at TEXT NOT NULL,
        replaced_by TEXT REFERENCES measurement (id) DEFERRABLE INITIALLY DEFERRED
    ) STRICT""",
    "CREATE INDEX measurement_of_job ON measurement (job_id, subject)",
    """CREATE TRIGGER measurement_is_never_rewritten BEFORE UPDATE ON measurement
        WHEN OLD.replaced_by IS NOT NULL OR NEW.replaced_by IS NULL
            OR NEW.id IS NOT OLD.id OR NEW.job_id IS NOT OLD.job_id
            OR NEW.subject IS NOT OLD.subject OR NEW.what IS NOT OLD.what
            OR NEW.set_no IS NOT OLD.set_no OR NEW.depth_in IS NOT OLD.depth_in
            OR NEW.clock_deg IS NOT OLD.clock_deg OR NEW.value_in IS NOT OLD.value_in
            OR NEW.raw IS NOT OLD.raw OR NEW.taken_at IS NOT OLD.taken_at
        BEGIN SELECT RAISE(ABORT, 'a measurement is never rewritten'); END""",
    """CREATE TRIGGER measurement_is_never_deleted BEFORE DELETE ON measurement
        BEGIN SELECT RAISE(ABORT, 'a measurement is never deleted'); END""",
)

_PAPER = (
    """CREATE TABLE quote (
        id TEXT PRIMARY KEY NOT NULL,
        job_id TEXT NOT NULL REFERENCES job (id),
        at TEXT NOT NULL,
        kind TEXT NOT NULL CHECK (kind IN ('repair', 'replace', 'both')),
        text TEXT NOT NULL DEFAULT ''
    ) STRICT""",
    "CREATE INDEX quote_of_job ON quote (job_id)",
    """CREATE TABLE quote_line (
        quote_id TEXT NOT NULL REFERENCES quote (id),
        line_no INTEGER NOT NULL,
        label TEXT NOT NULL,
        quantity REAL NOT NULL,
        unit_price REAL NOT NULL,
        amount REAL NOT NULL,
        PRIMARY KEY (quote_id, line_no)
    ) STRICT""",
    """CREATE TABLE release (
        id TEXT PRIMARY KEY NOT NULL,
        job_id TEXT NOT NULL REFERENCES job (id),
        at TEXT NOT NULL,
        by TEXT NOT NULL CHECK (by <> ''),
        overrule_by TEXT NOT NULL DEFAULT '',
        overrule_reason TEXT NOT NULL DEFAULT '',
        ticket_text TEXT NOT NULL,
        ticket_html TEXT NOT NULL,
        CHECK ((overrule_by = '') = (overrule_reason = ''))
    ) STRICT""",
    "CREATE INDEX release_of_job ON release (job_id)",
    # The one way a ticket changes: the owner's personal data is struck out on request.
    """CREATE TRIGGER released_ticket_is_frozen BEFORE UPDATE ON release
        WHEN NOT EXISTS (
            SELECT 1 FROM job JOIN shaft ON shaft.id = job.shaft_id
            JOIN vessel ON vessel.id = shaft.vessel_id
            JOIN customer ON customer.id = vessel.customer_id
            WHERE job.id = OLD.job_id AND customer.forgotten_at IS NOT NULL)
        BEGIN SELECT RAISE(ABORT, 'a released ticket is never changed'); END""",
    """CREATE TRIGGER released_ticket_is_kept BEFORE DELETE ON release
        BEGIN SELECT RAISE(ABORT, 'a released ticket is never deleted'); END""",
)

_SHOP = (
    """CREATE TABLE setting (
        name TEXT PRIMARY KEY NOT NULL,
        value TEXT NOT NULL CHECK (json_valid(value))
    ) STRICT""",
    """CREATE TABLE event (
        id TEXT PRIMARY KEY NOT NULL,
        at TEXT NOT NULL,
        by TEXT NOT NULL DEFAULT '',
        subject TEXT NOT NULL,
        subject_id TEXT NOT NULL,
        what TEXT NOT NULL,
        old TEXT NOT NULL DEFAULT '',
        new TEXT NOT NULL DEFAULT ''
    ) STRICT""",
    "CREATE INDEX event_of_subject ON event (subject, subject_id)",
    """CREATE TABLE presence (
        job_id TEXT NOT NULL REFERENCES job (id),
        bench TEXT NOT NULL,
        by TEXT NOT NULL DEFAULT '',
        seen_at TEXT NOT NULL,
        PRIMARY KEY (job_id, bench)
    ) STRICT""",
    """CREATE TABLE draft (
        name TEXT PRIMARY KEY NOT NULL,
        fields TEXT NOT NULL CHECK (json_valid(fields)),
        saved_at TEXT NOT NULL
    ) STRICT""",
)

M0001_TABLES = (*_CUSTOMER_TO_SHAFT, *_JOB, *_SWEEP, *_STRAIGHTEN, *_COUPLING, *_PAPER, *_SHOP)
