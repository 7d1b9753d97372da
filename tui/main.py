"""The installed command: a subcommand on the command line, or the terminal app.

Only the standard library loads here; the screens, and each subcommand, load when they are wanted.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

    from core.base.errors import ShaftlogError

VALUED_OPTIONS = ("--book", "--by")


def main(argv: Sequence[str] | None = None) -> int:
    """Run `shaftlog` with these arguments (by default those of the process); the exit code."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    place = command_at(arguments)
    if place is None:
        return _open_app(arguments)
    from core.cli import COMMANDS, WITHOUT_BOOK
    from core.cli.frame import refuse, run_command

    command = arguments[place]
    if command not in COMMANDS:
        return refuse(None, f"no command {command!r}; see shaftlog --help")
    top = _top_arguments(arguments[:place])
    given = {name: value for name in ("book", "by", "ascii") if (value := getattr(top, name))}
    if top.practice:
        return refuse(command, "the practice shaft has its screens alone: leave --practice out.")
    if top.demo and command in WITHOUT_BOOK:
        return refuse(command, "this command uses no job book: leave --demo out.")
    if top.demo:
        from core.base.errors import ShaftlogError
        from core.cli.frame import file_trouble

        try:
            given["book"] = str(_demo_book(top.book))
        except (ShaftlogError, OSError) as error:
            words = file_trouble(error) if isinstance(error, OSError) else str(error)
            return refuse(command, words)
    return run_command(command, arguments[place + 1 :], given)


def command_at(arguments: Sequence[str]) -> int | None:
    """Index of the subcommand among the arguments: the first that is no option nor its value."""
    place = 0
    while place < len(arguments):
        word = arguments[place]
        if not word.startswith("-"):
            return place
        place += 2 if word in VALUED_OPTIONS else 1
    return None


def _top_arguments(arguments: Sequence[str]) -> argparse.Namespace:
    import argparse

    from core.cli import COMMANDS
    from core.cli.frame import OneLineParser

    wide = max(len(name) for name in COMMANDS) + 2
    listing = "\n".join(f"  {name:<{wide}}{what}" for name, what in COMMANDS.items())
    parser = OneLineParser(
        prog="shaftlog",
        usage="shaftlog [OPTIONS] [COMMAND ...]",
        description="Bench log and shape finder for bent propeller shafts.",
        epilog=f"commands (shaftlog COMMAND --help tells more):\n{listing}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument(
        "--book", metavar="FILE", help="the job book (default: in your data folder)"
    )
    parser.add_argument(
        "--demo", action="store_true", help="open a copy of an invented shop's job book"
    )
    parser.add_argument(
        "--practice",
        action="store_true",
        help="a simulated shaft to learn on, thrown away afterwards",
    )
    parser.add_argument(
        "--by",
        metavar="NAME",
        default="",
        help="who works here, kept with each entry (default: over ssh the login name, else the "
        "bench name of the settings)",
    )
    parser.add_argument(
        "--ascii", action="store_true", help="paint plain ASCII only (chosen by itself for LANG=C)"
    )
    parser.add_argument("--version", action="store_true", help="show the version and leave")
    return parser.parse_args(list(arguments))


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return f"shaftlog {version('shaftlog')}"
    except PackageNotFoundError:
        return "shaftlog (not installed)"


def _open_app(arguments: Sequence[str]) -> int:
    """Open the job book, or the demo, in the terminal app."""
    from tui.terminal.run import refusal

    book, demo, practice, plain, by = None, False, False, False, ""
    if arguments:
        asked = _top_arguments(arguments)
        book, demo, practice = asked.book, asked.demo, asked.practice
        plain, by = asked.ascii, asked.by.strip()
        if asked.version:
            print(_version())
            return 0
    words = refusal()
    if words:
        sys.stderr.write(words + "\n")
        return 2
    gc.disable()  # until the first picture: looking for garbage is an eighth of the start
    from core.base.errors import ShaftlogError
    from core.base.paths import default_book_path

    if practice:
        return _practise(None, plain=plain)
    path = Path(book or default_book_path())
    try:
        if demo:
            path = _demo_book(book)
        elif book is None:
            path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        if not demo:
            from tui.start import ready_book

            path = ready_book(path, named=book is not None)
        return _run(path, plain=plain, by=by or _login_over_ssh())
    except ShaftlogError as error:
        sys.stderr.write(f"shaftlog: {error}{_way_back(path, error)}\n")
        return 2
    except OSError as error:
        from core.cli.frame import file_trouble

        sys.stderr.write(f"shaftlog: {file_trouble(error)}\n")
        return 2


def _login_over_ssh() -> str:
    """Who has come in from another bench; '' at the PC itself."""
    if "SSH_CONNECTION" not in os.environ:
        return ""
    import getpass

    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return ""


def _run(path: Path, *, plain: bool, by: str = "") -> int:
    from tui.app import ShaftlogApp
    from tui.terminal.run import run_app, wants_ascii

    plain = plain or wants_ascii()
    while True:
        app = ShaftlogApp(path, ascii=plain, by=by, scanner=True, welcome=True)
        status = run_app(app)
        if status or not app.wants_practice:
            return status
        if status := _practise(path, plain=plain):
            return status


def _practise(book: Path | None, *, plain: bool) -> int:
    """A simulated shaft in a temporary book, with the dial of the shop's book if there is one."""
    from core.book import settings
    from core.book.opening import open_book
    from tui.practice import practice_app, practice_folder
    from tui.terminal.run import run_app, wants_ascii

    shop = settings.ShopSettings()
    if book is not None:
        with open_book(book, read_only=True) as opened:
            shop = settings.load(opened)
    with practice_folder() as folder:
        return run_app(practice_app(folder, shop, ascii=plain or wants_ascii()))


def _way_back(path: Path, error: ShaftlogError) -> str:
    """For a book that cannot be read: the newest good backup and how to put it in place."""
    from core.book.errors import DamagedBook, NotABook

    if not isinstance(error, DamagedBook | NotABook) or not path.is_file():
        return ""
    from core.book.upkeep.copies import proposed

    good = proposed(path)
    if good is None:
        return ""
    at = good.file.at.strftime("%Y-%m-%d %H:%M")
    return f" The last good backup is of {at}: shaftlog restore '{good.file.path}' --book '{path}'"


def _demo_book(book: str | None) -> Path:
    """A copy of the invented shop to work on, kept from one visit to the next."""
    from core.demo.copy import demo_copy

    return demo_copy(Path(book) if book else None)


if __name__ == "__main__":
    sys.exit(main())
