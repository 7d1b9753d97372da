"""What can be said of one thing that was measured: the verdict first, then chapters."""

from __future__ import annotations

from dataclasses import dataclass

TROUBLE = "CANNOT BE WORKED OUT"
"""How the verdict starts when the figures contradict each other."""


@dataclass(frozen=True)
class ReportSection:
    """Sentences under one heading; never empty."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Report:
    """One screen's worth of answers, and one section of the ticket."""

    good: bool | None
    """True = in order, False = not, None = cannot be said yet."""
    verdict: str
    """The verdict in words, first word first."""
    summary: str
    """The figure behind the verdict; empty when there is none yet."""
    chapters: tuple[ReportSection, ...]
    missing: tuple[str, ...]
    """What was not measured or given."""
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    """What to know of the way of measuring."""
    asides: tuple[str, ...] = ()
    """What the trade says: for whoever works, not for the ticket."""
    bench: tuple[ReportSection, ...] = ()
    """Chapters for whoever works, not for the ticket."""
    left_open: tuple[str, ...] = ()
    """What was not measured or answered and stops a release."""
    verdicts: tuple[str, ...] = ()
    """Each verdict in its words alone, for the owner: 'face true', 'pilot not true'."""

    @property
    def unsettled(self) -> bool:
        """Whether a figure is in doubt, or the figures cannot be worked out together."""
        return self.verdict.startswith((TROUBLE, "IN DOUBT"))

    @property
    def for_ticket(self) -> tuple[str, ...]:
        """The whole report as lines, the verdict first, the cautions last."""
        lines = [self.verdict, *([self.summary] if self.summary else [])]
        for chapter in self.chapters:
            lines += [f"{chapter.title}:", *(f"  {line}" for line in chapter.lines)]
        for title, more in (("Not measured", self.missing), ("To know", self.notes)):
            if more:
                lines += [f"{title}:", *(f"  {line}" for line in more)]
        return (*lines, *(f"Caution: {line}" for line in self.cautions))


def trouble_report(error: Exception) -> Report:
    """The report when the figures contradict each other: how, and nothing else."""
    return Report(None, f"{TROUBLE}: {error}", "", (), (), verdicts=(TROUBLE.lower(),))


def chapters(*pairs: tuple[str, tuple[str, ...] | list[str]]) -> tuple[ReportSection, ...]:
    """Chapters of those pairs that have something to say."""
    return tuple(ReportSection(title, tuple(lines)) for title, lines in pairs if lines)


def shout(word: str, words: str) -> str:
    """A verdict with its word in capitals: 'TOO LOOSE by 0.4 thou for ...'."""
    if words.lower().startswith(word.lower()):
        return word.upper() + words[len(word) :]
    return f"{word.upper()}: {words}" if words else word.upper()


def sentence(words: str) -> str:
    """The words with a capital letter in front."""
    return words[:1].upper() + words[1:]
