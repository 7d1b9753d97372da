"""Slips of hand and eye: readings that do not belong, and what they may have been."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Slip:
    """One reading that stands apart from the rest of its station. The mend is only offered."""

    index: int
    """Which reading of the station, from 0."""
    clock_rad: float
    typed_in: float
    """As typed, inches."""
    kind: str
    """'lost turn', 'half turn', 'sign', 'swapped neighbours', 'transposed digits',
    'decimal slip' or 'odd reading'."""
    suggested_in: float | None
    """What it may have been, inches; None = read it again."""
    off_in: float = 0.0
    """How far it stands from the rest, inches."""
