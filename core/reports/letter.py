"""A letter of half a page to the owner: what came, was done, how it leaves, when to look again.

The body is written from the facts of the ticket and may be changed by hand. Head and foot are
fixed: whose shaft it is, released or not, and what is missing or overruled.
"""

from __future__ import annotations

from collections import Counter
from html import escape

from core.base.counting import many
from core.base.dial_unit import shown_dial_unit
from core.base.text import one_line
from core.base.units import MM_PER_IN, format_station, in_shop_unit, length_unit
from core.reports.text_layout import wrapped
from core.reports.ticket_data import SweepPart, TicketData, foot, warnings
from core.reports.ticket_format import all_clean, shop_size, station_text

STROKES = {"press": "press stroke", "heat": "heat spot"}
RESULTS = {"crack": "a CRACK at", "unclear": "cannot tell at"}
LAST_WORDS = (
    "The shaft ticket has every figure and says what was not checked. Where this letter and the "
    "ticket differ, the ticket counts."
)
ALIGNMENT = "Have the alignment checked with the boat afloat."


def letter_body(data: TicketData) -> str:
    """The part that may be changed: paragraphs with a blank line between them."""
    data = all_clean(data)
    parts = (_came(data), _done(data), _leaves(data), _look_again(data))
    return "\n\n".join(part for part in parts if part)


def whole_letter(data: TicketData, body: str) -> str:
    """Head, body and foot; every line is a paragraph or an empty line."""
    data = all_clean(data)
    vessel = f"{data.vessel}, {data.position}" if data.position else data.vessel
    size = f"{shop_size(data.diameter_in)} by {shop_size(data.length_in)}"
    about = f"Propeller shaft of {vessel}, {size}, tag {data.tag}"
    state = [foot(data)[0], *(f"{label}: {words}" for label, words in warnings(data))]
    blocks = (
        data.shop,
        (data.written[:10], f"To {data.customer}", about),
        [one_line(line) for line in body.split("\n")],
        (LAST_WORDS,),
        state,
    )
    return "\n\n".join("\n".join(block) for block in blocks if block)


def letter_as_text(letter: str) -> str:
    """The letter in lines of 80 columns."""
    return "\n".join(part for line in letter.split("\n") for part in wrapped(line) or [""]) + "\n"


def letter_as_html(letter: str, tag: str) -> str:
    """The letter as a page: nothing but paragraphs."""
    paragraphs = "\n".join(
        f"<p>{escape(line) or '&nbsp;'}</p>" for line in map(one_line, letter.split("\n"))
    )
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "style-src 'unsafe-inline'\">"
        f"<title>Letter {escape(tag)}</title><style>body{{font:14px/1.4 sans-serif;"
        "max-width:42em;margin:2em auto}p{margin:0}</style></head>\n<body>\n"
        f"{paragraphs}\n</body></html>\n"
    )


def _length(value_in: float) -> str:
    in_inches = f"{value_in:.4f}".rstrip("0").rstrip(".") + " in"
    value_mm = value_in * MM_PER_IN
    in_mm = f"{value_mm:.{2 if value_mm >= 1 else 3}f} mm"
    first, also = (in_mm, in_inches) if shown_dial_unit() == "mm" else (in_inches, in_mm)
    return f"{first} ({also})"


def _runout(part: SweepPart) -> str:
    worst = max(part.stations, key=lambda station: station.tir_in)
    return f"{_length(worst.tir_in)}, {format_station(worst.station_in)} along it"


def _came(data: TicketData) -> str:
    complaint = f" You told us: {_ended(data.complaint)}" if data.complaint else ""
    first = data.before or data.after
    if first is None or not first.stations:
        return f"Your shaft came in on {data.opened}.{complaint} It was not measured."
    bends = ""
    if first.bends:
        places = ", ".join(station_text(round(bend.station_in, 1)) for bend in first.bends)
        bends = f" It had {many(len(first.bends), 'bend')}, at {places} {length_unit()}."
    when = ", as it came," if data.before is not None else ""
    return (
        f"Your shaft came in on {data.opened}.{complaint} Turned on our rollers it swung{when} by "
        f"up to {_runout(first)}; a straight shaft does not swing at all.{bends}"
    )


def _done(data: TicketData) -> str:
    said = []
    if data.hits:
        rounds = many(len({hit.round_no for hit in data.hits}), "round")
        counts = Counter(hit.method for hit in data.hits)
        made = " and ".join(many(n, STROKES.get(name, name)) for name, n in counts.items())
        said.append(f"We straightened it: {made} in {rounds}.")
    else:
        said.append("It was not straightened.")
    said.append(_cracks(data))
    said.append(_measured(data))
    return " ".join(_ended(line) for line in said if line)


def _measured(data: TicketData) -> str:
    """The verdicts on coupling, key and shaft end, without their figures."""
    found = [
        f"{_small(section.title)}: {', '.join(section.verdicts)}"
        for section in data.sections
        if section.verdicts
    ]
    return f"What we measured besides: {'; '.join(found)}." if found else ""


def _small(title: str) -> str:
    return title[:1].lower() + title[1:]


def _cracks(data: TicketData) -> str:
    """Only what was looked at counts as looked at; what was begun and not read is said to be so."""
    places: dict[str, list[str]] = {}
    for check in data.penetrant:
        places.setdefault(check.result, []).append(in_shop_unit(check.area))
    open_at = places.pop("", [])
    begun = f"Begun and not finished at: {', '.join(open_at)}." if open_at else ""
    if not places:
        return f"We did not look for cracks with penetrant. {begun}".rstrip()
    count = sum(map(len, places.values()))
    looked = f"We looked for cracks with penetrant at {many(count, 'place')}"
    bad = [
        f"{RESULTS.get(name, name)} {', '.join(at)}"
        for name, at in places.items()
        if name != "clear"
    ]
    seen = f"{looked}: {'; '.join(bad)}." if bad else f"{looked} and found none."
    return f"{seen} {begun}".rstrip()


def _ended(line: str) -> str:
    return line if line.endswith((".", "!", "?")) else f"{line}."


def _leaves(data: TicketData) -> str:
    if data.after is not None and data.after.stations:
        part = data.after
        said = f"It leaves with a swing of at most {_runout(part)}."
    elif data.hits or data.before is None:
        return "It was not measured after the work." if data.hits else ""
    else:
        part = data.before
        said = "It leaves as it came."
    return f"{said} {_verdicts(part)}"


def _verdicts(part: SweepPart) -> str:
    if all(area.verdict == "true" for area in part.areas):
        return "It is true within its limit at every place that was judged." if part.areas else ""
    named: dict[str, dict[str, None]] = {}
    for area in part.areas:
        if area.verdict != "true":
            named.setdefault(area.verdict, {})[area.name] = None
    worst_first = sorted(named.items(), key=lambda one: (one[0] != "not true", one[0]))
    listed = [f"{word}: {', '.join(names)}" for word, names in worst_first]
    return f"Not all of it is true within the limits. {_capital('; '.join(listed))}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _look_again(data: TicketData) -> str:
    if any(check.result == "crack" and not check.overrule for check in data.penetrant):
        return "A crack was found: the shaft must not run."
    if data.ending is not None:
        return ""
    if data.hits:
        return (
            "A straightened shaft can move again. Have it measured once more after the first hours "
            f"under power if it vibrates, and whenever it is next out of the boat. {ALIGNMENT}"
        )
    return (
        "Have it measured again when it is next out of the boat, earlier if it vibrates. "
        f"{ALIGNMENT}"
    )
