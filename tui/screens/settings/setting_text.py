"""What each shop setting means and where its first value comes from."""

from __future__ import annotations

from dataclasses import dataclass

PRACTICE = "common practice, no source"
SHOPS_OWN = "no source needed, the shop's own choice"
OURS = "first guess of this program, no source: put in your own"


@dataclass(frozen=True)
class SettingWords:
    """Explanation of one setting."""

    meaning: str
    source: str = ""


_LIMIT = (
    "A riding area is called true when the dial would swing less than this in a whole turn. "
    "It holds for areas that have no limit of their own on the intake."
)

WORDS: dict[str, SettingWords] = {
    "shop_name": SettingWords("Stands at the head of every ticket."),
    "shop_phone": SettingWords("Stands on the ticket below the name."),
    "shop_address": SettingWords("Stands on the ticket below the name."),
    "bench_name": SettingWords("Stands beside readings, hits and notes: who measured, and where."),
    "bell": SettingWords("Ring when a penetrant stage is over and when an entry is refused."),
    "unit": SettingWords(
        "Unit of readings typed without one, and of all dial figures, gaps and limits on screens "
        "and papers. With mm, sizes and stations are in mm too, forces in kN, stresses in "
        "MPa, torque in N m, heat in C; published tables stay in inches. Any unit may be typed."
    ),
    "date_order": SettingWords(
        "How 12/10 is read where a day is typed: 10 December or 12 October."
    ),
    "print_command": SettingWords(
        "A paper goes to its standard input. Empty: papers are written to files."
    ),
    "print_form": SettingWords(
        "Text of 80 columns prints anywhere. PDF has the drawings too; lp and the like take it."
    ),
    "label_command": SettingWords(
        "A label of 4 by 2 inches goes to it as PDF, such as lp -d labels. Empty: to the print "
        "command, if that takes PDF."
    ),
    "sheet": SettingWords("Letter or A4: the sheet that PDF papers are laid out for."),
    "limit_taper_in": SettingWords(_LIMIT, PRACTICE),
    "limit_bearing_in": SettingWords(_LIMIT, PRACTICE),
    "limit_shaft_log_in": SettingWords(_LIMIT, PRACTICE),
    "limit_coupling_in": SettingWords(_LIMIT, PRACTICE),
    "limit_other_in": SettingWords(_LIMIT, PRACTICE),
    "limit_between_in": SettingWords(
        "The same for the stretches of shaft between the riding areas.", PRACTICE
    ),
    "acceptance_rule": SettingWords(
        "Guarded: 'true' is said only when the whole 95 % interval lies under the limit. "
        "Simple: the best figure alone decides.",
        "guarded: ISO 14253-1:2017; JCGM 106:2012, clause 8",
    ),
    "resolution_in": SettingWords("One division of the dial, or the last digit of a digital one."),
    "repeatability_in": SettingWords(
        "Scatter (standard deviation) when the same mark is read again and again. Left empty it is "
        "worked out from each sweep."
    ),
    "dial_turn_in": SettingWords(
        "How far the plunger goes while the pointer turns once round; used to find a lost turn."
    ),
    "gauge": SettingWords("Which dial was used; printed on the ticket."),
    "marks": SettingWords(
        "How many marks are chalked round the shaft. Four marks can hide 29 % of the swing."
    ),
    "spacing_in": SettingWords("Distance of the stations in a new sweep.", PRACTICE),
    "closing_mark": SettingWords(
        "Read the first mark once more at the end of each roll: shows whether the dial moved."
    ),
    "oval_prior_in": SettingWords(
        "How oval a shaft usually is. It steadies the fit when the keyway blocks part of a roll.",
        OURS,
    ),
    "lobe_prior_in": SettingWords("The same for three lobes.", OURS),
    "hold_hours": SettingWords(
        "How long a straightened shaft rests before the hold check is suggested.", PRACTICE
    ),
    "press_capacity_lbf": SettingWords(
        "The most the press can push. Never plan a hit above the plate on the press.", OURS
    ),
    "block_span_in": SettingWords("Distance between the two blocks under the shaft.", OURS),
    "minutes_per_hit": SettingWords("Setting up, pressing and checking one hit.", OURS),
    "minutes_per_station": SettingWords("Rolling the shaft and reading one station.", OURS),
    "labour_rate": SettingWords("Price of an hour at the bench, in your own money.", OURS),
    "bar_price_per_lb": SettingWords(
        "Price of shaft bar by weight, a pound; in a shop that reads mm, a kilogram.", OURS
    ),
    "machining_price": SettingWords("Tapers, keyways and threads of a new shaft.", OURS),
    "freight_price": SettingWords("Freight of a new bar.", OURS),
    "consumables_price": SettingWords("Penetrant, developer, cleaner and gas for a repair.", OURS),
    "penetrant_standard": SettingWords(
        "Dwell and developer times follow this; they are chosen on the penetrant screen."
    ),
    "bore_clearance_least_in": SettingWords(
        "Least clearance of a coupling on its shaft; below 0 means interference. Sources of the "
        "trade contradict each other here: the shop decides.",
        PRACTICE,
    ),
    "bore_clearance_most_in": SettingWords(
        "Most clearance of a coupling on its shaft. Sources contradict each other here too.",
        PRACTICE,
    ),
    "face_limit_in": SettingWords("Most swing of the dial on the coupling face.", PRACTICE),
    "pilot_limit_in": SettingWords("Most swing of the dial on the pilot.", PRACTICE),
    "backups_kept": SettingWords("One backup a day is made; this many stay beside the book."),
    "phone_in_exports": SettingWords("Whether exported files carry phone numbers."),
}


def words_for(name: str) -> SettingWords:
    """Explanation of a setting; empty for one that has none."""
    return WORDS.get(name, SettingWords(""))
