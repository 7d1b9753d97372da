"""What a ticket says, as plain data: collected from the job book, written out as text or HTML.

Lengths inches, clocks degrees, angles milliradians, as the names say. Everything a person typed is
still as typed here; the writers make it harmless.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.base.units import length_words
from core.reports.ticket_format import shop_size


@dataclass(frozen=True)
class StationLine:
    """What one station read."""

    station_in: float
    shown_tir_in: float
    """What the dial showed, max - min."""
    tir_in: float
    """Full turn, ovality and lobes included, from the fit."""
    tir_low_in: float
    tir_high_in: float
    """Ends of the 95 % interval."""
    bend_tir_in: float
    """The part that bending causes."""
    high_spot_deg: float | None
    """None = the noise hides it."""
    ecc_in: tuple[float, float] | None = None
    """The section's centre off the line of the rollers, towards clock 0 and 90; None = not kept."""


@dataclass(frozen=True)
class AreaLine:
    """The verdict on one riding area, or on the shaft between them."""

    name: str
    from_in: float
    to_in: float
    limit_in: float
    tir_in: float | None
    """At the worst place of the area; None = no station was read there."""
    tir_low_in: float | None
    tir_high_in: float | None
    bend_tir_in: float | None
    verdict: str
    """'true', 'not true', 'too close to call' or 'not measured'."""
    settle: str = ""


@dataclass(frozen=True)
class BendLine:
    """One bend of the fitted line."""

    station_in: float
    station_u95_in: float
    angle_mrad: float
    high_side_deg: float
    kind: str = "sharp"


@dataclass(frozen=True)
class SweepPart:
    """One sweep on the ticket: as received, or final."""

    title: str
    on: str
    """Day and time, in the shop's own time zone."""
    measured_by: str
    gauge: str
    resolution_in: float
    repeatability_in: float
    """As set or as estimated from the sweep."""
    rollers_in: tuple[float, float]
    stations: tuple[StationLine, ...]
    areas: tuple[AreaLine, ...]
    bends: tuple[BendLine, ...]
    notes: tuple[str, ...] = ()
    rule: str = "guarded"
    changed: tuple[str, ...] = ()
    """Readings changed without being read again, in sentences."""
    blocked: tuple[str, ...] = ()
    """Marks that could not be read, in sentences."""


@dataclass(frozen=True)
class HitLine:
    """One press stroke or heat spot."""

    round_no: int
    method: str
    station_in: float
    clock_deg: float
    asked_mrad: float | None
    """Angle the hit was to take out; None = a heat spot, which is made to a size, not an angle."""
    by: str
    on: str
    taken_mrad: float | None = None
    """Angle it took out by the readings after it; None = they do not tell."""
    remark: str = ""
    """What is to be said of this hit: corrected, contradicted."""


@dataclass(frozen=True)
class PenetrantLine:
    """One area looked at with penetrant."""

    area: str
    from_in: float
    to_in: float
    standard: str
    result: str
    by: str
    on: str
    overrule: str = ""


@dataclass(frozen=True)
class TicketSection:
    """A heading and the lines under it: bore, face, key, quote, remarks."""

    title: str
    lines: tuple[str, ...]
    verdicts: tuple[str, ...] = ()
    """Of what was measured, for the letter: words without figures."""


@dataclass(frozen=True)
class Ending:
    """How a job ended that was not released."""

    state: str
    """'replaced' or 'returned'."""
    by: str = ""
    """Empty = the job was closed without a paper; this one is written afterwards."""
    reason: str = ""


@dataclass(frozen=True)
class TicketData:
    """Everything the paper says."""

    shop: tuple[str, ...]
    """Name and address of the shop, one line each; empty = not set."""
    tag: str
    customer: str
    vessel: str
    position: str
    material: str
    condition: str
    diameter_in: float
    length_in: float
    zero_end: str
    opened: str
    complaint: str
    written: str
    """When this ticket was written."""
    released_by: str = ""
    """Empty = a draft: the job is not released."""
    overrule: str = ""
    state: str = "open"
    ending: Ending | None = None
    """Of a job that was closed without a release."""
    before: SweepPart | None = None
    after: SweepPart | None = None
    hits: tuple[HitLine, ...] = ()
    penetrant: tuple[PenetrantLine, ...] = ()
    hold: str = ""
    """Words of the hold check; empty = none was made."""
    sections: tuple[TicketSection, ...] = ()
    missing: tuple[str, ...] = ()
    """What is still missing for release, in words."""
    done: tuple[str, ...] = ()
    """What was done, a sentence each."""
    remarks: tuple[str, ...] = ()
    """What limits the trust in the figures, a sentence each."""
    cautions: tuple[str, ...] = ()

    @property
    def heading(self) -> tuple[tuple[str, str], ...]:
        """(label, text) of the lines at the head."""
        size = f"{shop_size(self.diameter_in)} diameter, {shop_size(self.length_in)} long"
        return (
            ("Customer", self.customer),
            ("Vessel", f"{self.vessel}, {self.position}" if self.position else self.vessel),
            ("Shaft", f"{size}; {self.material} {self.condition}".rstrip()),
            (
                "Stations",
                f"{length_words()} from the {self.zero_end} end; clock in degrees fixed to the "
                "shaft",
            ),
            ("Came in", self.opened),
            ("Complaint", self.complaint),
            ("Written", self.written),
        )


@dataclass(frozen=True)
class Ticket:
    """The two forms of one ticket and the letter with it, kept word for word at release."""

    text: str
    html: str
    letter: str = ""
    """'' = none was written: the job ended before there were letters."""


ENDINGS = {
    "replaced": (
        "NOT RELEASED - REPLACED BY A NEW SHAFT",
        "a new shaft takes the place of this one. Mark the old shaft so that nobody puts it back"
        " in service.",
    ),
    "returned": (
        "NOT RELEASED - GIVEN BACK AS IT IS",
        "the shaft was given back without a release. This paper tells what was found; it does not"
        " say that the shaft may run.",
    ),
}
"""The heading of a closed job's paper, and what to mind."""
LATER = "Closed without a release. This paper was written from the job book afterwards."
UNCERTAINTY = (
    "TIR is the swing of the dial over a full turn, ovality included, from a fit of all readings at"
    " the station; the interval holds the true TIR 95 times in 100, with the dial's graduation and"
    " the scatter of the readings counted in. The bend part is the TIR of a round section that runs"
    " where this one runs: only that part can be straightened. The rollers' own roundness, the"
    " dial's calibration and sag of the shaft are not in these figures."
)
RULES = {
    "guarded": "An area is called true when all of it is, between the stations too, by this sweep"
    " and the hits and readings before it together: the bend part under the limit at 97.5 % at each"
    " station and at 80 % all along, the TIR at 68 to 95 %, the more the less round it is (so"
    " that fewer than 1 in 40 areas called true are over). It is not true when either figure at a"
    " station is over at 97.5 %; in between, too close to call.",
    "simple": "An area is called true when TIR and bend part lie under the limit, without regard to"
    " their intervals (simple acceptance, the shop's choice).",
}
CAUTIONS = (
    "This is a record of measurement on rollers in the shop on the day named, not a class"
    " certificate: class society, local codes and licensed surveyors and engineers come first.",
    "Penetrant shows only cracks that are open to the surface, where it was applied.",
    "A straightened shaft can move again: read it once more after the first hours under power if"
    " it vibrates, and check the alignment afloat.",
    "Fit propeller, coupling and key by the makers' instructions; lock nuts and set screws before"
    " turning the shaft; keep hands, clothing and slings clear of a keyed shaft that can turn.",
)


def standing(data: TicketData) -> str:
    """Released, closed or a draft: the words at the head of the ticket."""
    if data.released_by:
        return "RELEASED"
    if data.ending is not None:
        return ENDINGS[data.ending.state][0]
    return f"DRAFT - NOT RELEASED ({data.state})"


def warnings(data: TicketData) -> tuple[tuple[str, str], ...]:
    """(label, words) of all that must be read before anything else."""
    found = []
    if data.ending is not None:
        found.append(("NOT RELEASED", ENDINGS[data.ending.state][1]))
        if data.ending.reason:
            found.append(("REASON", data.ending.reason))
    label = "MISSING" if data.ending is None else "OPEN"
    found += [(label, what) for what in data.missing]
    return (*found, *([("OVERRULED", data.overrule)] if data.overrule else []))


def foot(data: TicketData) -> tuple[str, bool]:
    """The closing sentence, and whether somebody signs under it."""
    if data.released_by:
        return f"Released by {data.released_by} on {data.written}.", True
    if data.ending is None:
        return "This is a draft: the shaft has not been released.", False
    if not data.ending.by:
        return LATER, False
    return f"Closed without a release by {data.ending.by} on {data.written}.", True
