"""Beside the straighten screen: when a hit was made, which hit is corrected, the shaft drawn."""

from __future__ import annotations

from collections.abc import Callable

from core.base.counting import many
from core.base.errors import ShaftlogError
from core.base.records import Hit
from core.base.units import format_clock
from core.book import hits
from core.jobs import hit_actions
from core.jobs.heat.spots import last_spot
from core.jobs.hit_actions import HitsChanged
from core.jobs.penetrant import hit_cautions
from core.jobs.straightening import HitToMake, StraighteningState
from tui.screens.base.screen import JobScreen
from tui.screens.straightening.straighten_text import recorded_text
from tui.widgets.menu import MenuItem
from tui.widgets.shaft_picture import PictureArea, PictureBend, ShaftSketch

MORE = (
    MenuItem("made", "Hits so far, and what each took out"),
    MenuItem("correct", "Correct a hit: it was made otherwise than noted"),
    MenuItem("heat", "Heat spot for this bend; its cooling clock; limits"),
    MenuItem("shape", "Shape and bends, before and after"),
    MenuItem("sweep", "Sweep the whole shaft again"),
    MenuItem("hold", "Hold check after a rest"),
    MenuItem("penetrant", "Penetrant check of the straightened spots"),
    MenuItem("line", "The line expected after each hit"),
    MenuItem("stroke", "Go on with the stroke made last"),
)
"""What else can be done beside the round."""
WHEN = (
    MenuItem("before", "Before that sweep was begun"),
    MenuItem("now", "After its readings: the sweep is then not used"),
)
ONE_MORE = (
    MenuItem("same", "That is the hit I mean: store nothing"),
    MenuItem("more", "This is one more hit: store it too"),
)
MOST_CORRECTED = 9
"""Newest hits offered for a correction: as many as one digit chooses."""


def ask_when(screen: JobScreen, then: Callable[[str], None]) -> None:
    """When the hit was made: now (''), unless a sweep is half read; then the person is asked,
    because a hit in the middle spoils it."""
    found = hit_actions.half_read_sweep(screen.book, screen.job_id)
    if found is None:
        then("")
        return
    begun, readings = found

    def answered(answer: str | None) -> None:
        if answer is not None:
            then(hit_actions.before_sweep(begun) if answer == "before" else "")

    question = (
        f"The sweep '{begun.purpose}' is half read ({many(readings, 'reading')}). "
        "When was this hit made?"
    )
    screen.ask_which(question, WHEN, answered)


def ask_which_hit(screen: JobScreen, then: Callable[[Hit], None]) -> None:
    """Which hit was noted wrong, newest first; raises when none may be corrected."""
    hit_actions.check_may_hit(screen.book, screen.job_id)
    made = hits.hits_of(screen.book, screen.job_id)
    if not made:
        raise ShaftlogError("No hit has been noted on this job.")
    items = tuple(
        MenuItem(one.id, recorded_text(one), f"round {one.round_no}")
        for one in reversed(made[-MOST_CORRECTED:])
    )

    def answered(hit_id: str | None) -> None:
        if hit_id is not None:
            then(next(one for one in made if one.id == hit_id))

    screen.ask_which("Which hit was made otherwise than noted?", items, answered)


def ask_one_more(screen: JobScreen, changed: HitsChanged, store: Callable[[], None]) -> None:
    """Whether a hit that another bench noted meanwhile is this one; `store` when it is not."""

    def answered(answer: str | None) -> None:
        if answer == "more":
            with screen.in_words():
                store()

    screen.ask_which(f"{changed} Is yours one more hit?", ONE_MORE, answered)


def is_cooling(screen: JobScreen) -> bool:
    """Whether the last heat spot is still to be read cold."""
    spot = last_spot(screen.book, screen.job_id)
    return spot is not None and spot.is_warm(screen.now)


def cautions_now(screen: JobScreen) -> tuple[str, ...]:
    """What speaks against a hit now: penetrant, and a bar that is still warm."""
    warm = ("WARM: the heat spot is not read cold yet; F7, 3 opens its clock.",)
    return (
        *hit_cautions(screen.book, screen.job_id, screen.now),
        *(warm if is_cooling(screen) else ()),
    )


def open_heat(
    screen: JobScreen,
    state: StraighteningState,
    here: HitToMake | None,
    stored: Callable[[], None],
) -> None:
    """The cooling clock while a bar is warm, else a spot for the chosen bend."""
    if is_cooling(screen):
        screen.context.go("cooling", screen.job_id)
    elif here is None:
        raise ShaftlogError(state.trouble or "No bend is chosen: Up, Down or Enter.")
    else:
        screen.context.go("heat", screen.job_id, state=state, planned=here, stored=stored)


def open_made_hits(screen: JobScreen, state: StraighteningState) -> None:
    """The hits so far, on paper."""
    from tui.screens.straightening.hit_pages import made_hits

    lines = tuple(made_hits(state))
    screen.context.go("paper", screen.job_id, heading="Hits so far", lines=lines)


def last_stroke(screen: JobScreen) -> Hit:
    """The hit made last, when its stroke may go on; raises in words when not."""
    hit_actions.check_may_hit(screen.book, screen.job_id)
    made = hits.hits_of(screen.book, screen.job_id)
    if not made or made[-1].method != "press":
        raise ShaftlogError("The hit made last is no stroke: Enter leads the one chosen.")
    return made[-1]


def sketch(state: StraighteningState, here: HitToMake | None) -> ShaftSketch:
    """The shaft with the hits of the round."""
    shaft = state.raw.shaft
    marks = tuple(
        PictureBend(p.hit.station_in, f"{n}: {format_clock(p.hit.high_side_rad, unit='')}")
        for n, p in enumerate(state.plan, start=1)
    )
    return ShaftSketch(
        shaft.length_in,
        shaft.zero_end,
        tuple(PictureArea(a.name, a.from_in, a.to_in) for a in state.raw.areas),
        state.raw.start.rollers_in if state.raw.start is not None else (),
        marks,
        here.hit.station_in if here is not None else None,
    )
