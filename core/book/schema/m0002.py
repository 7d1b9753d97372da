"""Step 2: the search index, one line of words for each job.

`search_doc` holds the folded words (`core.book.search.words`); `doc_no` rises with the moment the
job was
opened, so that 'newest first' is the order of the index itself. Triggers put every job whose words
may have changed on `search_todo`; the same transaction works that list off before it commits.
"""

from __future__ import annotations

_JOBS_OF_CUSTOMER = (
    "SELECT job.id FROM job JOIN shaft ON shaft.id = job.shaft_id "
    "JOIN vessel ON vessel.id = shaft.vessel_id WHERE vessel.customer_id = NEW.id"
)
_JOBS_OF_VESSEL = (
    "SELECT job.id FROM job JOIN shaft ON shaft.id = job.shaft_id WHERE shaft.vessel_id = NEW.id"
)


def _todo(name: str, when: str, jobs: str) -> str:
    return (
        f"CREATE TRIGGER {name} AFTER {when} BEGIN "
        f"INSERT OR IGNORE INTO search_todo (job_id) {jobs}; END"
    )


M0002_SEARCH = (
    """CREATE TABLE search_doc (
        doc_no INTEGER PRIMARY KEY,
        job_id TEXT NOT NULL UNIQUE REFERENCES job (id),
        who TEXT NOT NULL,
        rest TEXT NOT NULL
    ) STRICT""",
    "CREATE TABLE search_todo (job_id TEXT PRIMARY KEY NOT NULL) STRICT",
    "CREATE TABLE search_word (word TEXT PRIMARY KEY NOT NULL) STRICT, WITHOUT ROWID",
    "CREATE VIRTUAL TABLE search_who USING fts5 (who, content = 'search_doc', "
    "content_rowid = 'doc_no', tokenize = 'ascii', detail = 'none', prefix = '1 2 3 4 5 6 7')",
    "CREATE VIRTUAL TABLE search_all USING fts5 (who, rest, content = 'search_doc', "
    "content_rowid = 'doc_no', tokenize = 'ascii', detail = 'none', prefix = '1 2 3 4 5')",
    "CREATE VIRTUAL TABLE search_part USING fts5 (who, rest, content = 'search_doc', "
    "content_rowid = 'doc_no', tokenize = 'trigram', detail = 'none')",
    _todo("search_job_added", "INSERT ON job", "VALUES (NEW.id)"),
    _todo(
        "search_job_changed",
        "UPDATE OF tag, shaft_id, opened_at, complaint, notes ON job",
        "VALUES (NEW.id)",
    ),
    _todo("search_note_added", "INSERT ON note", "VALUES (NEW.job_id)"),
    _todo("search_note_changed", "UPDATE ON note", "VALUES (NEW.job_id)"),
    _todo("search_customer_changed", "UPDATE ON customer", _JOBS_OF_CUSTOMER),
    _todo("search_vessel_changed", "UPDATE ON vessel", _JOBS_OF_VESSEL),
    _todo(
        "search_shaft_changed",
        "UPDATE ON shaft",
        "SELECT job.id FROM job WHERE job.shaft_id = NEW.id",
    ),
    "INSERT INTO search_todo (job_id) SELECT id FROM job",
)
