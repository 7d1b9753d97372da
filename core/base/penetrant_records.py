"""Records of the penetrant check; the board shows its clocks, so they load without the others."""

from __future__ import annotations

from core.base.light_dataclass import dataclass


@dataclass(frozen=True)
class PenetrantCheck:
    id: str
    job_id: str
    standard: str
    area: str
    from_in: float
    to_in: float
    penetrant_at: str | None = None
    wiped_at: str | None = None
    developer_at: str | None = None
    inspected_at: str | None = None
    result: str = ""
    """'clear', 'crack', 'unclear' (do it again); '' = not looked at yet."""
    notes: str = ""
    by: str = ""
    overrule_by: str = ""
    overrule_reason: str = ""
    cold: bool = False
    """The shaft is at 40 to 50 F."""
    short_dwell: bool = False
    """The standard's conditions for its shorter dwell are met."""
    penetrant_by: str = ""
    wiped_by: str = ""
    developer_by: str = ""
    """Who did each stage; the name of the bench when nobody was named."""


@dataclass(frozen=True)
class PenetrantCondition:
    """What was stated about the penetrant check of a job; the newest one holds."""

    id: str
    job_id: str
    at: str
    by: str
    standard: str
    cold: bool = False
    short_dwell: bool = False
