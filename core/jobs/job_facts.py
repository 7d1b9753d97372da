"""What has happened on a job so far: the facts that steps and release rest on."""

from __future__ import annotations

from core.base.light_dataclass import dataclass


@dataclass(frozen=True)
class JobFacts:
    """What has happened on a job so far."""

    job_id: str
    state: str = "open"
    waiting_for: str = ""
    work: tuple[str, ...] = ("penetrant", "straighten", "bore", "face", "key")
    not_named: tuple[str, ...] = ()
    """Of 'customer', 'vessel': those nobody has named yet."""
    sweep_in_hand: str | None = None
    """Id of the newest sweep not finished; None = none."""
    sweep_in_hand_purpose: str = ""
    readings_in_hand: int = 0
    """Readings taken so far in the sweep in hand."""
    swept_as_received: bool = False
    """A full sweep as received has been finished."""
    swept_since_hit: bool = False
    """A full sweep of any purpose has been finished after the last hit (or ever, without hits)."""
    rest_over: bool = False
    """The rest before the hold check has passed since that sweep."""
    hold_checked: bool = False
    """A hold check has been finished after the last hit."""
    rested_hours: float | None = None
    """Rest before that hold check; None = no hold check, or no sweep before it."""
    rest_asked_hours: float = 0.0
    """Rest the shop asks for."""
    final_swept: bool = False
    """A final sweep has been finished after the last hit."""
    checked_since_hit: bool = False
    """A quick check has been finished after the last hit."""
    penetrant_areas: int = 0
    penetrant_clear: int = 0
    """Areas seen clear in their last check (or let go on by an overrule)."""
    cracks: int = 0
    """Areas with a crack that nobody has overruled."""
    penetrant_running: int = 0
    """Areas with penetrant on and no result."""
    penetrant_spots_left: int = 0
    """Straightened spots among the areas that have no clear result."""
    decision: str = ""
    """Kind of the last quote: '', 'repair', 'replace' or 'both' (owner still to answer)."""
    hits: int = 0
    rounds: int = 0
    bore_figures: int = 0
    seat_figures: int = 0
    face_figures: int = 0
    key_figures: int = 0
    measured_bent: tuple[str, ...] = ()
    """Of 'bore', 'face', 'key': those measured before the last hit."""
    released: bool = False
    verdict: str = ""
    """Of the last full sweep: 'true', 'not true', 'too close to call'; '' = not known."""
    verdict_areas: str = ""
    """The areas that are not true, with their figures."""
    sweep_troubles: tuple[str, ...] = ()
    """Sweeps since the last hit that cannot be evaluated, with the reason."""
    penetrant_unseen: tuple[str, ...] = ()
    """Areas to be checked that no check was opened for."""
    penetrant_again: tuple[tuple[str, str], ...] = ()
    """(area, why) of areas noted clear that have to be checked again."""
    faults: tuple[tuple[str, str], ...] = ()
    """(step, what is wrong) of what was measured on coupling and key."""

    @property
    def not_judged(self) -> bool:
        """Whether the next step rests on a sweep or figures whose verdict was not worked out."""
        rested = self.swept_since_hit and (self.hold_checked or self.final_swept)
        measured = self.bore_figures or self.seat_figures or self.face_figures or self.key_figures
        return not self.verdict and bool(rested or measured)
