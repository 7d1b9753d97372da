"""Open jobs with their two-digit numbers, as the board and the F2 box show them."""

from __future__ import annotations

from collections.abc import Sequence

from core.base.light_dataclass import dataclass
from core.base.times import moment
from core.book.connection import Book
from core.jobs.facts import BoardLine, board
from tui.screens.base.job_text import shaft_words


@dataclass(frozen=True)
class NumberedJob:
    """One open job."""

    number: str
    """Two digits; empty when more than a hundred jobs are open."""
    line: BoardLine

    @property
    def where(self) -> str:
        """Vessel and place of the shaft."""
        return shaft_words(self.line.vessel_name, self.line.position)


def open_rows(book: Book, *, planned: bool = True) -> tuple[NumberedJob, ...]:
    """All open jobs, oldest first, each with its number.

    `planned`: count all penetrant areas that are planned, not only those begun (takes longer).
    """
    lines = board(book)
    if planned and any(line.facts.penetrant_areas for line in lines):
        from core.jobs.penetrant import board_counted

        lines = board_counted(book, lines, moment(book.now()))
    numbers = two_digit_numbers([line.job.tag for line in lines])
    return tuple(NumberedJob(n, line) for n, line in zip(numbers, lines, strict=True))


def two_digit_numbers(tags: Sequence[str]) -> list[str]:
    """A number of two digits for each open job, oldest first.

    It is the end of the tag (26-014 is 14), so that it stays the same while the job is open and
    is written on the shaft itself. When an older job has it already, the next free number is taken.
    """
    numbers: list[str] = []
    free = [f"{n:02d}" for n in range(1, 100)] + ["00"]
    for tag in tags:
        wanted = tag[-2:]
        if wanted in free:
            free.remove(wanted)
            numbers.append(wanted)
        else:
            numbers.append("")
    return [number or (free.pop(0) if free else "") for number in numbers]
