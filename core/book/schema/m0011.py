"""Step 11: how a job is or ended is searched too; all jobs are indexed again with the words of
sizes, sides and outcomes (`core.book.search.words`).
"""

from __future__ import annotations

M0011_SEARCH_STATE = (
    "DROP TRIGGER search_job_changed",
    """CREATE TRIGGER search_job_changed
        AFTER UPDATE OF tag, shaft_id, state, opened_at, complaint, notes ON job BEGIN
        INSERT OR IGNORE INTO search_todo (job_id) VALUES (NEW.id); END""",
    "INSERT OR IGNORE INTO search_todo (job_id) SELECT id FROM job",
)
