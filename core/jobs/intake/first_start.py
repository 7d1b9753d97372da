"""The two things asked on a first start: the shop's name and its dial. All else has a default."""

from __future__ import annotations

from dataclasses import dataclass

from core.base.units import MM_PER_IN
from core.book import jobs, settings
from core.book.connection import Book
from core.jobs.shop.first_values import in_other_unit


@dataclass(frozen=True)
class UsualDial:
    """A dial indicator as sold. Travel of one turn: common practice, no source."""

    words: str
    resolution_in: float
    dial_turn_in: float
    unit: str
    """Unit in which its readings are typed and shown."""


DIALS = (
    UsualDial("0.0005 in", 0.0005, 0.100, "thou"),
    UsualDial("0.001 in", 0.001, 0.100, "thou"),
    UsualDial("0.0001 in", 0.0001, 0.010, "thou"),
    UsualDial("0.01 mm", 0.01 / MM_PER_IN, 1.0 / MM_PER_IN, "mm"),
    UsualDial("0.001 mm", 0.001 / MM_PER_IN, 0.2 / MM_PER_IN, "mm"),
)


def is_first_start(book: Book) -> bool:
    """Whether nobody has worked with this book: it holds no job."""
    return not jobs.any_job(book)


def dial_of(book: Book) -> UsualDial:
    """The dial of the list that the settings say; the first one where none fits."""
    now = settings.load(book)
    fits = (one for one in DIALS if abs(one.resolution_in - now.resolution_in) < 1e-9)
    return next(fits, DIALS[0])


def choose_dial(book: Book, words: str) -> UsualDial:
    """Store graduation, turn and unit of a dial of the list; the first values go with its unit."""
    dial = next(one for one in DIALS if one.words == words)
    settings.save(
        book,
        resolution_in=dial.resolution_in,
        dial_turn_in=dial.dial_turn_in,
        unit=dial.unit,
        **in_other_unit(settings.load(book), dial.unit),
    )
    return dial
