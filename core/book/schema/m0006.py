"""Step 6: a job is found under a past owner's name as that name is now (corrected or erased)."""

from __future__ import annotations

M0006_PAST_OWNER = (
    """CREATE TRIGGER search_past_owner_changed AFTER UPDATE ON customer BEGIN
        INSERT OR IGNORE INTO search_todo (job_id) SELECT job.id FROM job
        JOIN shaft ON shaft.id = job.shaft_id
        WHERE shaft.vessel_id IN (SELECT subject_id FROM past
            WHERE json_extract(facts, '$.vessel.customer_id') = NEW.id); END""",
)
