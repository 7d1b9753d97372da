"""Step 12: cards of the years before this book, as they were written.

A card knows no length and often no exact size, so it is no shaft: `shaft_id` is set when the shaft
comes in again and is measured. `search_card_doc` and `search_card` are its search index, in step
with the book as those of the jobs are (`core.book.cards.card_search`).
"""

from __future__ import annotations


def _todo(name: str, when: str, cards: str) -> str:
    return (
        f"CREATE TRIGGER {name} AFTER {when} BEGIN "
        f"INSERT OR IGNORE INTO search_card_todo (card_id) {cards}; END"
    )


M0012_OLD_CARDS = (
    """CREATE TABLE old_card (
        id TEXT PRIMARY KEY NOT NULL,
        customer_id TEXT NOT NULL REFERENCES customer (id),
        vessel TEXT NOT NULL DEFAULT '',
        shaft TEXT NOT NULL DEFAULT '',
        size TEXT NOT NULL DEFAULT '',
        diameter_in REAL CHECK (diameter_in > 0 AND diameter_in < 100),
        year INTEGER CHECK (year >= 1800 AND year < 2200),
        outcome TEXT NOT NULL DEFAULT '',
        note TEXT NOT NULL DEFAULT '',
        from_file TEXT NOT NULL DEFAULT '',
        shaft_id TEXT REFERENCES shaft (id)
    ) STRICT""",
    "CREATE INDEX card_of_customer ON old_card (customer_id)",
    "CREATE INDEX card_of_shaft ON old_card (shaft_id) WHERE shaft_id IS NOT NULL",
    "CREATE INDEX old_card_row_copy ON old_card (id, customer_id, vessel, shaft, size, "
    "diameter_in, year, outcome, note, from_file, shaft_id)",
    """CREATE TABLE search_card_doc (
        doc_no INTEGER PRIMARY KEY,
        card_id TEXT NOT NULL UNIQUE REFERENCES old_card (id),
        words TEXT NOT NULL
    ) STRICT""",
    "CREATE TABLE search_card_todo (card_id TEXT PRIMARY KEY NOT NULL) STRICT",
    "CREATE VIRTUAL TABLE search_card USING fts5 (words, content = 'search_card_doc', "
    "content_rowid = 'doc_no', tokenize = 'ascii', detail = 'none', prefix = '1 2 3 4 5')",
    _todo("search_card_added", "INSERT ON old_card", "VALUES (NEW.id)"),
    _todo(
        "search_card_changed",
        "UPDATE OF customer_id, vessel, shaft, size, diameter_in, year, outcome, note ON old_card",
        "VALUES (NEW.id)",
    ),
    _todo(
        "search_card_customer",
        "UPDATE OF name ON customer",
        "SELECT id FROM old_card WHERE customer_id = NEW.id",
    ),
)
