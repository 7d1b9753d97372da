"""Sweeps and readings: everything a screen needs, from one place."""

from __future__ import annotations

from core.book.readings import mend_reading, readings_of, take_reading, take_readings, undo
from core.book.sweep_rows import (
    add_quick_check,
    change_sweep,
    finish_sweep,
    last_sweep,
    quick_checks_of,
    reopen_sweep,
    start_sweep,
    sweep,
    sweeps_of,
)
from core.jobs.resume import reading_at, readings_for_core, resume_point, true_clock_rad

__all__ = [
    "add_quick_check",
    "change_sweep",
    "finish_sweep",
    "last_sweep",
    "mend_reading",
    "quick_checks_of",
    "reading_at",
    "readings_for_core",
    "readings_of",
    "reopen_sweep",
    "resume_point",
    "start_sweep",
    "sweep",
    "sweeps_of",
    "take_reading",
    "take_readings",
    "true_clock_rad",
    "undo",
]
