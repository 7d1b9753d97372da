"""Release: what is missing, the ticket to read, and the one press that freezes it."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from core.book import jobs
from core.errors import ShaftlogError
from core.files.export_file import write_export
from core.ticket.collect import missing_for_release, ticket_of
from tui.keys import Command
from tui.screens.base import JobScreen
from tui.widgets.plain import plain


class ReleaseScreen(JobScreen):
    """The ticket as it stands, and what stands in its way."""

    HEADING = "Release and ticket"
    HOW_TO = (
        "Read the ticket with PgUp and PgDn. F4 releases: name of the person who releases, and "
        "where something is missing, a name and a reason of the person who overrules it. A "
        "released ticket is frozen and the job is closed. F8 writes it as a text file for any "
        "printer at 80 columns and as a page with the drawn runout. The ticket is a record of "
        "measurement: class society, local codes and licensed people come first."
    )
    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command(
            "release", ("f4",), "Release", "Release the shaft: freeze the ticket, close the job"
        ),
        Command("close", ("f5",), "Close", "Close without release: replaced or given back"),
        Command("files", ("f8",), "Files", "Write the ticket as text and as a page"),
        Command("scroll_up", ("pageup",), "Up", "Scroll the ticket up"),
        Command("scroll_down", ("pagedown",), "Down", "Scroll the ticket down"),
    )
    DEFAULT_CSS = """
    ReleaseScreen #state { height: auto; max-height: 8; text-style: bold; }
    ReleaseScreen VerticalScroll { height: 1fr; border-top: solid $foreground;
        scrollbar-size: 0 0; }
    ReleaseScreen #ticket { width: 80; padding: 0; }
    """

    def body(self) -> ComposeResult:
        """State above, ticket below."""
        yield Static(id="state")
        with VerticalScroll(can_focus=False):
            yield Static(id="ticket")

    def refresh_view(self) -> None:
        """Collect the ticket anew, or show the frozen one."""
        book = self.app.book
        self.query_one("#ticket", Static).update(plain(ticket_of(book, self.job_id).text))
        job = jobs.job(book, self.job_id)
        if job.state == "released":
            words = "RELEASED: the ticket below is frozen. F8 writes it to files."
        elif self.read_only:
            words = f"Closed as {job.state}; not released."
        else:
            missing = missing_for_release(book, self.job_id)
            words = "Nothing is missing: F4 releases."
            if missing:
                words = "IN THE WAY:\n" + "\n".join(f"- {line}" for line in missing[:6])
                more = len(missing) - 6
                words += f"\n  and {more} more, see the ticket" if more > 0 else ""
        self.query_one("#state", Static).update(plain(words))

    # -- keys --------------------------------------------------------------------------------------

    def _may_close(self) -> None:
        if self.read_only:
            raise ShaftlogError("This job is closed already. F8 on its card opens it again.")

    def action_release(self) -> None:
        """F4."""
        from tui.screens.release_form import ReleaseFormScreen

        with self.in_words():
            self._may_close()
            self.app.push_screen(ReleaseFormScreen(self.job_id))

    def action_close(self) -> None:
        """F5."""
        from tui.screens.release_form import CloseFormScreen

        with self.in_words():
            self._may_close()
            self.app.push_screen(CloseFormScreen(self.job_id))

    def action_files(self) -> None:
        """F8."""
        book = self.app.book
        with self.in_words():
            ticket = ticket_of(book, self.job_id)
            tag = jobs.job(book, self.job_id).tag
            folder = Path(self.app.book_path).parent
            text = write_export(folder, f"ticket-{tag}", "txt", ticket.text)
            page = write_export(folder, f"ticket-{tag}", "html", ticket.html)
            self.say(f"Written in {text.parent}: {text.name} to print, {page.name}.", "done")

    def action_scroll_up(self) -> None:
        """PgUp."""
        self.query_one(VerticalScroll).scroll_page_up(animate=False)

    def action_scroll_down(self) -> None:
        """PgDn."""
        self.query_one(VerticalScroll).scroll_page_down(animate=False)
