"""The check list after the trial fit of the key: yes or no, who looked, when, a note."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.times import local_text
from core.book import choices, settings
from core.fitting.keys.checklist import ANSWERS, KEY_CHECK, Tick, ticks_of
from core.fitting.keys.trial_checks import TrialCheck
from core.fitting.measured.measurements import MeasurementSet, set_name
from core.jobs.measured import read_figures
from tui.screens.base.screen import JobScreen
from tui.screens.measure.measuring import JOB_CLOSED
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

LAST_CHECKED_BY = "last who checked a key"
"""What the program remembers the name under."""


class KeyChecksScreen(JobScreen):
    """One choice and one note for each check."""

    HEADING = "Check list of the key"
    HOW_TO = (
        "After the trial fit look at each point: 2 in order, 3 not, 1 takes the answer back. "
        "A digit goes on to the next point; Up goes to the line between, for a note. Who looked "
        "and when is kept with each answer; a changed answer takes the place of the old one, "
        "which stays in the book. A new set (F6 on the key screen) is looked at again. Lock the "
        "drive out before hands go near key and screws."
    )
    DEFAULT_CSS = """
    KeyChecksScreen Form { height: 13; }
    KeyChecksScreen #kept { height: 1fr; border-top: solid $foreground; }
    """

    def __init__(self, job_id: str, set_no: int = 1) -> None:
        super().__init__(job_id)
        self.set_no = set_no
        self.who = ""

    @property
    def figures(self) -> MeasurementSet:
        """The figures of this set."""
        return read_figures(self.book, self.job_id, set_no=self.set_no)

    def body(self) -> ComposeResult:
        """Who, then the list; below what is kept."""
        self.who = str(settings.recall(self.book, LAST_CHECKED_BY, "") or "")
        yield self.shared_form(self._specs, self._save, label_width=18)
        yield Static(id="kept")

    def subject(self) -> str:
        """The job and the set."""
        return f"{super().subject()}  {set_name(self.set_no)}"

    def refresh_view(self) -> None:
        """Show what is kept."""
        self._show(self.query_one(Form).current)

    def _specs(self) -> tuple[FieldSpec, ...]:
        specs = [FieldSpec("who", "Checked by", "text", self.who, "Your name, kept with each "
                           "answer.")]  # fmt: skip
        for number, tick in enumerate(ticks_of(self.figures)):
            name = tick.check.name
            specs.append(FieldSpec(f"answer {number}", name.capitalize(), "choice", tick.answer,
                                   tick.check.ask, _choices(tick.check)))  # fmt: skip
            specs.append(FieldSpec(f"note {number}", "  note", "text", tick.note, aside=True))
        return tuple(specs)

    def _save(self, name: str, value: object) -> str | None:
        if self.read_only:
            raise ShaftlogError(JOB_CLOSED)
        text = str(value)
        if name == "who":
            self.who = text
            settings.remember(self.book, LAST_CHECKED_BY, text)
            return None
        kind, number = name.split()
        tick = ticks_of(self.figures)[int(number)]
        if not self.who.strip():
            raise ShaftlogError("Who looks? Type the name in the first line, then answer.")
        answer = text if kind == "answer" else tick.answer
        self._keep(tick, answer, text if kind == "note" else tick.note)
        self._show(name)
        return None

    def _keep(self, tick: Tick, answer: str, note: str) -> None:
        choices.choose(
            self.book,
            job_id=self.job_id,
            subject=KEY_CHECK,
            name=tick.check.name,
            value=answer,
            note=note.strip(),
            by=self.who.strip(),
            set_no=self.set_no,
        )

    def on_form_entered(self, event: Form.Entered) -> None:
        """Explain the point under the cursor."""
        self._show(event.name)

    def _show(self, name: str) -> None:
        """The point under the cursor: what to look at, why, what is kept."""
        ticks = ticks_of(self.figures)
        answered = sum(bool(tick.answer) for tick in ticks)
        words = f"{answered} of {len(ticks)} answered. A digit goes on; Up to the note between."
        if name != "who":
            tick = ticks[int(name.split()[1])]
            when = local_text(tick.at, "%d %b %Y %H:%M") if tick.at and tick.answer else ""
            kept = f"{tick.words}{'  ' + when if when else ''}"
            words = f"{tick.check.ask}\n{tick.check.why}\n{kept}\n{words}"
        self.query_one("#kept", Static).update(plain(words))

    def on_form_finished(self) -> None:
        """After the last line, back to the key."""
        self.action_back()


def _choices(check: TrialCheck) -> tuple[tuple[str, str], ...]:
    """The answers in the words of the ticket: a bare 'no' at 'Burrs' could mean either."""
    return (("", "open"), *zip(ANSWERS, (check.good, check.bad), strict=True))
