"""Step 8: the limits a shop judges by are in its book, so that a later release's defaults do not
judge old jobs again. The values are those every book without its own limits was judged by.
"""

from __future__ import annotations

_JUDGED_BY = {
    "limit_taper_in": "0.002",
    "limit_bearing_in": "0.002",
    "limit_shaft_log_in": "0.002",
    "limit_coupling_in": "0.002",
    "limit_other_in": "0.002",
    "limit_between_in": "0.002",
    "acceptance_rule": '"guarded"',
    "bore_clearance_least_in": "0.0",
    "bore_clearance_most_in": "0.001",
    "face_limit_in": "0.002",
    "pilot_limit_in": "0.002",
}
M0008_JUDGED_BY = tuple(
    f"INSERT OR IGNORE INTO setting (name, value) VALUES ('{name}', '{value}')"
    for name, value in _JUDGED_BY.items()
)
