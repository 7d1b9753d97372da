"""The terminal app: holds the open book, goes from place to place, knows the running clock."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable
from contextlib import suppress
from inspect import signature
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import Binding, BindingType
from textual.reactive import Reactive
from textual.scrollbar import ScrollBar, ScrollBarRender

from core.base.errors import ShaftlogError
from tui.background.preload import warm_up
from tui.base.commands import HIGH_ROWS, WIDE_COLUMNS
from tui.base.context import Tone
from tui.routes import ROUTES
from tui.screens.base.screen import ShopScreen
from tui.terminal.crash_recovery import SurvivesFaults
from tui.terminal.diff_compositor import PaintsDifferences
from tui.terminal.tag_scanner import TagScanner

if TYPE_CHECKING:
    from textual.widget import Widget

    from core.book.connection import Book
    from tui.background.poller import Poller


class BlockBar(ScrollBarRender):
    """Scrollbars out of whole blocks: every console font has them."""

    VERTICAL_BARS: ClassVar[list[str]] = [" "]
    HORIZONTAL_BARS: ClassVar[list[str]] = [" "]


ScrollBar.renderer = BlockBar

READABLE = {
    "error": "ansi_bright_red",
    "text-error": "ansi_bright_red",
    "warning": "ansi_bright_yellow",
    "text-warning": "ansi_bright_yellow",
}
"""Plain red is 2.7 : 1 on the black of a Linux console, its yellow (a brown) 4.0 : 1."""


class UnknownOption(ShaftlogError):
    """A screen was to be opened with an option that it does not have."""


class ShaftlogApp(PaintsDifferences, SurvivesFaults, inherit_bindings=False):
    """Opens the book, shows the board; the `Context` of every screen."""

    TITLE = "Shaftlog"
    theme: Reactive[str] = Reactive("ansi-dark")
    """The terminal's own sixteen colours; set here, as a change later parses all styles again."""
    ENABLE_COMMAND_PALETTE = False
    CSS_PATH = Path(__file__).parent / "global.tcss"
    """Not of a screen: read when the first one is opened they style all widgets again."""
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (WIDE_COLUMNS, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-low"), (HIGH_ROWS, "-high")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q,ctrl+c", "guard", show=False, priority=True)
    ]

    def __init__(
        self,
        book_path: Path | str,
        *,
        clock: Callable[[], float] | None = None,
        ascii: bool = False,
        warm: bool = True,
        book: Book | None = None,
        by: str = "",
        scanner: bool = False,
        welcome: bool = False,
    ) -> None:
        super().__init__(ansi_color=True)
        self.scanner = TagScanner() if scanner else None
        self.book_path = Path(book_path)
        self.clock: Callable[[], float] = clock or self._book_time_s
        """Seconds since 1970, as the book counts them; tests pass their own."""
        self.ascii = ascii
        """Whether only plain ASCII may be painted."""
        self.last_job_id: str | None = None
        """The job last worked on (F10)."""
        self.running_clock = ""
        self.others = ""
        """Words of the penetrant clock for the top line; empty when none runs."""
        self.heart: Poller | None = None
        """Looks after clocks and other benches; None until the first picture is shown."""
        self._warm = warm
        self.wants_practice = False
        """Whether it was left for the practice shaft."""
        self._welcome = welcome
        """Whether a book nobody has worked with begins with the first start."""
        self._first_words = ""
        """What must be said as soon as the first picture is shown."""
        if book is None:
            book = self._open(by)
        self.book = book
        self.follow_unit()
        if ascii:
            from tui.terminal.ascii_filter import AsciiFilter

            self._filters.append(AsciiFilter())

    def get_css_variables(self) -> dict[str, str]:
        """Colours that can be read in a bright shop, 4.5 : 1 at least."""
        return super().get_css_variables() | READABLE

    def _book_time_s(self) -> float:
        return self.book.now_s()

    # -- start and end -----------------------------------------------------------------------------

    def _open(self, by: str) -> Book:
        """The book; one that cannot be written to is opened for looking.

        `by` is stored with every entry; empty = the bench name of the settings.
        """
        from core.book import settings
        from core.book.errors import ReadOnlyBook
        from core.book.opening import open_book

        try:
            book = open_book(self.book_path, by=by)
            book.by = by or settings.load(book).bench_name
            return book
        except ReadOnlyBook as error:
            book = open_book(self.book_path, read_only=True)
            self._first_words = f"For looking only, nothing can be entered: {error}"
            return book

    def get_default_screen(self) -> ShopScreen:
        """The board is the bottom screen."""
        screen: ShopScreen = ROUTES["board"].load()()
        return screen

    def on_mount(self) -> None:
        """Once the first picture is shown: heavy libraries, running clocks, other benches."""
        if self._warm:
            self.call_after_refresh(warm_up)
            self.call_after_refresh(self._back_up)
        self.call_after_refresh(self._start_heart)
        if self._welcome and not self.book.read_only:
            self.call_after_refresh(self._first_start)

    def _first_start(self) -> None:
        from core.jobs.intake.first_start import is_first_start

        if len(self.screen_stack) == 1 and is_first_start(self.book):
            self.go("first_start")

    def _back_up(self) -> None:
        from core.book import settings
        from tui.background import daily_backup

        with suppress(ShaftlogError):
            daily_backup.start(
                self.book_path, settings.load(self.book).backups_kept, self._say_from_thread
            )

    def _start_heart(self) -> None:
        from tui.background.poller import BEAT_S, Poller

        self.heart = Poller(self)
        self.set_interval(BEAT_S, self.heart.beat)
        if words := self._first_words or self.book.clock_words:
            self.say(words, "stop")

    def look_at_clocks(self) -> None:
        """A penetrant stage was begun or ended: show it on the top line at once."""
        if self.heart is not None:
            self.heart.look()

    def show_clock(self, words: str) -> None:
        """Words of the running clock on the top line of the screen."""
        self.running_clock = words
        for line in self.screen.query("TopLine"):
            line.clock = words  # type: ignore[attr-defined]

    def show_others(self, names: str) -> None:
        """Benches that have the job in front open too, on the top line of the screen."""
        self.others = names
        for line in self.screen.query("TopLine"):
            line.others = names  # type: ignore[attr-defined]

    def ring(self, words: str, *, bell: bool) -> None:
        """A stage is over: ring, and say which."""
        if bell:
            self.bell()
        self.say(words)

    def show_changes(self) -> None:
        """Another bench has stored something: read it again."""
        if isinstance(self.screen, ShopScreen) and not self.screen.bodiless:
            with self.screen.in_words():
                self.screen.seen_elsewhere()

    @property
    def fault_file(self) -> Path:
        """Where details of a fault are written."""
        return self.book_path.with_suffix(".fault.txt")

    def new_board(self) -> ShopScreen:
        """A new board after a fault in it."""
        return self.get_default_screen()

    def tell_fault(self, words: str) -> None:
        """Where the person is now."""
        self.say(words, "stop")

    def leave_on_signal(self, status: int) -> None:
        """Called from a signal handler: leave in order."""
        loop = self._loop_or_none()
        if loop is not None:
            loop.call_soon_threadsafe(self._leave_settled, status)

    def _leave_settled(self, status: int) -> None:
        """What is typed in a form is saved as by Esc; then leave, whatever comes of it."""
        for screen in reversed(self.screen_stack):
            if isinstance(screen, ShopScreen):
                with suppress(Exception), self.book.short_timeout(0.2):
                    screen.settle()
        self.exit(return_code=status)

    def _loop_or_none(self) -> asyncio.AbstractEventLoop | None:
        try:
            return asyncio.get_running_loop()
        except RuntimeError:
            return None

    def close_book(self) -> None:
        """Close the book; all entries were stored when they were made."""
        if self.heart is not None:
            with suppress(ShaftlogError):
                self.heart.leave()
        self.book.close()

    def action_guard(self) -> None:
        """Ctrl+Q and Ctrl+C end many programs; a stray press must not end a sweep."""
        if isinstance(self.screen, ShopScreen):
            self.screen.say("To leave Shaftlog go back to the board with Esc and press F12.")

    async def run_action(self, *args: Any, **options: Any) -> bool:
        """An error of the core that an action let through becomes words, never a crash."""
        try:
            return await super().run_action(*args, **options)
        except ShaftlogError as error:
            self.say(str(error), "stop")
        return True

    # -- going about -------------------------------------------------------------------------------

    def go(self, name: str, job_id: str | None = None, /, **options: object) -> None:
        """Open a screen by its route name; if it is open already below, go back to it.

        A screen of another job than the one on the stack starts afresh from the board. `options`
        go to the screen's constructor and open a new one: `go("sweep", id, purpose="final")`.
        Raises UnknownOption, and opens nothing, for one that the screen does not know.
        """
        route = ROUTES[name]
        cls = route.load()
        unknown = set(options) - set(signature(cls).parameters)
        if unknown:
            raise UnknownOption(
                f"The screen '{name}' knows no option {', '.join(sorted(unknown))}."
            )
        if route.needs_job and job_id is None:
            self.say("Open a job first: F2 shows the open jobs.")
            return
        if route.needs_job:
            self._drop_other_jobs(job_id)
        for screen in self.screen_stack[1:]:
            if type(screen) is cls and getattr(screen, "job_id", None) == job_id:
                while self.screen is not screen:
                    self.pop_screen()
                if not options:
                    return
                self.pop_screen()
                break
        self.push_screen(cls(job_id, **options) if route.needs_job else cls(**options))

    def open_tag(self, tag: str) -> None:
        """A tag was scanned: open its job, wherever the person is; what was typed is kept."""
        from core.book import jobs

        try:
            job = jobs.job_by_tag(self.book, tag)
        except ShaftlogError as error:
            self.say(str(error), "stop")
            return
        if isinstance(self.screen, ShopScreen) and not self.screen.settle():
            return
        self.back_to_board()
        self.go("card", job.id)

    def follow_unit(self) -> None:
        """Dial figures are shown in the unit that the shop has now."""
        from core.book import settings

        with suppress(ShaftlogError):
            settings.follow_unit(self.book)

    def banner(self) -> Iterable[Widget]:
        """Nothing: the practice shaft has its advice there."""
        return ()

    def practise(self) -> None:
        """Leave for the practice shaft; `main` opens it and then this book again."""
        if self.running_clock:
            self.say("A penetrant clock runs: practise when it is over.", "stop")
        else:
            self.wants_practice = True
            self.exit()

    def back(self) -> None:
        """One screen back; the board stays."""
        if len(self.screen_stack) > 1:
            self.pop_screen()

    def back_to_board(self) -> None:
        """Close everything above the board."""
        while len(self.screen_stack) > 1:
            self.pop_screen()

    def _drop_other_jobs(self, job_id: str | None) -> None:
        """Close screens above the first one that belongs to another job."""
        stack = self.screen_stack
        for depth, screen in enumerate(stack):
            if getattr(screen, "job_id", job_id) != job_id:
                while len(self.screen_stack) > depth:
                    self.pop_screen()
                return

    def say(self, words: str, tone: Tone = "hint") -> None:
        """Words in the message line of the screen on top."""
        if isinstance(self.screen, ShopScreen):
            self.screen.say(words, tone)

    def _say_from_thread(self, words: str) -> None:
        """The same, called on a thread."""
        if self.is_running:
            self.call_from_thread(self.say, words)

    def stop(self, words: str) -> None:
        """Leave the program with an error."""
        self.exit(return_code=2, message=words)

    @property
    def bench(self) -> str:
        """Name of this running program among those at the same book."""
        return self.heart.bench if self.heart is not None else ""

    @property
    def is_closing(self) -> bool:
        """Whether no screen is left: the app is being closed."""
        return not self.screen_stack

    @property
    def job_on_top(self) -> str | None:
        """The job of the screen in front."""
        return getattr(self.screen, "job_id", None)
