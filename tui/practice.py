"""The app on a practice book: its real screens, a line of advice below the top line."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from pathlib import Path

from textual.widget import Widget
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.book.settings import ShopSettings
from core.demo.practice import make_practice
from tui.advice import Advisor
from tui.app import ShaftlogApp
from tui.screens.base.screen import ShopScreen
from tui.widgets.plain import plain

LOOK_S = 0.15
"""How often the advice follows what was done."""


class AdviceLine(Static):
    """What to do now; in the way of nothing, as it takes no key."""

    DEFAULT_CSS = """
    AdviceLine { height: auto; max-height: 2; padding: 0 1; text-style: bold reverse; }
    """


class PracticeApp(ShaftlogApp):
    """No backups and no first start: the book goes away with its folder."""

    TITLE = "Shaftlog practice"

    def __init__(self, place: Path, *, ascii: bool = False, warm: bool = True) -> None:
        super().__init__(place, ascii=ascii, warm=warm, by="practice")
        self.advisor = Advisor()

    def banner(self) -> Iterable[Widget]:
        """The line of advice."""
        yield AdviceLine()

    def on_mount(self) -> None:
        """Advice follows what is on the screen."""
        self.set_interval(LOOK_S, self.look)

    def _back_up(self) -> None:
        """Nothing of it is kept."""

    def practise(self) -> None:
        """From within the practice."""
        self.say("This is the practice shaft. F12 on the board ends it.")

    def look(self) -> None:
        """Say what to do now, and put into the field what a gauge cable would send."""
        screen = next((s for s in reversed(self.screen_stack) if isinstance(s, ShopScreen)), None)
        if screen is None or not screen.is_mounted:
            return
        try:
            words = self.advisor.advise(screen, answering=self.screen is not screen)
        except ShaftlogError as error:
            words = str(error)
        for line in screen.query(AdviceLine):
            line.update(plain(f"PRACTICE: {words}"))


def practice_folder() -> tempfile.TemporaryDirectory[str]:
    """A folder that goes away with everything in it."""
    return tempfile.TemporaryDirectory(prefix="shaftlog-practice-")


def practice_app(folder: str, shop: ShopSettings, *, ascii: bool) -> PracticeApp:
    """The app on a new practice book in a folder; dial and unit as in the shop."""
    place = Path(folder) / "practice.db"
    make_practice(place, shop)
    return PracticeApp(place, ascii=ascii)
