"""Keys: the standard sizes, the check of a measured key, and the list to tick after a trial fit."""

from __future__ import annotations

from dataclasses import dataclass

from core.fitting.keys.fit import KeyCheck, SideFit, TopFit, check_key, side_band
from core.fitting.keys.parts import MeasuredKey, MeasuredKeyway
from core.fitting.keys.peening import PEENING_CAUTION, Peening, peening
from core.fitting.keys.sizes import (
    AlignmentLimits,
    KeyseatDepth,
    StandardKey,
    WidthTolerance,
    alignment_limits,
    keyseat_depth,
    standard_key,
    standards_differ,
    width_tolerance,
)
from core.fitting.keys.strength import KeyStress, key_stress, working_length_in

__all__ = [
    "PEENING_CAUTION",
    "TRIAL_CHECKS",
    "AlignmentLimits",
    "KeyCheck",
    "KeyStress",
    "KeyseatDepth",
    "MeasuredKey",
    "MeasuredKeyway",
    "Peening",
    "SideFit",
    "StandardKey",
    "TopFit",
    "TrialCheck",
    "WidthTolerance",
    "alignment_limits",
    "check_key",
    "key_stress",
    "keyseat_depth",
    "peening",
    "side_band",
    "standard_key",
    "standards_differ",
    "width_tolerance",
    "working_length_in",
]


@dataclass(frozen=True)
class TrialCheck:
    """One thing to look at after a trial fit; the answer and a note are kept with the job."""

    name: str
    ask: str
    why: str
    good: str
    """What screen and ticket say when it is in order."""
    bad: str
    """And when it is not."""


TRIAL_CHECKS = (
    TrialCheck(
        "trial fit",
        "Hub pushed home on the key without force, key not driven endways?",
        "A key that moves endways can ride up the end of its keyway and lift the hub.",
        "home without force",
        "NOT HOME, OR KEY DRIVEN",
    ),
    TrialCheck(
        "burrs",
        "Key and both keyways free of burrs after the trial fit?",
        "A burr holds the key up and fakes a key-bound hub.",
        "no burr",
        "BURR LEFT",
    ),
    TrialCheck(
        "raised chip",
        "No raised chip or torn metal in bore, seat or keyway?",
        "A chip scores the seat and tilts the face.",
        "no raised chip",
        "RAISED CHIP OR TORN METAL",
    ),
    TrialCheck(
        "corners",
        "Key's corners broken so that they clear the fillets of the keyway?",
        "A sharp corner on a fillet wedges the hub and starts a crack.",
        "broken, clear of the fillets",
        "NOT BROKEN",
    ),
    TrialCheck(
        "dimples in line",
        "Set-screw dimples in the shaft in line with the screws?",
        "A screw beside its dimple pulls the hub off centre.",
        "in line with the screws",
        "NOT IN LINE",
    ),
    TrialCheck(
        "screws locked",
        "Set screws tight and locked (wire or a second screw)?",
        "A screw that backs out lets the coupling walk.",
        "tight and locked",
        "NOT LOCKED",
    ),
)
"""The list of the key screen; common practice, no source."""
