"""Step 7: what was read while a hit was made: each load and release under the ram, each look at a
cooling bar; and how large a heat spot was.

`hit_reading.kind`: 'load' (`travel_in` under load, `value_in` what the dial stays at after release)
or 'cooling' (`value_in` at one mark, the shaft lying still). A correction of the hit takes its
readings along; one taken back keeps its row.
`hit.spot_length_in`, `hit.spot_arc_deg`: size of a heat spot along the shaft and round it.
"""

from __future__ import annotations

M0007_HIT_READINGS = (
    """CREATE TABLE hit_reading (
        id TEXT PRIMARY KEY NOT NULL,
        job_id TEXT NOT NULL REFERENCES job (id),
        hit_id TEXT NOT NULL REFERENCES hit (id),
        kind TEXT NOT NULL CHECK (kind IN ('load', 'cooling')),
        at TEXT NOT NULL,
        by TEXT NOT NULL DEFAULT '',
        value_in REAL NOT NULL,
        travel_in REAL,
        undone_at TEXT
    ) STRICT""",
    "ALTER TABLE hit ADD COLUMN spot_length_in REAL CHECK (spot_length_in > 0)",
    "ALTER TABLE hit ADD COLUMN spot_arc_deg REAL CHECK (spot_arc_deg > 0 AND spot_arc_deg <= 360)",
    "CREATE INDEX hit_reading_of_job ON hit_reading (job_id)",
)
