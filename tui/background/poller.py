"""What the app looks after twice a second: other benches' entries, the penetrant clock, presence.

Nothing is painted unless something changed.
"""

from __future__ import annotations

import os
import socket
from datetime import UTC, datetime

from core.base.errors import ShaftlogError
from core.base.penetrant_records import PenetrantCheck
from core.book import jobs, penetrant_checks, presence, settings
from core.book.errors import MovedBook
from core.book.upkeep import calls
from tui.background import penetrant_clock
from tui.background.file_recovery import mend
from tui.base.context import Context

BEAT_S = 0.5
"""An entry of another bench is seen within two seconds, on a busy computer too."""


def may_be_there(bench: str) -> bool:
    """Whether a bench can still be at work: not when its program was here and is gone (killed)."""
    host, _, number = bench.rpartition(":")
    if host != socket.gethostname() or not number.isdecimal():
        return True
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return True


class Poller:
    """Holds what was known at the last beat; `beat` is called by the app."""

    def __init__(self, context: Context) -> None:
        self.context = context
        self.bench = f"{socket.gethostname()}:{os.getpid()}"
        """A name that no other process has."""
        self.checks: list[tuple[str, PenetrantCheck]] = []
        self._bells: tuple[tuple[str, datetime, str], ...] = ()
        self._here: str | None = None
        self._met: set[str] = set()
        """Benches on the same job already reported."""
        self._here_at = 0.0
        self._heard_at = ""
        self._told = ""
        """Trouble with the file already reported."""
        self.look()

    def look(self) -> None:
        """Read from the book which penetrant clocks run; screens call it after each stage."""
        book = self.context.book
        running = penetrant_checks.running(book)
        self.checks = [(jobs.job(book, check.job_id).tag, check) for check in running]
        self.tell_clock()

    def beat(self) -> None:
        """Twice a second; trouble with the book waits for the next beat."""
        if self.context.is_closing or not self._file_is_well():
            return
        try:
            if self.context.book.changed_elsewhere():
                self.look()
                self.context.show_changes()
                self._hear()
                self._meet()
            self.tell_clock()
            self._presence()
        except ShaftlogError:
            return

    def _file_is_well(self) -> bool:
        """Whether the file of the book is still there and ours; if not, it is reported once."""
        try:
            self.context.book.verify_file()
        except MovedBook:
            return mend(self.context)
        except ShaftlogError as error:
            if str(error) != self._told:
                self._told = str(error)
                self.context.say(self._told, "stop")
            return False
        return True

    def tell_clock(self) -> None:
        """Put the words on the top line; ring the bells that have come due."""
        now = datetime.fromtimestamp(self.context.clock(), UTC)
        found = penetrant_clock.running(self.checks, now)
        self.context.show_clock(found.words if found else "")
        # After a computer slept several bells of a check are over: only the last one is true now.
        due = {name: words for name, at, words in self._bells if at <= now}
        for words in due.values():
            self.context.ring(words, bell=settings.load(self.context.book).bell)
        self._bells = found.bells if found else ()

    def _hear(self) -> None:
        """Another bench calls all others: ring and say it, once."""
        call = calls.newest_call(self.context.book, self.bench)
        if call is not None and call.at != self._heard_at:
            self._heard_at = call.at
            self.context.ring(call.words, bell=True)

    def _presence(self) -> None:
        """Say that we are on a job; warn once when somebody else is on it too."""
        job_id = self.context.job_on_top
        if job_id is None or self.context.book.read_only:
            self.leave()
            self.context.show_others("")
            return
        new = job_id != self._here
        if not new and self.context.clock() - self._here_at < presence.RENEW_S:
            return
        if new:
            self.leave()
            self.context.show_others("")
            self._met = set()
        # Noted before the attempt: a book that is locked is not tried again every second.
        self._here, self._here_at = job_id, self.context.clock()
        presence.here(self.context.book, job_id, self.bench)
        self._meet()

    def _meet(self) -> None:
        """Warn, once for each other bench, when this job is open there too."""
        if self._here is None:
            return
        found = presence.others(self.context.book, self._here, self.bench)
        there = [one for one in found if may_be_there(one.bench)]
        names = [one.by or "another bench" for one in there]
        if any(one.bench not in self._met for one in there):
            words = f"This job is open at {names[-1]} too: take turns, or readings get mixed up."
            self.context.say(words)
        self._met = {one.bench for one in there}
        self.context.show_others(", ".join(dict.fromkeys(names)))

    def leave(self) -> None:
        """Say that we have left the job."""
        if self._here is not None:
            presence.leave(self.context.book, self._here, self.bench)
            self._here = None
