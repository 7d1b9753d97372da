"""The pictures and the field of the sweep screen, as one widget."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from tui.screens.sweep import sweep_views as views
from tui.screens.sweep.sweep_actions import SweepActions
from tui.screens.sweep.sweep_input import ReadingInput
from tui.screens.sweep.sweep_state import SweepState
from tui.screens.sweep.sweep_views import MarksView, SoFarView, SweepDisplay
from tui.widgets.canvas import LineView
from tui.widgets.profile import ProfileView
from tui.widgets.rose import RoseView

QUESTIONS = {"station": "Go to station (in)", "clock": "Go to mark (deg)"}


class SweepBench(Vertical):
    """Marks, rose and figures; profile; slip; the field with its prompt and echo."""

    DEFAULT_CSS = """
    SweepBench #middle { height: 11; }
    SweepBench RoseView { width: 29; height: 100%; }
    SweepBench ProfileView { height: 1fr; min-height: 5; }
    """

    def compose(self) -> ComposeResult:
        """From top to bottom."""
        yield LineView(id="status")
        with Horizontal(id="middle"):
            yield MarksView()
            yield RoseView()
            yield SoFarView()
        yield ProfileView()
        yield LineView(id="slip")
        yield ReadingInput()

    @property
    def field(self) -> ReadingInput:
        """The field."""
        return self.query_one(ReadingInput)

    def show(self, desk: SweepActions, state: SweepState, known: SweepDisplay) -> None:
        """Bring every picture up to date; each repaints only what changed."""
        self.query_one("#status", LineView).show(views.status_words(state), "dim")
        self.query_one(MarksView).show(state, known)
        self.query_one(RoseView).show(views.rose_of(state, known))
        self.query_one(SoFarView).show(state, known)
        sketch = views.sketch_of(desk.shaft, state, desk.areas)
        limit_in = desk.shop.limit_between_in
        self.query_one(ProfileView).show(views.profile_of(sketch, state, known, limit_in))
        self.query_one("#slip", LineView).show(views.slip_words(state, known), "doubt")

    def prompt(self, words: str) -> None:
        """The words before the number."""
        self.field.show(prompt=f"{words}:")

    def echo(self, words: str, style: str = "") -> None:
        """Words behind the number: how it is understood, what was taken."""
        self.field.show(echo=(words, style))
