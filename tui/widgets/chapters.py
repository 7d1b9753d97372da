"""Chapters of words in the room there is; when they do not fit, `turn` shows the next page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap

from tui.widgets.canvas import Canvas, GridView
from tui.widgets.plain import clean

INDENT = "  "


@dataclass(frozen=True)
class ShownChapter:
    """A heading and its sentences."""

    title: str
    lines: tuple[str, ...]
    style: str = ""
    """Style word of the heading."""


Line = tuple[str, str]
"""Words and their style."""


def lines_of(chapters: Sequence[ShownChapter], width: int) -> list[list[Line]]:
    """The wrapped lines of each chapter."""
    found: list[list[Line]] = []
    for chapter in chapters:
        block: list[Line] = [(chapter.title, chapter.style or "strong")] if chapter.title else []
        for text in chapter.lines:
            safe = clean(text)
            if len(safe) + 1 <= width:
                block.append((f" {safe}", ""))
                continue
            parts = wrap(safe, max(width - 2, 8), subsequent_indent=INDENT)
            block += [(f" {part}", "") for part in parts]
        found.append(block)
    return found


def pages_of(chapters: Sequence[ShownChapter], width: int, height: int) -> list[list[Line]]:
    """The lines in pages of this height; a chapter that fits on a page is not torn apart."""
    pages: list[list[Line]] = [[]]
    for block in lines_of(chapters, width):
        if pages[-1] and len(pages[-1]) + len(block) > height:
            pages.append([])
        for line in block:
            if len(pages[-1]) >= height:
                pages.append([(f"{block[0][0]}, continued", "strong")] if height > 2 else [])
            pages[-1].append(line)
    return pages


class ChapterView(GridView):
    """Chapters one below the other: as many as fit, or all of them page by page."""

    DEFAULT_CSS = "ChapterView { height: 1fr; width: 1fr; }"

    def __init__(self, *, id: str | None = None, more: str = "F7") -> None:
        super().__init__(id=id)
        self.chapters: tuple[ShownChapter, ...] = ()
        self.page: int | None = None
        """The page being read; None = what fits of the first chapters."""
        self._more = more

    def show(self, chapters: Sequence[ShownChapter]) -> None:
        """Show other chapters."""
        self.chapters = tuple(chapters)
        self.redraw()

    def read_page(self, page: int | None) -> None:
        """Show a page, or (None) what fits."""
        self.page = page
        self.redraw()

    @property
    def page_count(self) -> int:
        """How many pages there are at this size."""
        width, height = self.size
        return len(pages_of(self.chapters, max(width, 20), max(height - 1, 1)))

    @property
    def fits(self) -> bool:
        """Whether all of it fits on the screen."""
        return len(pages_of(self.chapters, max(self.size.width, 20), self.size.height)) <= 1

    def draw(self, width: int, height: int) -> Canvas:
        """One page; the last row says which."""
        canvas = Canvas(width, height, ascii_only=self.ascii_only)
        if width < 8 or height < 1:
            return canvas
        pages = pages_of(self.chapters, width, height)
        if len(pages) > 1:
            pages = pages_of(self.chapters, width, max(height - 1, 1))
            note = f"{self._more} shows all of it"
            if self.page is not None:
                note = f"page {self.page + 1} of {len(pages)}: {self._more} goes on"
            canvas.put_right(width, height - 1, note, "dim")
        shown = pages[min(self.page or 0, len(pages) - 1)]
        for y, (text, style) in enumerate(shown):
            canvas.put(0, y, text, style)
        return canvas
