"""What two benches did to one job without knowing of each other, said after a merge."""

from __future__ import annotations

from core.base.counting import many
from core.base.times import local_text
from core.book.connection import Book

_TWO_OPEN = (
    "SELECT group_concat(tag, ' and ') FROM (SELECT tag, shaft_id FROM job "
    "WHERE closed_at IS NULL ORDER BY tag) GROUP BY shaft_id HAVING count(*) > 1"
)
_ENTRIES = (
    ("reading", "reading JOIN sweep ON sweep.id = reading.sweep_id", "sweep.job_id", "taken_at"),
    ("hit", "hit", "hit.job_id", "hit.at"),
    ("figure", "measurement", "measurement.job_id", "taken_at"),
)


def merge_notes(book: Book) -> list[str]:
    """Shafts with two open jobs; entries made on a job after it was closed at another bench."""
    notes = [
        f"{row[0]} are open on the same shaft: go on in one of them and close the other."
        for row in book.rows(_TWO_OPEN)
    ]
    for what, tables, job_id, at in _ENTRIES:
        late = book.rows(
            f"SELECT tag, state, closed_at, count(*) FROM {tables} JOIN job ON job.id = {job_id} "
            f"WHERE closed_at < {at} GROUP BY tag ORDER BY tag"
        )
        notes += [
            f"{tag} was closed ({state}) {local_text(closed_at, '%d %b %H:%M')}; "
            f"{many(count, what)} made after that at another bench came in. Its paper does not "
            "have them: open it again if they count."
            for tag, state, closed_at, count in late
        ]
    return notes
