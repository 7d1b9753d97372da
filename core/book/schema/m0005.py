"""Step 5: what a job states about itself, and what was true at an earlier visit.

`choice`: prices of a job, set-ups of bore, face, key, shaft end and sizes, parts offered, answers
of check lists. Before, these were text in `setting` and `measurement`. A changed choice is a new
row; the newest one counts.

`past`: a vessel or a shaft as it was until a moment. Rows of the vessel and the shaft themselves
are what holds since then.

Measurements say by whom. Conditions of a penetrant check that were kept as a half-filled form are
rows of `penetrant_condition`.
"""

from __future__ import annotations

_CHOICE = (
    """CREATE TABLE choice (
        id TEXT PRIMARY KEY NOT NULL,
        job_id TEXT NOT NULL REFERENCES job (id),
        subject TEXT NOT NULL CHECK (subject <> ''),
        name TEXT NOT NULL CHECK (name <> ''),
        set_no INTEGER NOT NULL DEFAULT 1 CHECK (set_no >= 1),
        value TEXT NOT NULL DEFAULT '',
        number REAL CHECK (number > -1e12 AND number < 1e12),
        note TEXT NOT NULL DEFAULT '',
        by TEXT NOT NULL DEFAULT '',
        at TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX choice_of_job ON choice (job_id, subject)",
    """CREATE TRIGGER choice_is_never_rewritten BEFORE UPDATE ON choice
        BEGIN SELECT RAISE(ABORT, 'a choice is never rewritten'); END""",
    """CREATE TRIGGER choice_is_never_deleted BEFORE DELETE ON choice
        BEGIN SELECT RAISE(ABORT, 'a choice is never deleted'); END""",
)

_PAST = (
    """CREATE TABLE past (
        id TEXT PRIMARY KEY NOT NULL,
        subject TEXT NOT NULL CHECK (subject IN ('vessel', 'shaft')),
        subject_id TEXT NOT NULL,
        until_at TEXT NOT NULL,
        facts TEXT NOT NULL CHECK (json_valid(facts)),
        why TEXT NOT NULL DEFAULT '',
        by TEXT NOT NULL DEFAULT '',
        at TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX past_of_subject ON past (subject_id, until_at)",
    """CREATE TRIGGER search_past_added AFTER INSERT ON past BEGIN
        INSERT OR IGNORE INTO search_todo (job_id) SELECT job.id FROM job
        JOIN shaft ON shaft.id = job.shaft_id
        WHERE NEW.subject_id IN (shaft.id, shaft.vessel_id); END""",
)

_COLUMNS = ("ALTER TABLE measurement ADD COLUMN by TEXT NOT NULL DEFAULT ''",)

_SUBJECTS = (
    "'coupling setup', 'face setup', 'key setup', 'shaft end setup', 'riding area setup', "
    "'sizes', 'parts', 'key check'"
)
# A row taken back is left out: what it had replaced was stored once more behind it.
_OF_SETUPS = (
    f"FROM measurement AS m WHERE m.subject IN ({_SUBJECTS}) AND m.replaced_by IS NOT m.id "
    "AND EXISTS (SELECT 1 FROM measurement AS s WHERE s.job_id = m.job_id "
    "AND s.subject = m.subject AND s.what = m.what AND s.set_no = m.set_no "
    "AND s.replaced_by IS NULL)"
)
_GUARD = "measurement_is_never_deleted"
# 'yes, J. Marlow: burr dressed' -> answer, by, note
_HEAD = "substr(m.raw, 1, instr(m.raw || ':', ':') - 1)"
_MOVED = (
    "INSERT INTO choice (id, job_id, subject, name, set_no, value, number, note, by, at) "
    "SELECT m.id, m.job_id, m.subject, m.what, m.set_no, m.raw, m.value_in, '', '', m.taken_at "
    f"{_OF_SETUPS} AND m.subject <> 'key check'",
    "INSERT INTO choice (id, job_id, subject, name, set_no, value, note, by, at) "
    "SELECT m.id, m.job_id, m.subject, m.what, m.set_no, "
    f"trim(substr({_HEAD}, 1, instr({_HEAD} || ',', ',') - 1)), "
    "iif(instr(m.raw, ':'), trim(substr(m.raw, instr(m.raw, ':') + 1)), ''), "
    f"iif(instr({_HEAD}, ','), trim(substr({_HEAD}, instr({_HEAD}, ',') + 1)), ''), m.taken_at "
    f"{_OF_SETUPS} AND m.subject = 'key check'",
    f"DROP TRIGGER {_GUARD}",
    f"DELETE FROM measurement WHERE subject IN ({_SUBJECTS})",
    f"""CREATE TRIGGER {_GUARD} BEFORE DELETE ON measurement
        BEGIN SELECT RAISE(ABORT, 'a measurement is never deleted'); END""",
    # Two copies of one book that are brought up to date apart must give the same rows: ids are
    # made from the job and the name.
    "INSERT INTO choice (id, job_id, subject, name, value, number, at) "
    "SELECT job.id || '.terms.' || one.key, job.id, 'repair terms', one.key, "
    "iif(one.type = 'text', one.value, ''), iif(one.type IN ('integer', 'real'), one.value, NULL), "
    "job.opened_at FROM job JOIN setting ON setting.name = 'repair terms ' || job.id, "
    "json_each(setting.value) AS one WHERE one.type IN ('text', 'integer', 'real')",
    "DELETE FROM setting WHERE name GLOB 'repair terms *'",
    "INSERT INTO penetrant_condition (id, job_id, at, standard, cold, short_dwell) "
    "SELECT job.id || '.penetrant', job.id, draft.saved_at, "
    "coalesce(json_extract(draft.fields, '$.standard'), ''), "
    "coalesce(json_extract(draft.fields, '$.cold') = 'yes', 0), "
    "coalesce(json_extract(draft.fields, '$.short_dwell') = 'yes', 0) "
    "FROM job JOIN draft ON draft.name = 'penetrant ' || job.id",
    "DELETE FROM draft WHERE name IN (SELECT 'penetrant ' || id FROM job)",
)

M0005_CHOICES = (*_CHOICE, *_PAST, *_COLUMNS, *_MOVED)
