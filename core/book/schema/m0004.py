"""Step 4: what a hit was made with and by whom, corrections, and who did what at a penetrant check.

`hit.blocks_in`, `hit.diameter_in`: block spacing and shaft diameter at the place of the hit.
`hit.temperature_f`: highest temperature measured at a heat spot.
`hit.corrects`: the entry this one replaces; the first entry keeps its row, marked as undone.
`hit.overrule_by`, `hit.overrule_reason`: who let the hit be made in spite of a refusal, and why.
`job.blocks_in`, `job.worker`: set-up of the press for this job, and who works at it.
`penetrant_condition`: what was stated about a job's check, when and by whom; the newest row holds.
"""

from __future__ import annotations

M0004_MADE_BY = (
    "ALTER TABLE hit ADD COLUMN blocks_in REAL CHECK (blocks_in > 0 AND blocks_in < 10000)",
    "ALTER TABLE hit ADD COLUMN diameter_in REAL CHECK (diameter_in > 0 AND diameter_in < 1000)",
    "ALTER TABLE hit ADD COLUMN temperature_f REAL CHECK (temperature_f > -460)",
    "ALTER TABLE hit ADD COLUMN corrects TEXT REFERENCES hit (id)",
    "ALTER TABLE hit ADD COLUMN overrule_by TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE hit ADD COLUMN overrule_reason TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE job ADD COLUMN blocks_in REAL CHECK (blocks_in > 0 AND blocks_in < 10000)",
    "ALTER TABLE job ADD COLUMN worker TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE penetrant_check ADD COLUMN penetrant_by TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE penetrant_check ADD COLUMN wiped_by TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE penetrant_check ADD COLUMN developer_by TEXT NOT NULL DEFAULT ''",
    """CREATE TABLE penetrant_condition (
        id TEXT PRIMARY KEY NOT NULL,
        job_id TEXT NOT NULL REFERENCES job (id),
        at TEXT NOT NULL,
        by TEXT NOT NULL DEFAULT '',
        standard TEXT NOT NULL,
        cold INTEGER NOT NULL DEFAULT 0 CHECK (cold IN (0, 1)),
        short_dwell INTEGER NOT NULL DEFAULT 0 CHECK (short_dwell IN (0, 1))
    ) STRICT""",
    "CREATE INDEX penetrant_condition_of_job ON penetrant_condition (job_id)",
)
