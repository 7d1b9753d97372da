"""One is one: no screen says '1 hits'."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from core.book.upkeep.copies import BackupContents, BackupFile
from tui.screens.board.visit_text import hits_words
from tui.screens.upkeep.backups import question_words


def test_one_hit_of_a_visit() -> None:
    assert hits_words([44.5], None, "thou") == "1 hit, at 44.5 in."
    assert hits_words([44.5, 60.0, 44.5], 0.0015, "thou").startswith("3 hits, at 44.5, 60.0 in; ")


def test_one_job_in_a_backup() -> None:
    file = BackupFile(Path("book.db"), "daily", datetime(2026, 1, 1, tzinfo=UTC), 1)
    assert "1 job and 1 reading;" in question_words(file, BackupContents(1, 1, ""), "")
    assert "2 jobs and 0 readings;" in question_words(file, BackupContents(2, 0, ""), "")
