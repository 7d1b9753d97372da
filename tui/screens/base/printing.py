"""Papers from a screen: printed with the shop's command or written to files, on a thread."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial

from core.base.errors import ShaftlogError
from core.book import settings
from core.book.connection import Book
from core.reports.paper import Paper, write_paper
from tui.screens.base.screen import ShopScreen
from tui.widgets.menu import MenuItem

TO_PRINT = "Which paper? (To print: name a print command in the settings, group Shop)"
Work = Callable[[Book, str, Paper], str]
"""What is done with a paper of a job on the thread; words for the message line."""


def print_or_write(
    screen: ShopScreen,
    job_id: str,
    papers: Sequence[Paper],
    more: Mapping[str, Callable[[], object]] = {},
) -> None:
    """Ask which paper, and whether it is printed or written where the shop can print.

    `more` lists what else can be chosen, in words, and what is done then.
    """
    can_print = bool(settings.load(screen.book).print_command.strip())
    label_too = bool(settings.load(screen.book).label_command.strip())
    chosen: dict[str, tuple[str, Paper, Work]] = {}
    for paper in papers:
        if can_print or (label_too and not paper.text):
            chosen[f"print {paper.what}"] = (f"Print the {paper.what}", paper, _print)
        chosen[f"write {paper.what}"] = (f"Write the {paper.what} to files", paper, _write)

    def answered(name: str | None) -> None:
        if name is not None and name in more:
            more[name]()
        elif name is not None:
            _, paper, work = chosen[name]
            _in_background(screen, job_id, paper, work)

    if len(chosen) == 1 and not more:
        answered(next(iter(chosen)))
        return
    question = "Which paper?" if can_print else TO_PRINT
    items = [MenuItem(name, words) for name, (words, _, _) in chosen.items()]
    items += [MenuItem(words, words) for words in more]
    screen.ask_which(question, items, answered)


def _print(book: Book, job_id: str, paper: Paper) -> str:
    from core.reports.printing import print_paper

    return print_paper(book, job_id, paper)


def _write(book: Book, job_id: str, paper: Paper) -> str:
    """Write all forms; words that name the files."""
    first, *more = write_paper(paper, book.path.parent, settings.load(book).sheet)
    beside = f" (also {', '.join(place.suffix[1:] for place in more)})" if more else ""
    return f"Written: {first}{beside}"


def _in_background(screen: ShopScreen, job_id: str, paper: Paper, work: Work) -> None:
    """On a thread with its own connection to the book; said on the screen then shown."""
    app, context, book = screen.app, screen.context, screen.book
    context.say(f"The {paper.what} is being made ...")

    def run() -> None:
        try:
            with book.reopen() as own:
                said = partial(context.say, work(own, job_id, paper), "done")
        except ShaftlogError as error:
            said = partial(context.say, str(error), "stop")
        if app.is_running:
            app.call_from_thread(said)

    app.run_worker(run, thread=True, name="printing")
