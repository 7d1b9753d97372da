"""Beside the straighten screen: the hits so far, and what is known about heat."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from core.desk.rounds import Bench
from core.errors import ShaftlogError
from core.hits import heat
from core.units import format_thou
from tui.keys import Command
from tui.screens.base import JobScreen
from tui.widgets.plain import plain


class PaperScreen(JobScreen):
    """Words to scroll through."""

    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command("scroll_up", ("pageup",), "Up", "Scroll up"),
        Command("scroll_down", ("pagedown",), "Down", "Scroll down"),
    )
    DEFAULT_CSS = "PaperScreen VerticalScroll { height: 1fr; padding: 0 1; }"

    def __init__(self, job_id: str, bench: Bench) -> None:
        super().__init__(job_id)
        self.bench = bench

    def lines(self) -> Iterator[str]:
        """The words."""
        yield from ()

    def body(self) -> ComposeResult:
        """All lines."""
        with VerticalScroll(can_focus=False):
            yield Static(plain("\n".join(self.lines())))

    def action_scroll_up(self) -> None:
        """PgUp."""
        self.query_one(VerticalScroll).scroll_page_up(animate=False)

    def action_scroll_down(self) -> None:
        """PgDn."""
        self.query_one(VerticalScroll).scroll_page_down(animate=False)


class MadeHitsScreen(PaperScreen):
    """Round by round."""

    HEADING = "Hits so far"
    HOW_TO = "Each hit with what was asked and what the readings after it say came out."

    def lines(self) -> Iterator[str]:
        """One line a hit, the doubts of each round behind it."""
        story = self.bench.story
        if story is None or not story.chapters:
            yield "No hit has been made on this job."
            return
        for raw, chapter in zip(self.bench.raw.rounds, story.chapters, strict=True):
            how = "full sweep" if chapter.swept else "quick check" if chapter.checked else ""
            yield f"ROUND {raw.number}: {how or 'nothing read after it yet'}"
            for made, hit in zip(raw.hits, chapter.hits, strict=True):
                out = "not known yet"
                if hit.taken_share is not None:
                    share = hit.taken_share / hit.aim_for
                    out = f"{share:.0%} came out (give or take {hit.taken_sigma:.0%})"
                stays = "" if made.stays_in is None else f", stayed {format_thou(made.stays_in)}"
                yield (
                    f"  {made.station_in:8.2f} in  {made.clock_deg:3.0f} deg  {made.method}  asked "
                    f"{1000 * made.angle_rad:.2f} mrad{stays}: {out}"
                )
            if chapter.after is None:
                yield "  The readings do not agree with the hits: a full sweep is needed."
            yield from (f"  {said}" for said in chapter.doubts)
        for method, response in self.bench.responses.items():
            if response.n_hits:
                yield (
                    f"Response, {method}: {response.mean:.0%} of what is asked, give or take "
                    f"{response.scatter:.0%} a hit, from {response.n_hits} hits of this material."
                )


class HeatScreen(PaperScreen):
    """Cautions, temperatures, the shop's own record; no formula, as there is no honest one."""

    HEADING = "Heat spots"
    HOW_TO = "What may be said about heating this material. PgUp and PgDn scroll."

    def lines(self) -> Iterator[str]:
        """Advice for the material of this shaft."""
        shaft = self.bench.raw.shaft
        try:
            advice = heat.advise(shaft.material, shaft.condition, self.bench.record)
        except ShaftlogError as error:
            yield str(error)
            yield from heat.SAFETY
            return
        if advice.discouraged:
            yield f"WARNING: {shaft.material} is spoilt by heat; press it if it can be pressed."
        if advice.keep_under_f is not None:
            yield f"Keep it under {advice.keep_under_f:,.0f} F (lowest of the figures below)."
        yield advice.said
        yield ""
        yield from (f"- {caution.said}" for caution in advice.cautions)
        yield ""
        yield from heat.SAFETY
        yield heat.DEFER
