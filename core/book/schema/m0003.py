"""Step 3: what the shop states about a penetrant check, so that its clock keeps the right times."""

from __future__ import annotations

M0003_CONDITIONS = (
    "ALTER TABLE penetrant_check ADD COLUMN cold INTEGER NOT NULL DEFAULT 0 CHECK (cold IN (0, 1))",
    "ALTER TABLE penetrant_check ADD COLUMN short_dwell INTEGER NOT NULL DEFAULT 0 "
    "CHECK (short_dwell IN (0, 1))",
)
"""Cold: the shaft at 40 to 50 F. Short dwell: the standard's conditions for it are met."""
