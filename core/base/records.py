"""The rows of the job book as frozen dataclasses.

Lengths are inches, clocks degrees (as chalked on the shaft), angles radians, loads lbf, unless the
name says otherwise. Every moment (`..._at`) is text, ISO 8601 in UTC with milliseconds, such as
``2026-11-25T08:49:00.123Z``; it sorts by time as plain text. Ids are time-sortable UUIDs as text.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from core.base.penetrant_records import PenetrantCheck as PenetrantCheck
from core.base.penetrant_records import PenetrantCondition as PenetrantCondition
from core.base.shop_records import AREA_KINDS as AREA_KINDS
from core.base.shop_records import JOB_STATES as JOB_STATES
from core.base.shop_records import OPEN_STATES as OPEN_STATES
from core.base.shop_records import WORK as WORK
from core.base.shop_records import Customer as Customer
from core.base.shop_records import Event as Event
from core.base.shop_records import Job as Job
from core.base.shop_records import Note as Note
from core.base.shop_records import Past as Past
from core.base.shop_records import RidingArea as RidingArea
from core.base.shop_records import Shaft as Shaft
from core.base.shop_records import Vessel as Vessel

FULL_SWEEPS = ("as received", "working", "hold check", "final")
"""Purposes of the sweeps that show the whole shaft."""
PURPOSES = (*FULL_SWEEPS, "quick check")
"""What a sweep was taken for."""


@dataclass(frozen=True)
class Sweep:
    id: str
    job_id: str
    purpose: str
    started_at: str
    finished_at: str | None
    roller_a_in: float
    roller_b_in: float
    direction: int
    """+1: marks pass the dial in rising order; -1: the shaft was rolled the other way."""
    marks_deg: tuple[float, ...]
    """Marks of one roll as called out at the bench; empty = the quick way (TIR and high spot)."""
    resolution_in: float
    repeatability_in: float | None
    dial_turn_in: float
    gauge: str
    measured_by: str
    stations_in: tuple[float, ...]
    closing: bool = False
    """True: the first mark is read once more at the end of each roll."""


@dataclass(frozen=True)
class Reading:
    """One thing read off the dial. Append-only: a mend is a new row, the old one names it."""

    id: str
    sweep_id: str
    station_in: float
    clock_deg: float | None
    value_in: float | None
    raw: str
    kind: str
    taken_at: str
    replaced_by: str | None = None
    """Id of the reading that took its place; its own id = taken back (undo); None = in force."""
    by: str = ""
    """Who worked at the bench where it was entered; '' = not known."""


@dataclass(frozen=True)
class QuickCheck:
    id: str
    job_id: str
    round_no: int
    sweep_id: str


@dataclass(frozen=True)
class Hit:
    id: str
    job_id: str
    round_no: int
    method: str
    station_in: float
    clock_deg: float
    angle_rad: float
    """Angle the press was set, or the heat meant, to take out."""
    load_lbf: float | None
    """Load, travel and what stays as read; None = not read."""
    travel_in: float | None
    stays_in: float | None
    by: str
    """Who made it; the name of the bench when nobody was named."""
    at: str
    notes: str = ""
    undone_at: str | None = None
    """When it was taken back or corrected; None = it counts."""
    blocks_in: float | None = None
    """Block spacing; None = not known."""
    diameter_in: float | None = None
    """Diameter of the shaft at this place; None = not known."""
    temperature_f: float | None = None
    """Highest temperature measured at a heat spot; None = not measured."""
    corrects: str | None = None
    """Id of the entry this one replaces."""
    overrule_by: str = ""
    overrule_reason: str = ""
    """Who let it be made in spite of a refusal, and why."""
    spot_length_in: float | None = None
    spot_arc_deg: float | None = None
    """Size of a heat spot along the shaft and round it; None = not noted."""
    cold_wait_min: float | None = None
    cold_dial_in: float | None = None
    """Heat spot: the bar is cold when two readings so far apart agree within so much, as asked when
    it was noted; None = noted before this was kept."""

    @property
    def is_sized_spot(self) -> bool:
        """A heat spot made to a size: its angle is the most it can take out, not what was asked."""
        return self.spot_length_in is not None


@dataclass(frozen=True)
class HitReading:
    """One thing read while a hit was made or its spot cooled."""

    id: str
    job_id: str
    hit_id: str
    kind: str
    """'load': one load and release under the ram; 'cooling': one look at a bar that cools."""
    at: str
    by: str
    value_in: float
    """Load: what the dial stays at after release, from before the first load there. Cooling: the
    dial at one mark."""
    travel_in: float | None = None
    """Load: the same dial under load; None = not read."""
    undone_at: str | None = None


@dataclass(frozen=True)
class Measurement:
    """One figure of the coupling, key or shaft end. Append-only like a reading."""

    id: str
    job_id: str
    subject: str
    """'bore', 'seat', 'face', 'pilot', 'key', 'shaft keyway', 'hub keyway', 'shaft end', ..."""
    what: str
    """'diameter', 'width', 'depth', 'face reading', 'facing radius', ..."""
    set_no: int
    """1 = as received, 2 = after the first cut or pass, and so on."""
    depth_in: float | None
    clock_deg: float | None
    value_in: float | None
    """Inches; None when `raw` is a word (a check list entry)."""
    raw: str
    taken_at: str
    replaced_by: str | None = None
    by: str = ""


@dataclass(frozen=True)
class JobChoice:
    """One choice, price or answer of a job, kept with author and time; the newest one counts."""

    id: str
    job_id: str
    subject: str
    """'repair terms', 'penetrant', 'coupling setup', 'key check', 'parts', ..."""
    name: str
    set_no: int
    """As in `Measurement`; 1 for what has no sets."""
    value: str
    """The word chosen or the text as typed; '' = not chosen (any more)."""
    number: float | None
    """The figure, where it is one: inches for a length; 1 or 0 for yes or no."""
    note: str
    by: str
    at: str


@dataclass(frozen=True)
class QuoteLine:
    label: str
    quantity: float
    unit_price: float
    amount: float


@dataclass(frozen=True)
class Quote:
    id: str
    job_id: str
    at: str
    kind: str
    """'repair', 'replace' or 'both'."""
    text: str
    lines: tuple[QuoteLine, ...] = field(default=())


@dataclass(frozen=True)
class Release:
    """The frozen ticket, or the closing paper of a job not released; never changed once written.

    The paper a job ended with was written at the very moment the job was closed."""

    id: str
    job_id: str
    at: str
    by: str
    overrule_by: str
    overrule_reason: str
    ticket_text: str
    ticket_html: str


@dataclass(frozen=True)
class Setting:
    name: str
    value: str
    """JSON text."""


@dataclass(frozen=True)
class Presence:
    """Somebody has this job open at some bench."""

    job_id: str
    bench: str
    by: str
    seen_at: str


@dataclass(frozen=True)
class OldCard:
    """A visit of the years before the book, as its paper card says."""

    id: str
    customer_id: str
    vessel: str = ""
    shaft: str = ""
    """Its place in the boat, or what else the card calls it."""
    size: str = ""
    """As on the card."""
    diameter_in: float | None = None
    """None = the card has none, or it cannot be read for sure."""
    year: int | None = None
    outcome: str = ""
    note: str = ""
    from_file: str = ""
    shaft_id: str | None = None
    """The shaft it became when it came in again."""
