"""Step 13: what a heat spot is asked before the bar counts as cold, kept with the spot.

`hit.cold_wait_min`: time between the two readings that must agree, minutes; `hit.cold_dial_in`:
the graduation within which they agree. NULL = the press, or a spot noted before this step.
"""

from __future__ import annotations

M0013_COLD_RULE = (
    "DROP INDEX hit_row_copy",
    "ALTER TABLE hit ADD COLUMN cold_wait_min REAL CHECK (cold_wait_min > 0)",
    "ALTER TABLE hit ADD COLUMN cold_dial_in REAL CHECK (cold_dial_in > 0)",
    "CREATE INDEX hit_row_copy ON hit (id, job_id, round_no, method, station_in, clock_deg, "
    "angle_rad, load_lbf, travel_in, stays_in, by, at, notes, undone_at, blocks_in, diameter_in, "
    "temperature_f, corrects, overrule_by, overrule_reason, spot_length_in, spot_arc_deg, "
    "cold_wait_min, cold_dial_in)",
)
