"""Repair or replace: the forecast, both prices, the words for the owner, the owner's answer."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.records import QuoteLine
from core.base.times import local_text
from core.book import jobs, quotes
from core.jobs.repair_offer import QuoteInputs, ask, play, weigh
from core.jobs.straightening import StraighteningState
from core.straightening.forecast import Forecast
from core.straightening.repair_or_replace import Decision, PriceLine, line_words
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.base.scrolling import ScrollingScreen
from tui.widgets.menu import MenuItem
from tui.widgets.plain import plain

QUOTES_CLOSED = "This job is closed: its quotes can be read, not changed."
BAR_CELLS = 40
ANSWERS = (
    MenuItem("repair", "Yes: repair it"),
    MenuItem("replace", "A new shaft instead"),
    MenuItem("returned", "Neither: give it back as it is"),
    MenuItem("waiting", "No answer yet: the job waits for the owner"),
)
SAID = {
    "repair": "Repair agreed.",
    "replace": "New shaft agreed.",
    "waiting": "The job waits for the owner.",
}
UNWANTED = "The owner wants neither repair nor a new shaft."
WORDS = {
    "repair": "RECOMMENDED: repair",
    "replace": "RECOMMENDED: a new shaft",
    "either": "CLOSE: the owner should choose",
}


class RepairScreen(ScrollingScreen, JobScreen):
    """What each way costs."""

    HEADING = "Repair or replace"
    HOW_TO = (
        "The straightening is played many times on the line as measured, with the scatter of your "
        "own hits; out come hits and hours, as likely as not and nine times in ten. Past the point "
        "where the labour exceeds the value of the new part, replace: common practice, no source. "
        "Read the words to the owner, F12 keeps the quote, F7 the answer. F8 changes prices for "
        "this job; the shop's prices stand in the settings."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "again", "Forecast", "Start the forecast again, or stop it"),
        verb("setup", "terms", "Prices", "Prices, other work and wear of this job"),
        verb("finish", "quote", "Quote", "Keep this as a quote to the owner"),
        verb("more", "answer", "Answer", "What the owner said"),
        verb("data", "earlier", "Quotes", "Quotes kept so far"),
    )
    DEFAULT_CSS = """
    RepairScreen #verdict { height: auto; max-height: 3; padding: 0 1; text-style: bold; }
    RepairScreen VerticalScroll { height: 1fr; padding: 0 1; }
    RepairScreen #costs { height: auto; max-height: 9; padding: 0 1;
        border-top: solid $foreground; }
    """

    class Progress(Message):
        """So many plays of so many are done."""

        def __init__(self, done: int, of: int) -> None:
            super().__init__()
            self.done = done
            self.of = of

        def can_replace(self, message: Message) -> bool:
            """Only the newest counts."""
            return isinstance(message, RepairScreen.Progress)

    class Played(Message):
        """The forecast is ready, or the words why there is none."""

        def __init__(
            self, found: tuple[QuoteInputs, StraighteningState, Forecast] | None, trouble: str = ""
        ) -> None:
            super().__init__()
            self.found, self.trouble = found, trouble

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.decision: Decision | None = None
        self.played: tuple[StraighteningState, Forecast] | None = None
        self.cancelled = False
        self.playing = False

    def body(self) -> ComposeResult:
        """Verdict, words for the owner, both price lists."""
        yield Static(id="verdict")
        with VerticalScroll(can_focus=False):
            yield Static(id="words")
        yield Static(id="costs")

    def refresh_view(self) -> None:
        """Play, or weigh what was played with the terms as they are now."""
        if self.played is not None:
            self.in_background(partial(ask, job_id=self.job_id), self._weigh_again)
        elif not self.playing:
            self._start()

    def _weigh_again(self, asked: QuoteInputs) -> None:
        if self.played is not None:
            self._show(asked, *self.played)

    def _start(self) -> None:
        self.cancelled, self.playing, self.decision = False, True, None
        self.say("")
        for name in ("#words", "#costs"):
            self.query_one(name, Static).update("")
        self.query_one("#verdict", Static).update(plain("Playing the straightening ..."))
        self.run_worker(self._play, thread=True, exclusive=True)

    def _progress(self, done: int, of: int) -> None:
        self.post_message(self.Progress(done, of))

    def _play(self) -> None:
        """On a thread."""
        try:
            with self.book.reopen(read_only=True) as own:
                asked = ask(own, self.job_id)
            bench, effort = play(
                asked,
                progress=self._progress,
                cancelled=lambda: self.cancelled,
            )
            self.post_message(self.Played((asked, bench, effort)))
        except ShaftlogError as error:
            self.post_message(self.Played(None, str(error)))

    def on_unmount(self) -> None:
        """A forecast nobody waits for stops."""
        self.cancelled = True

    def on_repair_screen_progress(self, event: Progress) -> None:
        """The bar."""
        if self.is_attached and self.playing:
            cells = BAR_CELLS * event.done // event.of
            bar = "#" * cells + "-" * (BAR_CELLS - cells)
            words = f"Playing the straightening [{bar}] {event.done} of {event.of}. F4 stops it."
            self.query_one("#verdict", Static).update(plain(words))

    def on_repair_screen_played(self, event: Played) -> None:
        """Show the decision."""
        self.playing = False
        if not self.is_attached:
            return
        if event.found is None:
            self.query_one("#verdict", Static).update(plain(event.trouble))
            return
        self.played = event.found[1:]
        with self.in_words():
            self._show(*event.found)

    def _show(self, asked: QuoteInputs, bench: StraighteningState, effort: Forecast) -> None:
        self.decision = decision = weigh(asked, bench, effort)
        part = "" if effort.complete else f" (forecast of {len(effort.hits)} plays)"
        hours = decision.break_even_hours
        until = f"; break-even at {hours:.1f} bench hours" if hours < 1e6 else ""
        self.query_one("#verdict", Static).update(
            plain(f"{WORDS[decision.word]}{until}{part}.\n{effort_words(effort)}")
        )
        self.query_one("#words", Static).update(plain(decision.text))
        self.query_one("#costs", Static).update(plain(cost_words(decision)))

    # -- keys --------------------------------------------------------------------------------------

    def action_again(self) -> None:
        """F4."""
        if self.playing:
            self.cancelled = True
            self.say("The forecast stops; it tells what it has so far.")
            return
        self.played = None
        self._start()

    def action_terms(self) -> None:
        """F8."""
        self.context.go("terms", self.job_id)

    def action_quote(self) -> None:
        """F12."""
        with self.in_words():
            decision = self._decided()
            kept = quotes.save_quote(
                self.book,
                job_id=self.job_id,
                kind="both",
                text=decision.text,
                lines=[
                    QuoteLine(f"{way}: {line.label}", line.quantity, line.unit_price, line.amount)
                    for way, lines in (
                        ("repair", decision.repair_lines),
                        ("new shaft", decision.replace_lines),
                    )
                    for line in lines
                ],
            )
            jobs.set_state(self.book, self.job_id, "waiting", waiting_for="the owner's answer")
            when = local_text(kept.at, "%H:%M")
            self.say(f"Quote kept at {when}; the job waits for the owner. F7: the answer.", "done")

    def _decided(self) -> Decision:
        if self.read_only:
            raise ShaftlogError(QUOTES_CLOSED)
        if self.decision is None:
            raise ShaftlogError("The forecast is not ready yet: a quote needs it.")
        return self.decision

    def action_answer(self) -> None:
        """F7."""
        with self.in_words():
            if self.read_only:
                raise ShaftlogError(QUOTES_CLOSED)
            self.ask_which("What does the owner say?", ANSWERS, self._answered)

    def _answered(self, answer: str | None) -> None:
        if answer is None:
            return
        with self.in_words():
            book = self.book
            if answer in ("repair", "replace"):
                said = "Owner: repair it." if answer == "repair" else "Owner: a new shaft."
                quotes.save_quote(book, job_id=self.job_id, kind=answer, text=said)
                jobs.set_state(book, self.job_id, "open")
            elif answer == "returned":
                self.context.go("close", self.job_id, state="returned", reason=UNWANTED)
                return
            else:
                jobs.set_state(book, self.job_id, "waiting", waiting_for="the owner's answer")
            self.say(SAID[answer], "done")

    def action_earlier(self) -> None:
        """F6."""
        found = quotes.quotes_of(self.book, self.job_id)
        if not found:
            self.say("No quote is kept yet. F12 keeps this one.")
            return
        items = tuple(
            MenuItem(q.id, f"{local_text(q.at, '%d %b %Y %H:%M')}  {q.kind}", "")
            for q in found[-9:]
        )
        self.ask_which("Which quote?", items, self._read_quote)

    def _read_quote(self, quote_id: str | None) -> None:
        for quote in quotes.quotes_of(self.book, self.job_id):
            if quote.id == quote_id:
                lines = [quote.text, ""]
                lines += [
                    f"{line_words(q.label, q.quantity):<44.44} {q.amount:>12,.2f}"
                    for q in quote.lines
                ]
                heading = f"Quote of {local_text(quote.at, '%d %b %Y %H:%M')}"
                self.context.go("paper", self.job_id, heading=heading, lines=lines)


def effort_words(effort: Forecast) -> str:
    """Hits and hours of the forecast."""
    return (
        f"Hits {effort.hits_median}, nine in ten at most {effort.hits_90}; bench hours "
        f"{effort.hours_median:.1f}, nine in ten at most {effort.hours_90:.1f}."
    )


def cost_words(decision: Decision) -> str:
    """Both price lists side by side."""
    left, right = _side(decision.repair_lines), _side(decision.replace_lines)
    left.append(f"{'REPAIR':<26}{decision.repair_cost:>11,.2f}")
    right.append(f"{'NEW SHAFT':<26}{decision.replace_cost:>11,.2f}")
    rows = max(len(left), len(right))
    left += [""] * (rows - len(left))
    right += [""] * (rows - len(right))
    return "\n".join(f"{a:<38} {b}" for a, b in zip(left, right, strict=True))


def _side(lines: tuple[PriceLine, ...]) -> list[str]:
    return [
        f"{line_words(line.label, line.quantity):<26.26}{line.amount:>11,.2f}" for line in lines
    ]
