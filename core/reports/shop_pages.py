"""The shop's figures as pages of text with bars, for the screen and for the command line.

Every line fits in the width. Glyphs: letters, `█▒░` for bars; all have an ASCII stand-in.
"""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from core.base.counting import many
from core.jobs.statistics.bench_figures import (
    BenchFigures,
    ForecastCase,
    HoursFigure,
    ResponseFigure,
)
from core.jobs.statistics.bench_time import RULE
from core.jobs.statistics.outcome import OutcomeFigure
from core.jobs.statistics.spread import Share, Spread
from core.jobs.statistics.waiting import WaitingGroup, WaitingJob
from core.reports.ticket_format import clean, cut, pad
from core.straightening.response import HEAT, PRESS, STARTS

ALL_OF_IT = 1.0
AXIS_END = 1.5
"""The axis of the shares runs from 0 to here; what lies beyond is marked at the edge."""
LEFT_COLUMNS = 10 + 1 + 5 + 1 + 4 + 1 + 4 + 2 + 11 + 2 + 7 + 2
WIDE_PAGE = 100
"""From this width on there is room for the middle half of the hits."""
NO_HITS = "No hits are in the book yet: these figures begin with the first one."


def bar(value: float, of: float, width: int, glyph: str = "█") -> str:
    """A bar of `value` on a scale where `of` fills the width; what is not nothing shows."""
    if of <= 0 or width <= 0 or value <= 0:
        return ""
    return glyph * min(width, max(1, round(width * value / of)))


def part_words(part: Share) -> str:
    """`12 of 80, 15 % (nine in ten sure: 9 to 23 %)`, or that there are too few."""
    said = f"{part.cases} of {part.of}"
    if part.few:
        return f"{said}: too few for a share"
    low, high = (100 * end for end in part.interval)
    return f"{said}, {100 * part.share:.0f} % (nine in ten sure: {low:.0f} to {high:.0f} %)"


def spread_words(spread: Spread | None, unit: str, noun: str = "job") -> str:
    """Middle, middle half and cases, or the cases' ends and that there are too few."""
    if spread is None:
        return "no cases"
    unit = f" {unit}" if unit else ""
    cases = many(spread.cases, noun)
    if spread.cases == 1:
        return f"{spread.median:.2f}{unit}, {cases} only"
    if spread.few:
        return f"{spread.least:.2f} to {spread.most:.2f}{unit}, {cases}: few"
    half = f"half within {spread.low:.2f} to {spread.high:.2f}"
    return f"{spread.median:.2f}{unit}, {half}, {cases}"


# -- response ------------------------------------------------------------------------------------


def response_page(bench: BenchFigures, width: int) -> list[str]:
    """What a hit takes out of the angle asked for, by material and method."""
    lines = ["WHAT A HIT TAKES OUT of the angle asked for", ""]
    if not bench.responses:
        return [
            *lines,
            NO_HITS if not bench.jobs else "No check has measured yet what a hit took out.",
        ]
    strip = max(width - LEFT_COLUMNS, 10) - (18 if width >= WIDE_PAGE else 0)
    half = f"{'half within':<18}" if width >= WIDE_PAGE else ""
    head = f"{'material':<10} {'by':<5} hits jobs  {'share':<11}  one hit  {half}"
    lines.append(head + _axis(strip))
    lines += [_response_row(one, strip, width >= WIDE_PAGE) for one in bench.responses]
    words = (
        "",
        f"share: what the planner reckons with (heat: of {STARTS[HEAT].of}), drawn towards "
        f"{STARTS[PRESS].mean:g} (heat: {STARTS[HEAT].mean:g}) until the hits outweigh that, and "
        "how sure it is (one sigma). one hit: how far a single hit strays from it. few: under 5 "
        "hits.",
        "o a hit, 2 to 9 so many together, | all of it. Hits measured worse than +-0.25 count but "
        "are not drawn.",
        f"From {_jobs_of(bench)}: the newest of each material, as the planner takes them.",
    )
    return lines + _wrapped(words, width)


def _axis(width: int) -> str:
    """0, 0.5, 1 and 1.5 above the strips."""
    cells = [" "] * (width + 3)
    for value in (0.0, 0.5, 1.0, AXIS_END):
        text = f"{value:g}"
        at = min(_place(value, width), width - len(text))
        cells[at : at + len(text)] = text
    return "".join(cells).rstrip()


def _place(share: float, width: int) -> int:
    return min(max(round(share / AXIS_END * (width - 1)), 0), width - 1)


def _strip(shares: Sequence[float], width: int) -> str:
    """One mark for each hit on the axis."""
    counts: dict[int, int] = {}
    for share in shares:
        counts[_place(share, width)] = counts.get(_place(share, width), 0) + 1
    cells = ["·"] * width
    cells[_place(ALL_OF_IT, width)] = "|"
    for at, count in counts.items():
        cells[at] = "o" if count == 1 else str(min(count, 9))
    if any(share < 0 for share in shares):
        cells[0] = "<"
    if any(share > AXIS_END for share in shares):
        cells[-1] = ">"
    return "".join(cells)


def _response_row(one: ResponseFigure, width: int, wide: bool) -> str:
    response = one.response
    few = response.n_hits < 5
    scatter = "few" if few else f"+-{response.scatter:.2f}"
    half = ""
    if one.spread is not None and not one.spread.few:
        half = f"{one.spread.low:.2f} to {one.spread.high:.2f}"
    half = f"{half:<18}" if wide else ""
    return (
        f"{pad(clean(one.material) or 'not said', 10)} {one.method:<5} {response.n_hits:>4} "
        f"{one.jobs:>4}  {response.mean:.2f} +-{response.mean_sigma:.2f}  {scatter:<7}  {half}"
        f"{_strip(one.shares, width)}"
    )


def _jobs_of(bench: BenchFigures) -> str:
    return f"{bench.jobs} of {many(bench.jobs_in_book, 'job')} with hits"


# -- hours ---------------------------------------------------------------------------------------


def hours_page(bench: BenchFigures, width: int, most: int = 8) -> list[str]:
    """Hours per hit, and forecast against what it took; `most` jobs are listed."""
    lines = ["BENCH HOURS FOR ONE HIT, its checks and the sweep after it included", ""]
    if not bench.hours:
        lines.append(NO_HITS if not bench.jobs else "No job can be compared yet: see below.")
    scale = max((one.spread.most for one in bench.hours), default=0.0)
    for one in bench.hours:
        lines += _hours_rows(one, scale, width)
    lines += ["", "FORECAST AGAINST WHAT IT TOOK, bench hours of straightening", ""]
    if not bench.forecasts:
        lines.append(
            "No job yet with a quote kept before its first hit and a sweep after its last."
        )
    else:
        lines += _forecast_rows(bench.forecasts[:most], width)
        if len(bench.forecasts) > most:
            lines.append(f"and {len(bench.forecasts) - most} older")
        lines.append(f"took / forecast: {spread_words(bench.ratio, '')}")
    out = ", ".join(f"{many(n, 'job')} {why}" for why, n in bench.left_out)
    words = (
        "",
        f"How it is measured: {RULE}. From the sweep before the first hit to the first full "
        "sweep after the last one; penetrant, coupling and hold check are not in it.",
        f"From {_jobs_of(bench)}." + (f" Left out: {out}." if out else ""),
    )
    return lines + _wrapped(words, width)


def _hours_rows(one: HoursFigure, scale: float, width: int) -> list[str]:
    words = f"{one.method:<15}{spread_words(one.spread, 'h')}, {many(one.hits, 'hit')}"
    room = max(width - 25, 10)
    box = _box(one.spread, scale, room)
    return [words[:width], f"{'':<15}0 {box} {scale:.2f} h"]


def _box(spread: Spread, scale: float, width: int) -> str:
    """Ends `-`, middle half `=`, middle `O`; a few cases show ends and middle only."""

    def at(value: float) -> int:
        return min(max(round(value / scale * (width - 1)), 0), width - 1) if scale > 0 else 0

    cells = ["·"] * width
    for place in range(at(spread.least), at(spread.most) + 1):
        cells[place] = "-"
    if not spread.few:
        for place in range(at(spread.low), at(spread.high) + 1):
            cells[place] = "="
    cells[at(spread.median)] = "O"
    return "".join(cells)


def _forecast_rows(cases: Sequence[ForecastCase], width: int) -> list[str]:
    """One line a job: a bar of what it took, `|` at the forecast."""
    scale = max(max(case.forecast_hours, case.took_hours) for case in cases)
    room = max(width - 34, 10)
    rows = [f"{'tag':<10}{'forecast':>8}{'took':>7}{'ratio':>7}  bar: took, | forecast"]
    for case in cases:
        cells = list(bar(case.took_hours, scale, room).ljust(room))
        cells[min(max(round(room * case.forecast_hours / scale) - 1, 0), room - 1)] = "|"
        rows.append(
            f"{pad(clean(case.tag), 10)}{case.forecast_hours:>8.1f}{case.took_hours:>7.1f}"
            f"{case.ratio:>7.2f}  {''.join(cells).rstrip()}"
        )
    return rows


# -- how they left -------------------------------------------------------------------------------

_STATES = (
    ("straightened", "█"),
    ("no hit", "·"),
    ("new shaft", "▒"),
    ("given back", "░"),
)


def outcome_page(found: Sequence[OutcomeFigure], width: int, most: int = 8) -> list[str]:
    """Straightened, replaced, given back: in all, then year by year."""
    lines = ["HOW THE SHAFTS LEFT: repaired against replaced", ""]
    if not found:
        return [*lines, "No job has left the shop yet."]
    titles = "".join(f"{name:>{len(name) + 2}}" for name, _ in _STATES)
    lines.append(f"{'year':<5}{'jobs':>5}{titles}")
    years = found[1 : most + 1]
    scale = max(one.jobs for one in years)
    room = max(width - len(lines[-1]) - 2, 10)
    lines.append(_outcome_row(found[0]))
    lines += [f"{_outcome_row(one)}  {_stack(one, scale, room)}" for one in years]
    if len(found) - 1 > most:
        lines.append(f"and {many(len(found) - 1 - most, 'earlier year')}, in the sum")
    legend = "   ".join(f"{glyph} {name}" for name, glyph in _STATES)
    every = found[0]
    words = (
        "",
        f"New shaft where it could be straightened or replaced: {part_words(every.replaced_part)}.",
        f"Replaced or given back after hits, so given up: {every.given_up}.",
        "By the year in which the job was closed. No hit: released with no hit in the book, true "
        "as it came or for other work only.",
    )
    return [*lines, "", legend, *_wrapped(words, width)]


def _counts(one: OutcomeFigure) -> tuple[int, int, int, int]:
    return one.straightened, one.no_hits, one.replaced, one.returned


def _outcome_row(one: OutcomeFigure) -> str:
    cells = zip(_counts(one), _STATES, strict=True)
    counts = "".join(f"{count:>{len(name) + 2}}" for count, (name, _) in cells)
    return f"{one.year:<5}{one.jobs:>5}{counts}"


def _stack(one: OutcomeFigure, scale: int, width: int) -> str:
    parts = zip(_counts(one), _STATES, strict=True)
    return "".join(bar(count, scale, width - 4, glyph) for count, (_, glyph) in parts)


# -- waiting -------------------------------------------------------------------------------------


def waiting_lines(groups: Sequence[WaitingGroup], width: int, most: int = 6) -> list[str]:
    """Who has how many jobs waiting, most first; `most` lines."""
    if not groups:
        return ["No job is open."]
    scale = max(group.jobs for group in groups)
    room = max(width - 59, 6)
    shown = groups if len(groups) <= most else groups[: most - 1]
    lines = [
        f"{pad(clean(group.waits_for), 32)} {many(group.jobs, 'job'):>7}, longest "
        f"{days_words(group.longest_days):>8} {bar(group.jobs, scale, room)}"
        for group in shown
    ]
    rest = groups[len(shown) :]
    if rest:
        lines.append(f"and {many(sum(g.jobs for g in rest), 'job')} for {len(rest)} others")
    return lines


def waiting_page(
    jobs: Sequence[WaitingJob], groups: Sequence[WaitingGroup], width: int
) -> list[str]:
    """The groups, then every open job."""
    lines = ["JOBS WAITING, and for whom", "", *waiting_lines(groups, width, most=len(groups)), ""]
    if not jobs:
        return lines
    lines.append(f"{'tag':<8}{'vessel, shaft':<22} {'waits for':<24} {'idle':>6}  due")
    for job in jobs:
        row = (
            f"{pad(clean(job.tag), 8)}{pad(clean(job.where), 22)} {pad(clean(job.waits_for), 24)} "
            f"{int(job.idle_days):>4} d  {due_or_late(job)}"
        )
        lines.append(cut(row, width))
    return lines


def days_words(days: float) -> str:
    """`today`, `1 day`, `12 days`."""
    whole = int(days)
    return "today" if whole == 0 else many(whole, "day")


def due_or_late(job: WaitingJob) -> str:
    """The day, and whether it has passed."""
    return f"{clean(job.due)} late" if job.overdue else clean(job.due)


def _wrapped(paragraphs: Sequence[str], width: int) -> list[str]:
    return [line for words in paragraphs for line in (wrap(words, width) or [""])]
