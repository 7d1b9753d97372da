"""Step 10: who entered a reading, so that two books that read one mark can name both people.

'' = entered before this step, or nobody was named: then it is who read the sweep.
"""

from __future__ import annotations

M0010_READ_BY = (
    "DROP INDEX reading_row_copy",
    "ALTER TABLE reading ADD COLUMN by TEXT NOT NULL DEFAULT ''",
    "CREATE INDEX reading_row_copy ON reading (id, sweep_id, station_in, clock_deg, value_in, raw, "
    "kind, taken_at, replaced_by, by)",
)
