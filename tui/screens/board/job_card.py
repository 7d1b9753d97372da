"""The job card: the facts of a job, its steps as a numbered menu, the next one marked."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Static

from core.base.times import moment
from core.book import jobs
from core.book.connection import Book
from core.jobs.facts import facts_of
from core.jobs.job_facts import JobFacts
from core.jobs.penetrant import counted
from core.jobs.steps import Step, steps_of
from core.reports.job_sheet import MARK, job_facts_in_words, job_sheet, visit_number
from core.reports.paper import label_paper, text_paper
from tui.base.commands import Command, verb
from tui.screens.base.printing import print_or_write
from tui.screens.base.screen import JobScreen
from tui.widgets.menu import Menu, MenuItem
from tui.widgets.plain import clean


class JobCardScreen(JobScreen):
    """Where every job starts from; a digit opens a step at once."""

    HEADING = "Job card"
    HOW_TO = (
        "The steps stand in the order of the bench. A digit opens a step; Enter opens the one "
        "marked NEXT. Steps may be done in another order, except that a crack stops the job."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "intake", "Intake", "Customer, vessel, size, riding areas, rollers"),
        verb("data", "visits", "Visits", "Earlier visits of this shaft"),
        verb("more", "more", "More", "Shape, ends, sizes, wait for somebody, close"),
        verb("finish", "print", "Paper", "Print this card or a label, or write them", footer=False),
    )
    DEFAULT_CSS = """
    JobCardScreen #card-facts { height: auto; max-height: 7; margin: 0 0 1 0; }
    JobCardScreen #card-note { height: auto; max-height: 3; margin: 1 0 0 0; }
    """

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.again = ""
        """'Same place again', if the shaft came back bent where it was bent before."""
        self.next_at = 0
        """Line of the next step."""

    def body(self) -> ComposeResult:
        """Facts, steps, last note."""
        yield Static(id="card-facts")
        yield Menu()
        yield Static(id="card-note")

    def refresh_view(self) -> None:
        """Read the job."""
        book = self.book
        self._show_facts()
        self._show_steps(counted(book, facts_of(book, self.job_id), moment(book.now())))
        notes = jobs.notes_of(self.book, self.job_id)
        last = f"Last note ({len(notes)}): {clean(notes[-1].text)}" if notes else ""
        self.query_one("#card-note", Static).update(Content(last))

        self.later(self._look_back)

    def _show_facts(self) -> None:
        words = card_facts(self.book, self.job_id, self.again)
        self.query_one("#card-facts", Static).update(words)

    def _show_steps(self, facts: JobFacts, cursor: int | None = None) -> None:
        self.facts, steps = facts, steps_of(facts)
        self.steps = {step.name: step for step in steps}
        self.next_at = next((i for i, step in enumerate(steps) if step.state == "next"), 0)
        self.query_one(Menu).show(
            [_item(step) for step in steps], cursor=self.next_at if cursor is None else cursor
        )

    def _look_back(self) -> None:
        """What has to be computed: verdict, coupling and key, and the earlier visits."""
        again = visit_number(self.book, jobs.job(self.book, self.job_id)) > 1
        compute = partial(look_closer, job_id=self.job_id, again=again)
        self.in_background(compute, self._show_computed)

    def _show_computed(self, found: tuple[JobFacts, str]) -> None:
        """The same facts as release and ticket, and the line about the earlier visits."""
        facts, words = found
        if steps_of(facts) != tuple(self.steps.values()):
            cursor = self.query_one(Menu).cursor
            self._show_steps(facts, None if cursor == self.next_at else cursor)
        if words != self.again:
            self.again = words
            self._show_facts()

    def on_menu_chosen(self, event: Menu.Chosen) -> None:
        """Open a step."""
        step = self.steps[event.item.name]
        options = {"purpose": step.purpose} if step.purpose else {}
        self.context.go(step.place, self.job_id, **options)

    def action_intake(self) -> None:
        """F4."""
        self.context.go("intake", self.job_id)

    def action_visits(self) -> None:
        """F6."""
        self.context.go("visits", self.job_id)

    def action_print(self) -> None:
        """F12."""
        with self.in_words():
            tag = jobs.job(self.book, self.job_id).tag
            sheet = job_sheet(self.book, self.job_id, self.facts)
            papers = (text_paper("job card", tag, sheet), label_paper(self.book, self.job_id))
            print_or_write(self, self.job_id, papers)

    def action_more(self) -> None:
        """F7."""
        self.ask_which("What else about this job?", _MORE, self._more)

    def _more(self, name: str | None) -> None:
        if name in ("sizes", "shaft_end", "wear", "changes", "plot"):
            self.context.go(name, self.job_id)
        elif name == "waiting":
            self.ask_which("What does the job wait for?", _WAITS, self._wait)
        elif name in ("replaced", "returned"):
            self._close(name)
        elif name == "keeping":
            self.context.go("keeping")
        elif name == "open" and jobs.job(self.book, self.job_id).closed_at:
            self.context.go("open_again", self.job_id)
        elif name is not None:
            self._set_state(name)

    def _wait(self, waiting_for: str | None) -> None:
        if waiting_for is not None:
            self._set_state("waiting", waiting_for)

    def _close(self, state: str) -> None:
        """Without a release: the form asks for the reason."""
        if self.read_only:
            self.say("This job is closed already. F7 opens it again.", "stop")
        else:
            self.context.go("close", self.job_id, state=state)

    def _set_state(self, state: str, waiting_for: str = "") -> None:
        """Move the job; it can be moved back the same way."""
        with self.in_words():
            jobs.set_state(self.book, self.job_id, state, waiting_for=waiting_for)
            self.on_screen_resume()
            self.say(f"The job is now: {state}. F7 moves it again.", "done")


_MORE = (
    MenuItem("sizes", "Sizes: shaft diameter, bearing span, whirl"),
    MenuItem("shaft_end", "Shaft ends and parts"),
    MenuItem("waiting", "Wait for somebody (stays on the board)"),
    MenuItem("open", "Go on with it"),
    MenuItem("replaced", "Close: a new shaft was made instead"),
    MenuItem("returned", "Close: given back without repair"),
    MenuItem("wear", "Wear at the riding areas"),
    MenuItem("keeping", "Files: take a sweep in, write this job out"),
    MenuItem("changes", "Changes: what was corrected, when, by whom"),
    MenuItem("plot", "Shape of the shaft, bends, limits"),
)
_WAITS = tuple(
    MenuItem(words, words)
    for words in ("the owner's answer", "parts", "a new bar", "the boat", "a free press")
)


def _item(step: Step) -> MenuItem:
    words = f"{step.title:<22}{step.say}"
    return MenuItem(step.name, words, MARK.get(step.state, ""), strong=step.state == "next")


def look_back(book: Book, *, job_id: str) -> str:
    """What the earlier visits of the shaft say, in a few words (on any thread)."""
    from core.bends.returning_text import headline
    from core.jobs.visits import read_visits, tell_visits

    return headline(tell_visits(read_visits(book, job_id)).again)


def look_closer(book: Book, *, job_id: str, again: bool) -> tuple[JobFacts, str]:
    """All facts of a job, and of a shaft that was here before what its visits say."""
    from core.jobs.release import full_facts

    return full_facts(book, job_id), look_back(book, job_id=job_id) if again else ""


def card_facts(book: Book, job_id: str, again: str = "") -> Content:
    """The facts of a job in four to six lines; `again` names bends at old places."""
    lines = job_facts_in_words(book, job_id, again)
    return Content("\n").join(
        Content.assemble((f"{label:<11}", "bold"), clean(words)) for label, words in lines
    )
