"""Writes the figures of a sweep to a CSV file beside the job book, readable by its owner only."""

from __future__ import annotations

from pathlib import Path

from core.analysis.supports import SupportView, figures_csv
from core.base.records import Sweep
from core.base.times import local_text
from core.reports.export_file import write_export


def write_figures(beside: Path, tag: str, sweep: Sweep, seen: SupportView) -> Path:
    """Write the figures under `beside`/exports; gives back the file.

    An earlier file is never overwritten. Raises `BookError` in plain words when the disk refuses.
    """
    when = local_text(sweep.started_at, "%Y-%m-%d")
    return write_export(beside, f"{tag} {sweep.purpose} {when}", "csv", figures_csv(seen))
