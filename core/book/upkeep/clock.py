"""A clock for the book that never runs backwards, whatever is done to the computer's.

Order in the book is order in time: which reading was the last, which sweep came after which hit. A
computer whose clock was set back (an empty battery, a wrong hour) would mix it up, and make times
between entries negative. So the bench clock counts on from the last entry instead.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from core.base.times import Clock, utc_now

LITTLE = timedelta(hours=25)
"""A step back of up to this is a wrong hour or a wrong day: the bench clock counts on."""
FIRST_SENSIBLE = datetime(2026, 1, 1, tzinfo=UTC)
"""A computer that shows less than this has lost its time altogether."""
WORTH_WORDS = timedelta(minutes=10)


class BenchClock:
    """The computer's clock, moved on where it would go back behind what it or the book has said."""

    def __init__(self, clock: Clock = utc_now) -> None:
        self._clock = clock
        self._ahead = timedelta()
        self._last: datetime | None = None
        self.words = ""
        """What is wrong with the computer's clock, and what to do; empty = nothing."""

    def __call__(self) -> datetime:
        """The present moment; never before the one given last, unless the clock was far ahead."""
        shown = self._clock()
        now = shown + self._ahead
        if self._last is not None and now < self._last and _count_on(shown, self._last):
            self._ahead += self._last - now
            now = self._last
        self._last = now
        return now

    def start_after(self, newest: datetime | None) -> None:
        """Go on after the last entry of a book (None = it has none)."""
        shown = self._clock()
        if newest is None or newest <= shown + self._ahead:
            return
        count_on = _count_on(shown, newest)
        if count_on:
            self._ahead = newest - shown
        if newest - shown > WORTH_WORDS:
            self.words = _words(shown, newest, count_on=count_on)


def _count_on(shown: datetime, last: datetime) -> bool:
    """Whether `shown` is wrong rather than `last`, which is later."""
    return last - shown <= LITTLE or shown < FIRST_SENSIBLE <= last


def _words(shown: datetime, newest: datetime, *, count_on: bool) -> str:
    form = "%d %b %Y %H:%M"
    here, there = shown.astimezone().strftime(form), newest.astimezone().strftime(form)
    then = (
        "until then times are counted on from that entry."
        if count_on
        else "or the order of the entries may be mixed up."
    )
    return (
        f"The clock of this computer shows {here}, before the last entry in the book ({there}). "
        f"Set it right: {then}"
    )
