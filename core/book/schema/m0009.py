"""Step 9: each entered row once more, whole, in an index; SQLite's own check compares the two.

SQLite's integrity check holds every row against every index of its table and says where they
differ. An index over all columns therefore finds a value that was changed on the disk in one of the
two places, without a checksum of our own. Cost: one more page written with each entry, and a book
about 1.7 times as large. A later step that adds a column makes the index of that table again.
Source: SQLite documentation, 'PRAGMA integrity_check'.
"""

from __future__ import annotations

_COLUMNS = {
    "customer": "id, name, phone, email, address, notes, forgotten_at",
    "vessel": "id, customer_id, name, kind, engine_hp, shaft_rpm, notes",
    "shaft": "id, vessel_id, position, material, condition, diameter_in, length_in, zero_end, "
    "notes",
    "riding_area": "id, shaft_id, kind, name, from_in, to_in, limit_in",
    "job": "id, tag, shaft_id, state, opened_at, closed_at, roller_a_in, roller_b_in, complaint, "
    "due, notes, waiting_for, work, blocks_in, worker",
    "sweep": "id, job_id, purpose, started_at, finished_at, roller_a_in, roller_b_in, direction, "
    "marks_deg, resolution_in, repeatability_in, dial_turn_in, gauge, measured_by, stations_in, "
    "closing",
    "reading": "id, sweep_id, station_in, clock_deg, value_in, raw, kind, taken_at, replaced_by",
    "quick_check": "id, job_id, round_no, sweep_id",
    "hit": "id, job_id, round_no, method, station_in, clock_deg, angle_rad, load_lbf, travel_in, "
    "stays_in, by, at, notes, undone_at, blocks_in, diameter_in, temperature_f, corrects, "
    "overrule_by, overrule_reason, spot_length_in, spot_arc_deg",
    "hit_reading": "id, job_id, hit_id, kind, at, by, value_in, travel_in, undone_at",
    "penetrant_check": "id, job_id, standard, area, from_in, to_in, penetrant_at, wiped_at, "
    "developer_at, inspected_at, result, notes, by, overrule_by, overrule_reason, cold, "
    "short_dwell, penetrant_by, wiped_by, developer_by",
    "penetrant_condition": "id, job_id, at, by, standard, cold, short_dwell",
    "measurement": "id, job_id, subject, what, set_no, depth_in, clock_deg, value_in, raw, "
    "taken_at, replaced_by, by",
    "choice": "id, job_id, subject, name, set_no, value, number, note, by, at",
    "quote": "id, job_id, at, kind, text",
    "quote_line": "quote_id, line_no, label, quantity, unit_price, amount",
    "release": "id, job_id, at, by, overrule_by, overrule_reason, ticket_text, ticket_html",
    "note": "id, job_id, topic, text, by, at",
    "past": "id, subject, subject_id, until_at, facts, why, by, at",
    "event": "id, at, by, subject, subject_id, what, old, new",
    "setting": "name, value",
}

M0009_ROW_COPIES = tuple(
    f"CREATE INDEX {table}_row_copy ON {table} ({names})" for table, names in _COLUMNS.items()
)
